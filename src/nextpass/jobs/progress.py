"""How a job says how far it is."""

from collections.abc import Callable

# Called with what is being done, in the user's words, and the part that is done, 0..1.
ProgressReport = Callable[[str, float], None]


def silent(_doing: str, _done: float) -> None:
    """Report to nobody."""


def part(report: ProgressReport, start: float, end: float) -> ProgressReport:
    """Report for a job that is one part of a larger one, from `start` to `end` of it."""

    def inner(doing: str, done: float) -> None:
        report(doing, start + (end - start) * done)

    return inner
