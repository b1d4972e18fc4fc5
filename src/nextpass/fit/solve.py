"""Robust least squares of a car against its passes.

Damped Gauss-Newton steps with weights that fade for residuals which no version explains (soft L1), the Jacobian by
forward differences of the simulation in one batch, several damping factors tried at once. The way to a wheel that
spins where none did is a cliff, so the search begins from the best of many launches; and where passes with much spin
end in a hollow that explains them badly, it begins anew, then leaps out of it (basin hopping, Wales & Doye,
J. Phys. Chem. A 101 (1997) 5111).
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from nextpass.fit.grip_guess import grip_guess
from nextpass.fit.residuals import Problem, residuals

FloatArray = NDArray[np.float64]

# Residuals beyond this many standard deviations lose weight.
ROBUST_SD = 2.0
_STEP = 0.1
_DAMPINGS = np.array([0.0, 0.03, 0.3, 3.0, 30.0, 300.0])
_LEAST_GAIN = 4e-3
_STARTS = 128
# The launch is searched first and alone: its edges decide, and a short pass is quickly simulated [s].
LAUNCH_S = 3.5
_EDGES = (("peak_friction", 0.2), ("peak_friction", 0.6), ("peak_slip", 0.5), ("launch_feed", 0.3))
# Starts that are followed and for how many rounds, then the better of them and for how many more.
_KEPT_STARTS, _FIRST_ROUNDS = 3, 2
_KEPT_LAUNCHES, _MORE_ROUNDS = 2, 2
# Passes that are understood leave less than this cost for each of their residuals, and this much of the prior, or
# nothing would explain a timeslip alone. For those that are not the search begins anew so often, from other launches.
_UNDERSTOOD, _OF_THE_PRIOR, _AGAIN = 0.045, 6.0, 2
# Then it leaps: how many times at most, from how many points that differ so much [standard deviations of the prior],
# and how many are followed.
_LEAPS, _LANDINGS, _FOLLOWED, _LEAP_ROUNDS = 5, 64, 2, 3
# So many leaps in a row that gain less than this share are the last.
_IDLE_LEAPS, _LEAP_GAIN = 2, 0.03
_LEAP_SD = {
    "peak_friction": 0.3,
    "peak_slip": 0.8,
    "sliding_share": 0.8,
    "load_sensitivity": 0.8,
    "launch_release_s": 0.6,
    "launch_feed": 0.4,
    "launch_flare_rpm": 0.6,
    "torque_scale": 0.2,
}
_LEAP_SCALES = (0.4, 1.0, 2.0)
# No leap goes further from the car file than this [standard deviations].
_FURTHEST = 3.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution:
    """Best point, its cost, and the linear picture around it.

    Parameters
    ----------
    point : ndarray, shape (n,)
    cost : float
        Half the robust sum of squares, prior included.
    jacobian : ndarray, shape (r, n)
        Of the residuals of all passes at the point.
    left : ndarray, shape (r,)
        Residuals there.
    """

    point: FloatArray
    cost: float
    jacobian: FloatArray
    left: FloatArray


def solve(problem: Problem, seed: int, progress: Callable[[float], None] | None = None, rounds: int = 8) -> Solution:
    """Best version of the car.

    Parameters
    ----------
    problem : Problem
    seed : int
        Of the starts.
    progress : callable, optional
        Told the share that is done.
    rounds : int
        Most Gauss-Newton rounds.

    Returns
    -------
    Solution
    """
    best = _descended(problem, seed, rounds, progress)
    for again in range(1, _AGAIN + 1):
        if _is_understood(best):
            break
        best = min(best, _descended(problem, seed + again, rounds), key=lambda solution: solution.cost)
    best = leap_out(problem, best, seed)
    if progress is not None:
        progress(1.0)
    return best


def _descended(problem: Problem, seed: int, rounds: int, progress: Callable[[float], None] | None = None) -> Solution:
    """Where the best of many launches lead: the launch first and alone, then the whole passes."""
    launch = replace(problem, horizon_s=LAUNCH_S)
    starts = _starts(problem, seed)
    order = np.argsort(_costs(launch, starts))
    begun = [_improve(launch, starts[i], _FIRST_ROUNDS) for i in order[:_KEPT_STARTS]]
    begun.sort(key=lambda solution: solution.cost)
    launched = [_improve(launch, solution.point, _MORE_ROUNDS) for solution in begun[:_KEPT_LAUNCHES]]
    if progress is not None:
        progress(0.4)
    whole = [_improve(problem, solution.point, 2) for solution in launched]
    best = min(whole, key=lambda solution: solution.cost)
    if progress is not None:
        progress(0.6)
    return _improve(problem, best.point, rounds)


def _is_understood(solution: Solution) -> bool:
    """Whether a solution explains its passes."""
    return solution.cost <= _OF_THE_PRIOR + _UNDERSTOOD * solution.left.size


def leap_out(problem: Problem, best: Solution, seed: int) -> Solution:
    """A solution that explains the passes, or the best after some leaps; two that gain little are the last.

    Parameters
    ----------
    problem : Problem
    best : Solution
        Where the leaps begin.
    seed : int
        Of the leaps.

    Returns
    -------
    Solution
        Never a worse one.
    """
    generator = np.random.default_rng(seed)
    idle = 0
    for _ in range(_LEAPS):
        if _is_understood(best) or idle == _IDLE_LEAPS:
            break
        found = _leapt(problem, best, generator)
        idle = idle + 1 if found.cost > (1.0 - _LEAP_GAIN) * best.cost else 0
        best = found
    return best


def _leapt(problem: Problem, best: Solution, generator: np.random.Generator) -> Solution:
    """The best of some hollows around a solution, or the solution."""
    sds = np.array([_LEAP_SD.get(one.name, 0.0) for one in problem.what])
    scales = generator.choice(_LEAP_SCALES, size=(_LANDINGS, 1))
    points = np.repeat(best.point[np.newaxis], _LANDINGS, axis=0)
    points[:, : sds.size] += scales * sds * generator.standard_normal((_LANDINGS, sds.size))
    points = np.clip(points, -_FURTHEST, _FURTHEST)
    for i in np.argsort(_costs(problem, points))[:_FOLLOWED]:
        found = _improve(problem, points[i], _LEAP_ROUNDS)
        best = min(best, found, key=lambda solution: solution.cost)
    return best


def _starts(problem: Problem, seed: int) -> FloatArray:
    """Points that differ in what decides whether a wheel spins, about the grip that the passes show."""
    generator = np.random.default_rng(seed)
    points = np.zeros((_STARTS, problem.size))
    for name, low, high in (
        ("launch_release_s", -0.5, 2.0),
        ("launch_feed", -1.5, 1.0),
        ("launch_flare_rpm", -1.5, 1.5),
        ("torque_scale", -1.0, 1.0),
        ("threshold_rpm", -1.0, 1.0),
        ("pressure_rise_s", -1.5, 1.0),
        ("shift_torque_share", -1.0, 1.0),
    ):
        points[1:, problem.place(name)] = generator.uniform(low, high, _STARTS - 1)
    place = problem.place("peak_friction")
    friction = problem.what[place]
    guess = grip_guess(problem.car, problem.centre, problem.passes)
    if guess.spun is not None:
        middle = friction.place(guess.spun)
        points[:, place] = np.clip(middle + generator.uniform(-0.5, 0.6, _STARTS), -2.5, 3.0)
    else:
        lowest = friction.place(max(guess.least, friction.low))
        points[:, place] = np.clip(np.maximum(lowest, generator.uniform(-1.5, 2.0, _STARTS)), -2.5, 3.0)
    return points


def all_residuals(problem: Problem, points: FloatArray) -> FloatArray:
    """Residuals of all passes at many points, shape (m, r)."""
    if not problem.passes:
        return np.zeros((len(points), 0))
    return np.concatenate(residuals(problem, points, range(len(problem.passes))), axis=1)


def robust_squares(left: FloatArray) -> FloatArray:
    """Robust squares (soft L1), same shape."""
    return np.asarray(2.0 * ROBUST_SD**2 * (np.sqrt(1.0 + (left / ROBUST_SD) ** 2) - 1.0))


def _costs(problem: Problem, points: FloatArray) -> FloatArray:
    data = robust_squares(all_residuals(problem, points)).sum(axis=1)
    return np.asarray(0.5 * (data + (points**2).sum(axis=1)))


def jacobian(problem: Problem, point: FloatArray, left: FloatArray, step: float = _STEP) -> FloatArray:
    """Jacobian of the residuals of all passes by forward differences (backward where `step` is negative).

    Parameters
    ----------
    problem : Problem
    point : ndarray, shape (n,)
    left : ndarray, shape (r,)
        Residuals at the point.
    step : float
        In standard deviations of the prior.

    Returns
    -------
    ndarray, shape (r, n)
    """
    unit = step * np.eye(problem.size)
    columns = np.zeros((left.size, problem.size))
    shared = problem.shared
    columns[:, shared] = (all_residuals(problem, point + unit[shared]) - left).T / step
    first = 0
    for number in range(len(problem.passes)):
        own = problem.own(number)
        moved = residuals(problem, point + unit[own], [number])[0]
        last = first + moved.shape[1]
        columns[first:last, own] = (moved - left[first:last]).T / step
        first = last
    return columns


def _probes(problem: Problem) -> FloatArray:
    """Steps along what decides whether a wheel spins, long enough to get over the edge, shape (m, n)."""
    steps = np.zeros((2 * len(_EDGES), problem.size))
    for i, (name, length) in enumerate(_EDGES):
        place = problem.place(name)
        steps[2 * i, place], steps[2 * i + 1, place] = length, -length
    return steps


def _damped_steps(normal: FloatArray, downhill: FloatArray) -> FloatArray:
    """Steps of Levenberg and Marquardt for each damping, scaled by the diagonal; one decomposition serves all."""
    scale = np.sqrt(np.diag(normal))
    values, vectors = np.linalg.eigh(normal / np.outer(scale, scale))
    along = vectors.T @ (downhill / scale)
    return np.asarray(-(along / (values + _DAMPINGS[:, None])) @ vectors.T / scale)


def _improve(problem: Problem, point: FloatArray, rounds: int) -> Solution:
    left = all_residuals(problem, point[None])[0]
    cost = 0.5 * (robust_squares(left).sum() + (point**2).sum())
    probes = _probes(problem)
    slopes, step, tries = np.empty((0, 0)), _STEP, 0
    for _ in range(rounds):
        slopes = jacobian(problem, point, left, step)
        weights = 1.0 / np.sqrt(1.0 + (left / ROBUST_SD) ** 2)
        normal = slopes.T @ (weights[:, None] * slopes) + np.eye(problem.size)
        downhill = slopes.T @ (weights * left) + point
        trials = np.concatenate([point + np.clip(_damped_steps(normal, downhill), -2.0, 2.0), point + probes])
        found = all_residuals(problem, trials)
        costs = 0.5 * (robust_squares(found).sum(axis=1) + (trials**2).sum(axis=1))
        i = int(np.argmin(costs))
        gained = cost - costs[i]
        if gained > 0.0:
            point, cost, left = trials[i], float(costs[i]), found[i]
        if gained > _LEAST_GAIN * cost:
            tries = 0
            continue
        # An edge beside the point spoils the differences on that side: look to the other one before giving up.
        step, tries = -step, tries + 1
        if tries == 2:
            break
    return Solution(point=point, cost=float(cost), jacobian=slopes, left=left)
