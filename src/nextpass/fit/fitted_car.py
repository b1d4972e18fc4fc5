"""The car as its passes show it: the best version, the joint samples around it, and what stays unknown."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Assumed, Car, Conditions
from nextpass.fit.residuals import DAY_GRIP_SD, PASS_FEED_SD, PASS_RELEASE_SD, Problem, with_luck
from nextpass.fit.solve import Solution
from nextpass.fit.spread import Spread
from nextpass.measure import Estimate
from nextpass.review import ReviewedPass
from nextpass.sim import Parameters

FloatArray = NDArray[np.float64]

# A strip whose surface or air has moved further than this is another day, though the date be the same [K, kPa].
_SAME_TRACK_K, _SAME_AIR_K, _SAME_KPA = 6.0, 5.0, 0.8
# Grip moves with the surface's temperature by about this much a kelvin (common practice: 10 % over 30 K).
_GRIP_PER_TRACK_K = 0.0033


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedCar:
    """A car after its passes.

    Parameters
    ----------
    car : Car
        The car file.
    parameters : Parameters
        The best version, with the grip of the newest day.
    values : Mapping[str, Estimate]
        What was learnt, by field of `Parameters`; `grip` is that of the newest day.
    scatter_sd : Mapping[str, float]
        What one pass scatters about its version [s; m/s for `trap_mps`], by clock.
    pass_grip_sd : float
        Scatter of grip from pass to pass [logarithm].
    unknown : tuple of str
        What the passes leave open, with the one measurement that would tell most.
    assumed : tuple of Assumed
        From the car file.
    newest : ReviewedPass or None
        The newest pass.
    passes : tuple of ReviewedPass
        Those that it was fitted to, oldest first, in the order of the problem's.
    """

    car: Car
    parameters: Parameters
    values: Mapping[str, Estimate]
    scatter_sd: Mapping[str, float]
    pass_grip_sd: float
    unknown: tuple[str, ...]
    assumed: tuple[Assumed, ...]
    newest: ReviewedPass | None
    passes: tuple[ReviewedPass, ...]
    problem: Problem
    solution: Solution
    spread: Spread

    def versions(self, conditions: Conditions, count: int = 96, seed: int = 0) -> tuple[Parameters, ...]:
        """Versions of the car that the passes do not rule out, each with the luck of one pass to come.

        Parameters
        ----------
        conditions : Conditions
            Of the pass to come; on another day the grip is wider.
        count : int
            How many, equally likely.
        seed : int
            The same seed gives the same versions.

        Returns
        -------
        tuple of Parameters
        """
        generator = np.random.default_rng(seed)
        problem, n = self.problem, len(self.problem.what)
        points = self._drawn(generator, count)
        luck = generator.standard_normal((count, 4))
        day_sd = self._other_day_sd(conditions)
        found = []
        for point, (grip, release, day, feed) in zip(points, luck, strict=True):
            log_grip = self.spread.pass_grip_sd * grip + day_sd * day
            if not day_sd and problem.passes:
                log_grip += problem.day_grip(point, problem.passes[-1].day)
            version = problem.parameters(np.concatenate([point[:n], np.zeros(problem.size - n)]))
            found.append(with_luck(version, log_grip, PASS_RELEASE_SD * release, PASS_FEED_SD * feed))
        return tuple(found)

    def versions_by_pass(self, count: int = 24, seed: int = 0) -> tuple[tuple[Parameters, ...], ...]:
        """Versions of the car with the grip of the day of each pass that it was fitted to, without a pass's own luck.

        Parameters
        ----------
        count : int
            How many beside the best one, equally likely.
        seed : int
            The same seed gives the same versions.

        Returns
        -------
        tuple of tuple of Parameters, shape (1 + count, passes)
            The best version first; passes in the order of the fit.
        """
        problem = self.problem
        points = np.concatenate([self.solution.point[np.newaxis], self._drawn(np.random.default_rng(seed), count)])
        found = []
        for point in points:
            version = problem.parameters(point)
            days = [float(problem.day_grip(point, one.day)) for one in problem.passes]
            found.append(tuple(with_luck(version, grip, 0.0) for grip in days))
        return tuple(found)

    def _drawn(self, generator: np.random.Generator, count: int) -> FloatArray:
        """Some of the believable points, none twice before all have come, shape (count, n)."""
        every = generator.permutation(len(self.spread.points))
        return np.asarray(self.spread.points[np.resize(every, count)])

    def _other_day_sd(self, conditions: Conditions) -> float:
        """Spread of the day's grip [logarithm]; 0 on the newest pass's own day."""
        if self.newest is None:
            return 0.0
        then = self.newest.record.conditions
        track_k = abs(conditions.track_temperature_c - then.track_temperature_c)
        air_k = abs(conditions.air_temperature_c - then.air_temperature_c)
        if (
            track_k <= _SAME_TRACK_K
            and air_k <= _SAME_AIR_K
            and abs(conditions.pressure_kpa - then.pressure_kpa) <= _SAME_KPA
        ):
            return 0.0
        return float(np.hypot(DAY_GRIP_SD, _GRIP_PER_TRACK_K * track_k))
