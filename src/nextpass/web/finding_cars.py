"""Cars and passes by what stands in an address."""

from collections.abc import Iterable
from http import HTTPStatus

from nextpass.errors import NextpassError
from nextpass.jobs import Desk, KeptCar, KeptPass
from nextpass.words import phrase


class NotHere(NextpassError):  # noqa: N818 - an answer, not a fault
    """An address that names a car or a pass that the book does not have."""

    status = HTTPStatus.NOT_FOUND


def handle_of(kept: KeptCar) -> str:
    """What stands for a car in an address: its name, or its id where the name would look like a path.

    Parameters
    ----------
    kept : KeptCar
        As the book has it.

    Returns
    -------
    str
        Not yet quoted.
    """
    return kept.id if "/" in kept.name or kept.name in (".", "..") else kept.name


def car_called(desk: Desk, name: str) -> KeptCar:
    """The car of that name or id.

    Parameters
    ----------
    desk : Desk
        With the book open.
    name : str
        As in an address.

    Returns
    -------
    KeptCar
        As the book has it.

    Raises
    ------
    NotHere
        The book has no such car.
    """
    for kept in desk.cars():
        if name in (kept.name, kept.id):
            return kept
    raise NotHere(phrase("refusal.web.no_car", name=name), remedy=phrase("refusal.web.choose_of_book"))


def pass_of(desk: Desk, kept: KeptCar, sequence: int) -> KeptPass:
    """The pass of a car by its place in the order in which they were run.

    Parameters
    ----------
    desk : Desk
        With the book open.
    kept : KeptCar
        Whose pass it is.
    sequence : int
        Counted from 1.

    Returns
    -------
    KeptPass
        As the book has it.

    Raises
    ------
    NotHere
        The car has no such pass.
    """
    every = {one.sequence: one for one in desk.passes(kept)}
    if sequence not in every:
        raise NotHere(
            phrase("refusal.book.no_pass", name=kept.name, sequence=sequence),
            remedy=phrase("refusal.book.it_has", count=len(every)),
        )
    return every[sequence]


def check_passes(desk: Desk, kept: KeptCar, sequences: Iterable[int]) -> None:
    """See that the car has all of these passes.

    Parameters
    ----------
    desk : Desk
        With the book open.
    kept : KeptCar
        Whose passes they are.
    sequences : iterable of int
        Their places in the order in which they were run.

    Raises
    ------
    NotHere
        It lacks one of them.
    """
    every = {one.sequence for one in desk.passes(kept)}
    for sequence in sequences:
        if sequence not in every:
            raise NotHere(
                phrase("refusal.book.no_pass", name=kept.name, sequence=sequence),
                remedy=phrase("refusal.book.it_has", count=len(every)),
            )
