"""Every answer of a book made anew where the program, the car's file or what was said about columns is another now."""

import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

from nextpass import __version__
from nextpass.answers import RecheckAnswer
from nextpass.book import AnswerSet, Book, KeptCar, StalePass, cars, keep_answers, said_in, stale_passes
from nextpass.jobs.answer_kinds import ANSWER_KINDS
from nextpass.jobs.crew import CrewError, in_order
from nextpass.jobs.make_answers import Work, make_answers, work_elsewhere, works_on
from nextpass.jobs.progress import ProgressReport, silent
from nextpass.words import phrase

R = TypeVar("R")
# Passes that were done within this time [s] are kept in one step: to keep each on its own takes a tenth of the time of
# a worker, and a stop loses no more than this.
_KEEP_EVERY_S = 1.0


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
    """Make the answers of a book anew; what is done is kept every second, so that a stop loses no more than that.

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
    results = in_order(make_answers, work, len(stale), workers, scheduler)
    refused: list[str] = []
    count = 0
    for some in _gathered(zip(stale, results, strict=True)):
        refused += [done.refusal for _, done in some if done.answers is None]
        made = {one.pass_id: _of_this_program(done.answers) for one, done in some if done.answers is not None}
        keep_answers(book, made)
        count += len(some)
        report(phrase("doing.rechecking", done=count, total=len(stale)), count / len(stale))
    return Rechecked(
        passes=sum(car.pass_count for car in of_cars), made=len(stale) - len(refused), refused=tuple(refused)
    )


def _gathered(results: Iterable[R]) -> Iterator[list[R]]:
    """Results in small heaps: those of a second together."""
    heap: list[R] = []
    since_s = time.monotonic()
    for one in results:
        heap.append(one)
        if time.monotonic() - since_s >= _KEEP_EVERY_S:
            yield heap
            heap, since_s = [], time.monotonic()
    if heap:
        yield heap


def _of_this_program(answers: AnswerSet) -> AnswerSet:
    if answers.program != __version__:
        raise CrewError(
            phrase("refusal.jobs.other_version", worker=answers.program, here=__version__),
            remedy=phrase("refusal.jobs.same_version"),
        )
    return answers


def _work(book: Book, of_cars: Sequence[KeptCar], stale: Sequence[StalePass], *, is_here: bool) -> Iterator[Work]:
    by_id = {car.id: car for car in of_cars}
    for work in works_on(book, [(by_id[one.car_id], one.pass_id) for one in stale], said_in(book)):
        yield work if is_here else work_elsewhere(book, work)
