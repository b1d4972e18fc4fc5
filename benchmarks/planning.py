"""How long a plan takes, when its first answer stands, and what a what-if costs, on the demo's afternoon.

The floors are the simulated passes alone that each of them needs at the least: no fit, no walk, no explanation.
"""

import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from benchmarks.figure import Figure
from nextpass.car import Car, Conditions, Setup
from nextpass.files import read_car, read_pass
from nextpass.fit import FittedCar, fit_car
from nextpass.jobs import review_one
from nextpass.plan import plan_next, what_if
from nextpass.plan.expected import scenarios_of
from nextpass.proving import demo_day, drive_demo_pass, write_car_file, write_pass_folder
from nextpass.review import USUAL, ReviewedPass
from nextpass.sim import compile_kernels
from nextpass.words import phrase

# The line that a plan says when its first answer stands begins like this.
FIRST = phrase("plan.doing.first", et="").split(":")[0]


def run(*, quick: bool) -> list[Figure]:
    """Figures of a plan with three passes of one car."""
    compile_kernels()
    with tempfile.TemporaryDirectory(prefix="planning-") as place:
        car, passes = _afternoon(Path(place))
    # Once without the clock: the first plan of a process reads compiled kernels from the disk.
    plan_next(car, passes[:1])
    whole_s, first_s = min(_plan_s(car, passes) for _ in range(1 if quick else 3))
    fitted = fit_car(car, passes)
    adjusters = len(car.adjusters) - 1 + car.gear_count
    day, setup = passes[-1].record.conditions, passes[-1].record.setup
    question = setup.with_values(launch_rpm=setup.launch_rpm + 200.0)
    what_if(car, fitted, question, day)
    answer_s = min(_seconds(lambda: what_if(car, fitted, question, day)) for _ in range(5))
    bare_s = min(_seconds(lambda: _bare(fitted, question, day)) for _ in range(3))
    return [
        Figure(name=f"plan, {adjusters} values, 3 passes", value=whole_s, unit="s", target="<= 15"),
        Figure(name="first answer", value=first_s, unit="s", target="<= 3"),
        Figure(
            name="what-if of a fitted car",
            value=1e3 * answer_s,
            unit="ms",
            floor=1e3 * bare_s,
            floor_name="96 simulated passes, ms",
            target="<= 300",
        ),
    ]


def _afternoon(place: Path) -> tuple[Car, list[ReviewedPass]]:
    day = demo_day()
    car = read_car(write_car_file(day.car, place / "car.toml"), threshold_names=USUAL)
    passes = []
    for one in day.passes:
        outcome = drive_demo_pass(day, one.setup, one.conditions, one.number)
        folder = write_pass_folder(outcome, day.logger, place / f"pass{one.number}", number=one.number)
        passes.append(review_one(car, read_pass(folder, car)))
    return car, passes


def _plan_s(car: Car, passes: list[ReviewedPass]) -> tuple[float, float]:
    """Seconds of a whole plan, and until its first answer."""
    start, said = time.perf_counter(), []

    def told(doing: str, _done: float) -> None:
        if doing.startswith(FIRST) and not said:
            said.append(time.perf_counter() - start)

    plan_next(car, passes, progress=told)
    return time.perf_counter() - start, said[0]


def _bare(fitted: FittedCar, setup: Setup, day: Conditions) -> None:
    scenarios_of(fitted.car, fitted.versions(day), day).drive([setup])


def _seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start
