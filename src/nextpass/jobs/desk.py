"""A book opened for work: what was read and computed once stays at hand.

The web asks the same pass for its timeslip, its traces and its plan within seconds; reading and reviewing it each time
would make every page wait. What is kept in memory is bounded and can always be made anew from the book.
"""

from collections.abc import Mapping, Sequence
from pathlib import Path

from nextpass import __version__
from nextpass.answers import plan_answer
from nextpass.book import (
    AnswerSet,
    Book,
    KeptCar,
    KeptPass,
    MadeAnswer,
    answers_of,
    car_named,
    cars,
    keep_answers,
    keep_car,
    keep_pass,
    keep_said,
    open_book,
    pass_content,
    pass_numbered,
    pass_toml,
    pass_with_id,
    passes_of,
    remember,
    remembered,
    said_checksum,
    said_in,
)
from nextpass.car import Car, Conditions, PassRecord, Setup
from nextpass.errors import NotEnoughData
from nextpass.files import read_pass
from nextpass.fit import FittedCar, fit_car
from nextpass.jobs.at_hand import AtHand
from nextpass.jobs.make_answers import answer_set, car_of_text, record_of, reviewed_work, work_on
from nextpass.jobs.progress import ProgressReport, part, silent
from nextpass.measure import Absent
from nextpass.plan import Forecast, Plan, plan_setup, what_if
from nextpass.review import LostTime, ReviewedPass, lost_time
from nextpass.words import phrase

PLAN = "plan"
# A plan learns from the newest passes; older ones add little to them and cost time.
MOST_PASSES = 12
# Reviewed passes kept in memory, by the bytes of their logs: read into numbers they take about three times as much.
MOST_LOG_BYTES = 200_000_000
# What a pass weighs besides its log.
_PASS_BYTES = 2_000_000
# Cars, fitted cars and plans: small, and few are looked at.
MOST_SMALL = 60


class Desk:
    """One book, with the passes and plans that were last looked at.

    Parameters
    ----------
    book : Book
        Open; `close` closes it.
    """

    def __init__(self, book: Book) -> None:
        self.book = book
        self._reviews: AtHand[ReviewedPass] = AtHand(MOST_LOG_BYTES)
        self._fits: AtHand[FittedCar] = AtHand(MOST_SMALL)
        self._plans: AtHand[Plan] = AtHand(MOST_SMALL)

    def close(self) -> None:
        """Close the book."""
        self.book.close()

    def said(self) -> dict[str, dict[str, str]]:
        """What was said about doubtful columns, by header of the log and column."""
        return said_in(self.book)

    def keep_said(self, header: str, answers: Mapping[str, str]) -> None:
        """Keep what was said about the columns of a header, as ``channel:unit``; the reviews that it concerns go."""
        keep_said(self.book, header, answers)

    def cars(self) -> tuple[KeptCar, ...]:
        """Every car of the book, the one that was run last first."""
        return cars(self.book)

    def kept_car(self, name: str) -> KeptCar:
        """The car of that name as the book holds it; refuses a name that it does not have."""
        return car_named(self.book, name)

    def car(self, kept: KeptCar) -> Car:
        """The car as its file in force describes it."""
        return car_of_text(kept.file_text)

    def add_car(self, file_text: str) -> KeptCar:
        """Keep a car file, new or changed, after reading it strictly."""
        return keep_car(self.book, car_of_text(file_text).name, file_text)

    def passes(self, kept: KeptCar) -> tuple[KeptPass, ...]:
        """The passes of a car in the order in which they were run."""
        return passes_of(self.book, kept)

    def some_passes(self, kept: KeptCar) -> tuple[KeptPass, ...]:
        """The passes of a car, refusing a car that has none."""
        passes = self.passes(kept)
        if not passes:
            raise NotEnoughData(
                phrase("refusal.jobs.no_pass_yet", name=kept.name), remedy=phrase("refusal.jobs.bring_log")
            )
        return passes

    def add_pass(self, kept: KeptCar, folder: Path) -> KeptPass:
        """Read a pass folder strictly, keep it, and review it."""
        read_pass(folder, self.car(kept))
        added = keep_pass(self.book, kept, pass_content(folder))
        self.reviewed(kept, added)
        return pass_with_id(self.book, added.id)

    def reviewed(self, kept: KeptCar, kept_pass: KeptPass) -> ReviewedPass:
        """A pass with its log and review; its answers are kept in the book."""
        said = self.said()

        def review() -> ReviewedPass:
            work = work_on(self.book, kept, kept_pass.id, said)
            car, reviewed = reviewed_work(work)
            keep_answers(self.book, {kept_pass.id: answer_set(work, car, reviewed)})
            return reviewed

        # The header of a pass that was never read is not known: until then all that was said concerns it.
        concerned = said_checksum(said, kept_pass.header) if kept_pass.header else str(sorted(said.items()))
        key = (kept.file_id, kept_pass.id, kept_pass.content_sha256, concerned)
        return self._reviews.get(key, review, kept_pass.log_size + _PASS_BYTES)

    def answers(self, kept: KeptCar, kind: str, report: ProgressReport = silent) -> dict[str, dict[str, object]]:
        """One of `ANSWER_KINDS` of every pass of a car, by pass id; those that are out of date are made anew."""
        every = self.passes(kept)
        known = answers_of(self.book, kept, kind, __version__)
        stale = [one for one in every if one.id not in known]
        for count, one in enumerate(stale):
            report(phrase("doing.reviewing", number=one.sequence), count / len(stale))
            self.reviewed(kept, one)
        return answers_of(self.book, kept, kind, __version__) if stale else known

    def kept_pass(self, pass_id: str) -> KeptPass:
        """One pass by its id; refuses an id that the book does not have."""
        return pass_with_id(self.book, pass_id)

    def pass_numbered(self, kept: KeptCar, sequence: int) -> KeptPass:
        """One pass of a car by its count; refuses a count that the car does not have."""
        return pass_numbered(self.book, kept, sequence)

    def record(self, kept: KeptCar, kept_pass: KeptPass) -> PassRecord:
        """The pass file of a pass; its log is not read."""
        toml = pass_toml(self.book, kept_pass.id)
        return record_of(kept.file_text, toml, kept_pass.log_names, _shown(kept, kept_pass))

    def fitted(self, kept: KeptCar, report: ProgressReport = silent) -> FittedCar:
        """The car as its newest passes show it."""
        return self.fitted_to(kept, self._newest(kept), report)

    def fitted_to(self, kept: KeptCar, passes: Sequence[KeptPass], report: ProgressReport = silent) -> FittedCar:
        """The car as some of its passes show it, in the order in which they were run."""

        def fit() -> FittedCar:
            reviewed = self._all_reviewed(kept, passes, part(report, 0.0, 0.5))
            rest = part(report, 0.5, 1.0)
            rest(phrase("plan.doing.fit"), 0.0)
            return fit_car(self.car(kept), reviewed, progress=lambda done: rest(phrase("plan.doing.fit"), done))

        return self._fits.get(self._key(kept, passes), fit)

    def plan(
        self,
        kept: KeptCar,
        conditions: Conditions | None = None,
        most_changes: int | None = None,
        report: ProgressReport = silent,
    ) -> Plan:
        """The plan for the pass after the newest one; the book keeps with that pass what was advised last."""
        passes = self._newest(kept)

        def make() -> Plan:
            # The car is fitted once for the plan, for every what-if, and for the plan of another day.
            fitted = self.fitted(kept, part(report, 0.0, 0.5))
            reviewed = self._all_reviewed(kept, passes, silent)
            planned = plan_setup(fitted, reviewed, conditions, most_changes, progress=part(report, 0.5, 1.0))
            self._keep_plan(kept, passes[-1], planned)
            return planned

        return self._plans.get((*self._key(kept, passes), conditions, most_changes), make)

    def what_if(self, kept: KeptCar, setup: Setup, conditions: Conditions) -> Forecast:
        """Forecast of any setup."""
        return what_if(self.car(kept), self.fitted(kept), setup, conditions)

    def where_time_went(
        self, kept: KeptCar, reviewed: ReviewedPass, report: ProgressReport = silent
    ) -> LostTime | Absent:
        """Time that a pass lost, by cause and gear, against the car as its newest passes show it."""
        return lost_time(self.car(kept), reviewed, self.fitted(kept, report).parameters)

    def remember(self, kept: KeptCar, subject: str, body: object) -> None:
        """Keep a choice for a car, such as the channels to show."""
        remember(self.book, kept, subject, body)

    def remembered(self, kept: KeptCar, subject: str) -> object | None:
        """What was kept by `remember`, or None."""
        return remembered(self.book, kept, subject)

    def _key(self, kept: KeptCar, passes: Sequence[KeptPass]) -> tuple[object, ...]:
        return (kept.file_id, tuple((one.id, one.content_sha256) for one in passes), str(sorted(self.said().items())))

    def _keep_plan(self, kept: KeptCar, newest: KeptPass, planned: Plan) -> None:
        header = pass_with_id(self.book, newest.id).header
        body = plan_answer(planned).model_dump(mode="json", by_alias=True)
        answers = AnswerSet(
            program=__version__,
            car_file_id=kept.file_id,
            header=header,
            said=said_checksum(self.said(), header),
            answers=(MadeAnswer(kind=PLAN, body=body),),
        )
        keep_answers(self.book, {newest.id: answers})

    def _newest(self, kept: KeptCar) -> tuple[KeptPass, ...]:
        return self.some_passes(kept)[-MOST_PASSES:]

    def _all_reviewed(
        self, kept: KeptCar, passes: Sequence[KeptPass], report: ProgressReport
    ) -> tuple[ReviewedPass, ...]:
        reviewed = []
        for count, one in enumerate(passes):
            report(phrase("doing.reading", number=one.sequence), count / len(passes))
            reviewed.append(self.reviewed(kept, one))
        return tuple(reviewed)


def open_desk(place: Path | str, *, is_kept: bool = False) -> Desk:
    """Open a book for work; `is_kept` refuses a place where there is none, else one is made."""
    return Desk(open_book(place, is_kept=is_kept))


def _shown(kept: KeptCar, kept_pass: KeptPass) -> str:
    return f"{kept.name}, pass {kept_pass.sequence}"
