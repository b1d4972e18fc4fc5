"""What every answer is made of: one JSON object by the contract, made from the records of the program.

The contract's units (`_pct`, `_kj`, `_kmh`) exist here and in `files` only.
"""

from pydantic import BaseModel, ConfigDict

from nextpass.car import AdjusterValue, Assumed, Conditions, Setup
from nextpass.measure import Absent, Estimate, Measured

KMH_PER_MPS = 3.6
# Decimals of a shown second: strip clocks show thousandths, one more keeps differences whole.
DECIMALS = 4


class Answer(BaseModel):
    """An answer or a part of one: no key that the contract does not know."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True, serialize_by_alias=True)


class EstimateAnswer(Answer):
    """A value and the half width of its 90 % interval, in the unit of the key that holds it."""

    value: float
    plus_minus: float


class AssumedAnswer(Answer):
    """A value that the car file leaves open and a documented default fills."""

    key: str
    value: str
    origin: str


class ConditionsAnswer(Answer):
    """Air, track, slope and wind, with the keys of a pass file."""

    air_temperature_c: float
    pressure_kpa: float
    humidity_pct: float
    track_temperature_c: float
    slope_pct: float
    headwind_mps: float


PlainValue = float | int | bool | str | list[float | int]
SetupAnswer = dict[str, PlainValue]


def estimate_answer(measured: Measured, factor: float = 1.0) -> EstimateAnswer | None:
    """Value and ± times `factor`, which takes the program's unit to the key's; None where the value is absent."""
    match measured:
        case Estimate():
            return EstimateAnswer(
                value=round(measured.value * factor, DECIMALS), plus_minus=round(measured.plus_minus * factor, DECIMALS)
            )
        case Absent():
            return None


def assumed_answer(assumed: tuple[Assumed, ...]) -> list[AssumedAnswer]:
    """The defaults in use, in the order of the car file."""
    return [AssumedAnswer(key=item.key, value=item.shown, origin=item.origin) for item in assumed]


def setup_answer(setup: Setup) -> SetupAnswer:
    """Every adjuster's value with whole numbers as integers, as a pass file would hold them."""
    return {name: plain_value(value) for name, value in setup.values.items()}


def conditions_answer(conditions: Conditions) -> ConditionsAnswer:
    """Conditions with the keys and units of a pass file."""
    return ConditionsAnswer(
        air_temperature_c=conditions.air_temperature_c,
        pressure_kpa=conditions.pressure_kpa,
        humidity_pct=round(conditions.humidity * 100.0, 2),
        track_temperature_c=conditions.track_temperature_c,
        slope_pct=round(conditions.slope * 100.0, 4),
        headwind_mps=conditions.headwind_mps,
    )


def plain_value(value: AdjusterValue) -> PlainValue:
    """An adjuster's value as JSON holds it."""
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if isinstance(value, bool | str):
        return value
    return _plain(value)


def _plain(value: float) -> float | int:
    return int(value) if float(value).is_integer() else float(value)
