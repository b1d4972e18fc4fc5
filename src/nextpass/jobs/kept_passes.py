"""Passes of a book under the names by which a person knows them: their count, not the folder that they came from."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from nextpass.book import KeptCar, KeptPass
from nextpass.jobs.desk import Desk
from nextpass.review import ReviewedPass


def pass_name(kept_pass: KeptPass) -> str:
    """What answers call a pass of a book.

    Parameters
    ----------
    kept_pass : KeptPass
        As the book has it.
    """
    return f"pass {kept_pass.sequence}"


def named_pass(reviewed: ReviewedPass, kept_pass: KeptPass) -> ReviewedPass:
    """A reviewed pass whose record bears that name in place of a folder's.

    Parameters
    ----------
    reviewed : ReviewedPass
        Of the pass.
    kept_pass : KeptPass
        As the book has it.
    """
    return replace(reviewed, record=replace(reviewed.record, folder=Path(pass_name(kept_pass))))


def chosen_passes(desk: Desk, kept: KeptCar, sequences: Sequence[int]) -> tuple[KeptPass, ...]:
    """Passes of a car by their counts, each once, in the order in which they were run.

    Parameters
    ----------
    desk : Desk
        With the book open.
    kept : KeptCar
        Whose passes they are.
    sequences : sequence of int
        Counts from 1.

    Raises
    ------
    BookError
        There is no such pass.
    """
    every = {one.sequence: one for one in desk.passes(kept)}
    return tuple(every.get(number) or desk.pass_numbered(kept, number) for number in sorted(set(sequences)))
