"""Every answer of a book made anew where the program, the car's file or what was said about columns is another now."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from nextpass import __version__
from nextpass.answers import RecheckAnswer
from nextpass.book import (
    Book,
    KeptCar,
    StalePass,
    cars,
    keep_answers,
    pass_with_id,
    said_in,
    stale_passes,
)
from nextpass.jobs.answer_kinds import ANSWER_KINDS
from nextpass.jobs.crew import CrewError, in_order
from nextpass.jobs.make_answers import Work, make_answers, work_on
from nextpass.jobs.progress import ProgressReport, silent
from nextpass.words import phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class Rechecked:
    """What a recheck did.

    Parameters
    ----------
    passes : int
        In the book, of the cars asked for.
    made : int
        Whose answers were made anew.
    refused : tuple of str
        One line for each pass that could not be read, saying why; its older answers stay, known as out of date.
    """

    passes: int
    made: int
    refused: tuple[str, ...]

    def answer(self) -> RecheckAnswer:
        """By the contract."""
        return RecheckAnswer(passes=self.passes, made=self.made, refused=list(self.refused))


def recheck(
    book: Book,
    asked: Sequence[KeptCar] | None = None,
    *,
    every: bool = False,
    workers: int | None = None,
    scheduler: str | None = None,
    report: ProgressReport = silent,
) -> Rechecked:
    """Make the answers of a book anew; each pass is kept as soon as it is done, so that a stop loses nothing.

    Parameters
    ----------
    book : Book
    asked : sequence of KeptCar, optional
        All cars where it is not given.
    every : bool
        Also those answers that are still true.
    workers : int, optional
        Processes; one a core where it is not given.
    scheduler : str, optional
        Address of a Dask scheduler that does the work instead.
    report : ProgressReport

    Raises
    ------
    CrewError
        No scheduler answers, a worker died, or a worker runs another version of the program.
    """
    of_cars = cars(book) if asked is None else tuple(asked)
    stale = stale_passes(book, of_cars, tuple(ANSWER_KINDS), __version__, every=every)
    work = _work(book, of_cars, stale, is_here=scheduler is None)
    refused = []
    results = in_order(make_answers, work, len(stale), workers, scheduler)
    for count, (one, done) in enumerate(zip(stale, results, strict=True), start=1):
        if done.answers is None:
            refused.append(done.refusal)
        elif done.answers.program != __version__:
            raise CrewError(
                phrase("refusal.jobs.other_version", worker=done.answers.program, here=__version__),
                remedy=phrase("refusal.jobs.same_version"),
            )
        else:
            keep_answers(book, one.pass_id, done.answers)
        report(phrase("doing.rechecking", done=count, total=len(stale)), count / len(stale))
    return Rechecked(
        passes=sum(car.pass_count for car in of_cars), made=len(stale) - len(refused), refused=tuple(refused)
    )


def _work(book: Book, of_cars: Sequence[KeptCar], stale: Sequence[StalePass], *, is_here: bool) -> Iterator[Work]:
    by_id = {car.id: car for car in of_cars}
    said = said_in(book)
    for one in stale:
        car = by_id[one.car_id]
        work = work_on(book, car, pass_with_id(book, one.pass_id), said)
        # Another machine has no access to the book's folder.
        yield work if is_here else replace(work, folder=None)
