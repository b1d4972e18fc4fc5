"""A book opened for work: what was read and computed once stays at hand.

The web asks the same pass for its timeslip, its traces and its plan within seconds; reading and reviewing it each time
would make every page wait. What is kept in memory is bounded and can always be made anew from the book.
"""

import hashlib
import tempfile
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable, Sequence
from pathlib import Path
from typing import TypeVar

from nextpass import __version__
from nextpass.answers import review_answer
from nextpass.book import (
    Book,
    KeptCar,
    KeptPass,
    answers_of,
    car_named,
    cars,
    export_pass,
    keep_answer,
    keep_car,
    keep_pass,
    open_book,
    pass_with_id,
    passes_of,
    remember,
    remembered,
)
from nextpass.car import Car, Conditions, PassRecord, Setup
from nextpass.errors import NotEnoughData
from nextpass.files import read_car, read_pass
from nextpass.fit import FittedCar, fit_car
from nextpass.jobs.progress import ProgressReport, part, silent
from nextpass.jobs.read_passes import review_one
from nextpass.plan import Forecast, Plan, plan_setup, what_if
from nextpass.review import ReviewedPass
from nextpass.review.findings import USUAL
from nextpass.words import phrase

ANSWERS_FILE = "log-answers.json"
# A plan learns from the newest passes; older ones add little to them and cost time.
MOST_PASSES = 12
# Reviewed passes kept in memory; a long log of many channels takes about 100 MB.
MOST_IN_MEMORY = 24

T = TypeVar("T")


class Desk:
    """One book, with the passes and plans that were last looked at.

    Parameters
    ----------
    book : Book
        Open; `close` closes it.
    """

    def __init__(self, book: Book) -> None:
        self.book = book
        self._kept: OrderedDict[Hashable, object] = OrderedDict()
        self._lock = threading.Lock()
        self._busy: dict[Hashable, threading.Lock] = {}

    def close(self) -> None:
        """Close the book."""
        self.book.close()

    @property
    def answers_file(self) -> Path:
        """Where the book keeps what was said about doubtful columns, by the header of the log."""
        return self.book.folder / ANSWERS_FILE

    def cars(self) -> tuple[KeptCar, ...]:
        """Every car of the book, the one that was run last first."""
        return cars(self.book)

    def kept_car(self, name: str) -> KeptCar:
        """The car of that name as the book holds it; refuses a name that it does not have."""
        return car_named(self.book, name)

    def car(self, kept: KeptCar) -> Car:
        """The car as its file in force describes it."""
        return self._once(("car", kept.file_id), lambda: car_of_text(kept.file_text))

    def add_car(self, file_text: str) -> KeptCar:
        """Keep a car file, new or changed, after reading it strictly."""
        return keep_car(self.book, car_of_text(file_text).name, file_text)

    def passes(self, kept: KeptCar) -> tuple[KeptPass, ...]:
        """The passes of a car in the order in which they were run."""
        return passes_of(self.book, kept)

    def add_pass(self, kept: KeptCar, folder: Path) -> KeptPass:
        """Read a pass folder strictly, keep it, and review it."""
        car = self.car(kept)
        added = keep_pass(self.book, kept, read_pass(folder, car))
        self.reviewed(kept, added)
        return added

    def reviewed(self, kept: KeptCar, kept_pass: KeptPass) -> ReviewedPass:
        """A pass with its log and review; its answer is kept in the book."""

        def review() -> ReviewedPass:
            car = self.car(kept)
            # The log is read whole before the folder goes.
            with tempfile.TemporaryDirectory(prefix="nextpass-") as place:
                record = read_pass(export_pass(self.book, kept_pass.id, Path(place)), car)
                reviewed = review_one(car, record, kept=self.answers_file)
            body = review_answer(reviewed).model_dump(mode="json")
            keep_answer(self.book, kept_pass.id, "review", kept.file_id, program, body)
            return reviewed

        program = self._program()
        return self._once(("review", kept.file_id, kept_pass.id, program), review)

    def review_answers(self, kept: KeptCar, report: ProgressReport = silent) -> dict[str, dict[str, object]]:
        """The review of every pass of a car by the contract, by pass id; those that are out of date are made anew."""
        every = self.passes(kept)
        known = answers_of(self.book, [one.id for one in every], "review", kept.file_id, self._program())
        stale = [one for one in every if one.id not in known]
        for count, one in enumerate(stale):
            report(phrase("doing.reviewing", number=one.sequence), count / len(stale))
            known[one.id] = review_answer(self.reviewed(kept, one)).model_dump(mode="json")
        return known

    def kept_pass(self, pass_id: str) -> KeptPass:
        """One pass by its id; refuses an id that the book does not have."""
        return pass_with_id(self.book, pass_id)

    def record(self, kept: KeptCar, kept_pass: KeptPass) -> PassRecord:
        """The pass file of a pass."""
        return self.reviewed(kept, kept_pass).record

    def fitted(self, kept: KeptCar, report: ProgressReport = silent) -> FittedCar:
        """The car as its newest passes show it."""
        passes = self._newest(kept)
        key = ("fit", kept.file_id, tuple(one.id for one in passes), self._program())

        def fit() -> FittedCar:
            reviewed = self._all_reviewed(kept, passes, part(report, 0.0, 0.5))
            rest = part(report, 0.5, 1.0)
            return fit_car(self.car(kept), reviewed, progress=lambda done: rest(phrase("plan.doing.fit"), done))

        return self._once(key, fit)

    def plan(
        self,
        kept: KeptCar,
        conditions: Conditions | None = None,
        most_changes: int | None = None,
        report: ProgressReport = silent,
    ) -> Plan:
        """The plan for the pass after the newest one."""
        passes = self._newest(kept)
        key = ("plan", kept.file_id, tuple(one.id for one in passes), conditions, most_changes, self._program())

        def make() -> Plan:
            # The car is fitted once for the plan, for every what-if, and for the plan of another day.
            fitted = self.fitted(kept, part(report, 0.0, 0.5))
            reviewed = self._all_reviewed(kept, passes, silent)
            return plan_setup(fitted, reviewed, conditions, most_changes, progress=part(report, 0.5, 1.0))

        return self._once(key, make)

    def what_if(self, kept: KeptCar, setup: Setup, conditions: Conditions) -> Forecast:
        """Forecast of any setup."""
        return what_if(self.car(kept), self.fitted(kept), setup, conditions)

    def remember(self, kept: KeptCar, subject: str, body: object) -> None:
        """Keep a choice for a car, such as the channels to show."""
        remember(self.book, kept, subject, body)

    def remembered(self, kept: KeptCar, subject: str) -> object | None:
        """What was kept by `remember`, or None."""
        return remembered(self.book, kept, subject)

    def _program(self) -> str:
        """What reviews are made with: a new answer to a doubtful column outdates them as a new version does."""
        try:
            said = hashlib.sha256(self.answers_file.read_bytes()).hexdigest()[:12]
        except FileNotFoundError:
            return __version__
        return f"{__version__} {said}"

    def _newest(self, kept: KeptCar) -> tuple[KeptPass, ...]:
        passes = self.passes(kept)[-MOST_PASSES:]
        if not passes:
            raise NotEnoughData(f"{kept.name} has no pass yet", remedy="bring in the log of a pass first")
        return passes

    def _all_reviewed(
        self, kept: KeptCar, passes: Sequence[KeptPass], report: ProgressReport
    ) -> tuple[ReviewedPass, ...]:
        reviewed = []
        for count, one in enumerate(passes):
            report(phrase("doing.reading", number=one.sequence), count / len(passes))
            reviewed.append(self.reviewed(kept, one))
        return tuple(reviewed)

    def _once(self, key: Hashable, make: Callable[[], T]) -> T:
        """What `make` gives, made once for a key even when several ask at the same time."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]  # type: ignore[return-value]
            busy = self._busy.setdefault(key, threading.Lock())
        with busy:
            with self._lock:
                if key in self._kept:
                    return self._kept[key]  # type: ignore[return-value]
            made = make()
            with self._lock:
                self._kept[key] = made
                self._busy.pop(key, None)
                while len(self._kept) > MOST_IN_MEMORY:
                    self._kept.popitem(last=False)
            return made


def open_desk(place: Path | str) -> Desk:
    """Open a book for work, making it where there is none."""
    return Desk(open_book(place))


def car_of_text(file_text: str) -> Car:
    """Read a car file that is held as text, as strictly as one on disk."""
    with tempfile.TemporaryDirectory(prefix="nextpass-") as place:
        file = Path(place) / "car.toml"
        file.write_text(file_text, encoding="utf-8")
        return read_car(file, threshold_names=USUAL)
