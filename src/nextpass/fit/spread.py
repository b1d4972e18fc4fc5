"""How well the passes know the car: the joint spread of all that was learnt, and what one more pass scatters.

Around the best version the cost is taken as a paraboloid (Laplace): the inverse of its curvature, prior included, is
the covariance, so that what the passes do not touch keeps the width that the car file left it. Points drawn from it are
held against the true cost, and moved along the grip of the tyres to where that has them. Where the residuals of
one kind are larger than their standard deviations, the equations miss something, and that kind counts for less.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from nextpass.fit.evidence import CLOCK_FLOOR
from nextpass.fit.residuals import PASS_GRIP_SD, Problem
from nextpass.fit.solve import LAUNCH_S, ROBUST_SD, Solution, all_residuals, jacobian, robust_squares
from nextpass.measure import HALF_WIDTH_90

FloatArray = NDArray[np.float64]

# What a pass scatters about its version on top of its luck, and what the equations miss [s, m/s]: from fits of two
# and three passes of the proving ground's cars, forecast to the next setup.
USUAL_SCATTER = {
    "t60ft_s": 0.020,
    "t330ft_s": 0.030,
    "t660ft_s": 0.035,
    "t1000ft_s": 0.040,
    "et_s": 0.045,
    "trap_mps": 0.35,
}
# Differences of this many standard deviations tell the slopes.
_WIDE = 0.25
# Places along the grip at which each point is tried, in standard deviations of the paraboloid, which are at least this
# many of the prior, and what moves with it; only the launch is simulated there, where grip decides.
_GRIP_MARKS = np.array([-1.6, -0.7, 0.1, 0.9, 1.9, 3.3])
_LEAST_GRIP_SD = 0.15
_OF_THE_TYRES = ("peak_friction", "peak_slip", "sliding_share", "load_sensitivity", "axle_coupling_nm_per_radps")
# Points that are drawn, and those of them that are kept.
_DRAWN, KEPT = 192, 96
# Passes that the usual values count for against those that were seen.
_USUAL_COUNT = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """The joint spread around a solution.

    Parameters
    ----------
    points : ndarray, shape (m, n)
        Points that the passes do not rule out, equally likely.
    sd : ndarray, shape (n,)
        Standard deviation of each place of the points; 1 where the passes say nothing.
    pass_grip_sd : float
        Scatter of grip from pass to pass [logarithm].
    """

    points: FloatArray
    sd: FloatArray
    pass_grip_sd: float


def spread_of(problem: Problem, solution: Solution, seed: int) -> Spread:
    """Spread of a solution.

    Parameters
    ----------
    problem : Problem
    solution : Solution
    seed : int
        Of the draw.

    Returns
    -------
    spread : Spread
    """
    weights = 1.0 / np.sqrt(1.0 + (solution.left / ROBUST_SD) ** 2)
    excess = max(1.0, float(np.mean(weights * solution.left**2))) if solution.left.size else 1.0
    slopes = _wide_slopes(problem, solution)
    scaled = slopes * np.sqrt(weights / excess)[:, None]
    precision = scaled.T @ scaled + np.eye(problem.size)
    covariance = np.asarray(np.linalg.inv(precision), dtype=np.float64)
    points = _believable(problem, solution, precision, covariance, excess, seed)
    if problem.passes:
        points = _along_grip(problem, solution, points, covariance, excess, seed)
    grips = np.array([solution.point[problem.own(i)[0]] for i in range(len(problem.passes))]) * PASS_GRIP_SD
    variance = (_USUAL_COUNT * PASS_GRIP_SD**2 + float(np.sum(grips**2))) / (_USUAL_COUNT + grips.size)
    return Spread(
        points=points,
        sd=points.std(axis=0) if problem.passes else np.ones(problem.size),
        pass_grip_sd=float(np.sqrt(variance)),
    )


def _wide_slopes(problem: Problem, solution: Solution) -> FloatArray:
    """Jacobian at a solution by wide differences, each to the side on which the passes object less, shape (r, n).

    On one side of the edge at which a wheel breaks loose residuals leap: that difference would claim to know the grip
    to a tenth of a percent. What the passes have against a point is held against it when it is drawn. And two places
    that act alike must differ by like steps, or the car's grip would be known better than any pass's own.
    """
    sides = np.stack([jacobian(problem, solution.point, solution.left, step) for step in (-_WIDE, _WIDE)])
    slopes = np.empty(sides.shape[1:])
    first = 0
    for number, size in enumerate(problem.sizes()):
        rows = slice(first, first + size)
        objection = np.square(sides[:, rows]).sum(axis=1)
        slopes[rows] = np.where(objection[0] < objection[1], sides[0, rows], sides[1, rows])
        for place, own, times in problem.alike(number):
            slopes[rows, place] = times * slopes[rows, own]
        first += size
    return slopes


def _believable(
    problem: Problem, solution: Solution, precision: FloatArray, covariance: FloatArray, excess: float, seed: int
) -> FloatArray:
    """Points drawn from the paraboloid and kept as far as the true cost agrees with it.

    On one side of the edge at which a wheel breaks loose the cost is a cliff that no paraboloid has: a version that
    spins where the pass did not is drawn, simulated and dropped.
    """
    generator = np.random.default_rng(seed)
    half = generator.standard_normal((_DRAWN // 2, problem.size))
    moves = np.concatenate([half, -half]) @ np.linalg.cholesky(covariance).T
    points = solution.point + moves
    if not problem.passes:
        return np.asarray(points[:KEPT])
    drawn = _robust_cost(problem, points, excess)
    at_best = _robust_cost(problem, solution.point[np.newaxis], excess)[0]
    paraboloid = 0.5 * np.einsum("ij,jk,ik->i", moves, precision, moves)
    too_dear = drawn - at_best - paraboloid
    # As likely to be kept as the true cost says against the drawn one, beyond the median of what curvature does to all.
    odds = np.exp(-np.maximum(too_dear - np.median(too_dear), 0.0))
    order = np.argsort(generator.random(_DRAWN) / np.maximum(odds, 1e-300), kind="stable")
    return np.asarray(points[order[:KEPT]])


def _along_grip(
    problem: Problem, solution: Solution, points: FloatArray, covariance: FloatArray, excess: float, seed: int
) -> FloatArray:
    """Points moved along the grip of the tyres to where the true cost has them: one draw of Gibbs on a grid for each.

    Where no pass spun, tyres may hold much more and hardly less: no paraboloid has a long and a short side. The other
    values of the tyres and the luck of each pass move with the grip (griddy Gibbs sampler, Ritter & Tanner,
    J. Am. Stat. Assoc. 87 (1992) 861; from memory).
    """
    place = problem.place("peak_friction")
    path = covariance[:, place] / covariance[place, place]
    path[[i for i, one in enumerate(problem.what) if one.name not in _OF_THE_TYRES]] = 0.0
    marks = max(float(np.sqrt(covariance[place, place])), _LEAST_GRIP_SD) * _GRIP_MARKS
    widths = np.gradient(marks)
    generator = np.random.default_rng([seed, 1])
    jitter = widths * generator.uniform(-0.5, 0.5, (len(points), len(marks)))
    moves = solution.point[place] + marks + jitter - points[:, [place]]
    tried = points[:, np.newaxis] + moves[..., np.newaxis] * path
    launch = replace(problem, horizon_s=LAUNCH_S)
    cost = _robust_cost(launch, tried.reshape(-1, problem.size), excess).reshape(moves.shape)
    chosen = np.argmax(np.log(widths) - cost + generator.gumbel(size=cost.shape), axis=1)
    return np.asarray(tried[np.arange(len(points)), chosen])


def _robust_cost(problem: Problem, points: FloatArray, excess: float) -> FloatArray:
    data = robust_squares(all_residuals(problem, points)).sum(axis=1)
    return np.asarray(0.5 * (data / excess + (points**2).sum(axis=1)))


def scatter_of(problem: Problem, solution: Solution) -> dict[str, float]:
    """What one pass scatters about its version, by clock [s; m/s for the trap speed].

    Parameters
    ----------
    problem : Problem
    solution : Solution

    Returns
    -------
    dict of str to float
        The usual scatter, corrected by what the fit leaves of the passes' own clocks.
    """
    left: dict[str, list[float]] = {name: [] for name in USUAL_SCATTER}
    first = 0
    for one, size in zip(problem.passes, problem.sizes(), strict=True):
        names = [name for name in CLOCK_FLOOR if name in one.clocks]
        for name, residual in zip(names, solution.left[first : first + len(names)], strict=True):
            if name in left:
                left[name].append(float(residual) * one.clocks[name].plus_minus / HALF_WIDTH_90)
        first += size
    return {name: _pooled(usual, left[name]) for name, usual in USUAL_SCATTER.items()}


def _pooled(usual: float, left: list[float]) -> float:
    squares = float(np.sum(np.square(left)))
    return float(np.sqrt((_USUAL_COUNT * usual**2 + squares) / (_USUAL_COUNT + len(left))))
