"""A car fitted to its passes."""

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car
from nextpass.fit.direct import direct_centre
from nextpass.fit.evidence import evidence_of
from nextpass.fit.fitted_car import FittedCar
from nextpass.fit.learnable import Learnable, learnables
from nextpass.fit.residuals import Problem
from nextpass.fit.solve import Solution, solve
from nextpass.fit.spread import Spread, scatter_of, spread_of
from nextpass.fit.unknown import unknown_of
from nextpass.measure import Estimate
from nextpass.review import ReviewedPass

FloatArray = NDArray[np.float64]

# More passes than this teach little that the newest do not, and each costs time.
MOST_PASSES = 8


def fit_car(
    car: Car, passes: Sequence[ReviewedPass], seed: int = 0, progress: Callable[[float], None] | None = None
) -> FittedCar:
    """The car as its passes show it.

    Parameters
    ----------
    car : Car
        The car file, which the passes correct.
    passes : sequence of ReviewedPass
        Oldest first; of more than `MOST_PASSES` the newest count. None at all leaves the car file with its widths.
    seed : int
        Of the search.
    progress : callable, optional
        Told the share that is done, 0..1.

    Returns
    -------
    FittedCar
    """
    used = passes[-MOST_PASSES:]
    centre = direct_centre(car, used)
    problem = Problem(
        car=car,
        centre=centre,
        what=learnables(car, centre),
        passes=tuple(evidence_of(car, one, day) for one, day in zip(used, _days(used), strict=True)),
    )
    solution = solve(problem, seed, progress)
    spread = spread_of(problem, solution, seed)
    best = problem.parameters(solution.point)
    day = problem.day_grip(solution.point, problem.passes[-1].day) if used else 0.0
    return FittedCar(
        car=car,
        parameters=replace(best, grip=float(np.exp(day))),
        values=_values(problem, solution, spread),
        scatter_sd=scatter_of(problem, solution),
        pass_grip_sd=spread.pass_grip_sd,
        unknown=unknown_of(problem, solution, spread),
        assumed=car.assumed,
        newest=passes[-1] if passes else None,
        passes=tuple(used),
        problem=problem,
        solution=solution,
        spread=spread,
    )


def _days(passes: Sequence[ReviewedPass]) -> list[int]:
    """Number of the day of each pass: by the date, and where a pass has none, that of the pass before it."""
    days: list[int] = []
    date = None
    for one in passes:
        started = one.record.started
        new = started is not None and date is not None and started.date() != date
        days.append((days[-1] + int(new)) if days else 0)
        date = started.date() if started is not None else date
    return days


def _values(problem: Problem, solution: Solution, spread: Spread) -> dict[str, Estimate]:
    found = {}
    for one, z, sd in zip(problem.what, solution.point, spread.sd, strict=False):
        found[one.name] = _estimate(one, float(z), float(sd))
    return found


def _estimate(one: Learnable, z: float, sd: float) -> Estimate:
    value = one.value(z)
    # Half of what one standard deviation to either side makes: fair for a factor too.
    half = 0.5 * abs(one.value(z + sd) - one.value(z - sd))
    return Estimate.from_sd(value, half)
