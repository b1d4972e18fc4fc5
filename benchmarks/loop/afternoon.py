"""One afternoon of one car: a pass, its log written and read back, review, fit, plan, and the planned pass run.

What the plan is given went through the log as a stranger's logger would have written it; the truth judges only.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from benchmarks.loop.judge import StripDay, crossed_in
from nextpass.car import Car
from nextpass.files import read_pass
from nextpass.log import hints_for, open_log
from nextpass.plan import Plan, plan_next
from nextpass.proving import Outcome, any_logger, write_pass_folder
from nextpass.review import ReviewedPass, review_pass


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """One plan, and the pass that was then run with it."""

    plan: Plan
    outcome: Outcome
    crossed: tuple[str, ...]

    @property
    def is_held(self) -> bool:
        """Whether the forecast's band holds the pass."""
        band, et_s = self.plan.forecast.et_s, self.outcome.strip_clocks.et_s
        return et_s is not None and band.low <= et_s <= band.high


def read_back(
    car: Car, outcome: Outcome, folder: Path, number: int, with_timeslip: bool, logger_seed: int
) -> ReviewedPass:
    """A pass written as its logger would have, read and reviewed."""
    write_pass_folder(outcome, any_logger(logger_seed), folder, number=number, with_timeslip=with_timeslip)
    record = read_pass(folder, car)
    log = open_log(record.logs[0], hints=hints_for(car, record))
    return ReviewedPass(record=record, log=log, review=review_pass(car, record, log))


def afternoon(day: StripDay, plans: int, first_seed: int, place: Path, with_timeslip: bool = True) -> Iterator[Planned]:
    """The baseline pass, then plan after plan, each run as proposed.

    Parameters
    ----------
    day : StripDay
        Car, strip and day.
    plans : int
        How many plans.
    first_seed : int
        Draws the chance of each pass, and the logger in the car.
    place : Path
        Where the pass folders are written.
    with_timeslip : bool
        Whether the driver fetches the strip's slip.
    """
    setup = day.entry.baseline
    passes: list[ReviewedPass] = []
    outcome = day.run(setup, first_seed)
    for number in range(1, plans + 1):
        passes.append(read_back(day.car, outcome, place / f"pass{number}", number, with_timeslip, first_seed))
        plan = plan_next(day.car, passes)
        outcome = day.run(plan.setup, first_seed + number)
        yield Planned(plan=plan, outcome=outcome, crossed=crossed_in(outcome, day.car))
