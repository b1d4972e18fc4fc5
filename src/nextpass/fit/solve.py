"""Robust least squares of a car against its passes.

Damped Gauss-Newton steps with weights that fade for residuals which no version explains (soft L1), the Jacobian by
forward differences of the simulation in one batch, several damping factors tried at once. The way to a wheel that
spins where none did is a cliff, so the search begins from the best of many launches.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nextpass.fit.residuals import Problem, residuals

FloatArray = NDArray[np.float64]

# Residuals beyond this many standard deviations lose weight.
ROBUST_SD = 2.0
_STEP = 0.1
_DAMPINGS = np.array([0.0, 0.1, 1.0, 10.0, 100.0])
_STARTS = 48
_KEPT_STARTS = 2


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


def solve(problem: Problem, seed: int, progress: Callable[[float], None] | None = None, rounds: int = 10) -> Solution:
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
    starts = _starts(problem, seed)
    costs = _costs(problem, starts)
    candidates = [starts[i] for i in np.argsort(costs)[:_KEPT_STARTS]]
    improved = [_improve(problem, point, 3) for point in candidates]
    best = min(improved, key=lambda solution: solution.cost)
    if progress is not None:
        progress(0.5)
    best = _improve(problem, best.point, rounds)
    if progress is not None:
        progress(1.0)
    return best


def _starts(problem: Problem, seed: int) -> FloatArray:
    """Points that differ in what decides whether a wheel spins."""
    generator = np.random.default_rng(seed)
    points = np.zeros((_STARTS, problem.size))
    names = [one.name for one in problem.what]
    for name, low, high in (
        ("peak_friction", -1.5, 2.0),
        ("launch_release_s", -0.5, 2.0),
        ("launch_feed", -1.5, 0.5),
        ("torque_scale", -1.0, 1.0),
        ("threshold_rpm", -1.0, 1.0),
        ("launch_flare_rpm", -1.5, 1.0),
        ("shift_torque_share", -1.0, 1.0),
    ):
        points[1:, names.index(name)] = generator.uniform(low, high, _STARTS - 1)
    return points


def all_residuals(problem: Problem, points: FloatArray) -> FloatArray:
    """Residuals of all passes at many points, shape (m, r)."""
    if not problem.passes:
        return np.zeros((len(points), 0))
    return np.concatenate(residuals(problem, points, range(len(problem.passes))), axis=1)


def _robust(left: FloatArray) -> FloatArray:
    """Robust squares (soft L1), same shape."""
    return np.asarray(2.0 * ROBUST_SD**2 * (np.sqrt(1.0 + (left / ROBUST_SD) ** 2) - 1.0))


def _costs(problem: Problem, points: FloatArray) -> FloatArray:
    data = _robust(all_residuals(problem, points)).sum(axis=1)
    return np.asarray(0.5 * (data + (points**2).sum(axis=1)))


def jacobian(problem: Problem, point: FloatArray, left: FloatArray) -> FloatArray:
    """Jacobian of the residuals of all passes by forward differences, shape (r, n)."""
    unit = _STEP * np.eye(problem.size)
    columns = np.zeros((left.size, problem.size))
    shared = problem.shared
    columns[:, shared] = (all_residuals(problem, point + unit[shared]) - left).T / _STEP
    first = 0
    for number in range(len(problem.passes)):
        own = problem.own(number)
        moved = residuals(problem, point + unit[own], [number])[0]
        last = first + moved.shape[1]
        columns[first:last, own] = (moved - left[first:last]).T / _STEP
        first = last
    return columns


def _improve(problem: Problem, point: FloatArray, rounds: int) -> Solution:
    left = all_residuals(problem, point[None])[0]
    cost = 0.5 * (_robust(left).sum() + (point**2).sum())
    slopes = jacobian(problem, point, left)
    for turn in range(rounds):
        if turn:
            slopes = jacobian(problem, point, left)
        weights = 1.0 / np.sqrt(1.0 + (left / ROBUST_SD) ** 2)
        normal = slopes.T @ (weights[:, None] * slopes) + np.eye(problem.size)
        downhill = slopes.T @ (weights * left) + point
        steps = [np.linalg.solve(normal + damping * np.eye(problem.size), -downhill) for damping in _DAMPINGS]
        trials = point + np.stack([np.clip(step, -2.0, 2.0) for step in steps])
        found = all_residuals(problem, trials)
        costs = 0.5 * (_robust(found).sum(axis=1) + (trials**2).sum(axis=1))
        i = int(np.argmin(costs))
        if costs[i] >= cost:
            break
        gained = cost - costs[i]
        point, cost, left = trials[i], float(costs[i]), found[i]
        if gained < 1e-3 * cost:
            break
    return Solution(point=point, cost=float(cost), jacobian=slopes, left=left)
