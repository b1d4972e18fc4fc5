"""The answer of `nextpass car check`."""

from nextpass.answers.schema import Answer, AssumedAnswer, assumed_answer
from nextpass.car import Car, Doubt


class DoubtAnswer(Answer):
    """Two figures of a car file that do not go together, and what to check."""

    key: str
    what: str
    remedy: str


class CarAnswer(Answer):
    """What a sound car file leaves open, and what in it is implausible."""

    name: str
    gears: int
    assumed: list[AssumedAnswer]
    doubts: list[DoubtAnswer]


def car_answer(car: Car, doubts: tuple[Doubt, ...]) -> CarAnswer:
    """The answer for a car that has been read."""
    return CarAnswer(
        name=car.name,
        gears=car.gear_count,
        assumed=assumed_answer(car.assumed),
        doubts=[DoubtAnswer(key=doubt.key, what=doubt.what, remedy=doubt.remedy) for doubt in doubts],
    )
