"""Does something drift, and how fast: slopes that a wild pass does not tilt, and tests of order alone.

Two slopes (Theil-Sen, Siegel) and one test (Mann-Kendall) in two forms. For a few values without ties the exact form is
right and the normal one with continuity correction a little cautious; both are in use and differ by a factor of two in
p, so each result names its method.
"""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from nextpass.measure.estimate import Absent, Estimate

LEAST_VALUES: Final = 4
"""Fewest values for a trend: three in order happen by chance one time in three."""

# Up to here the exact distribution is used where no values tie; beyond it the normal one is as good.
_EXACT_UP_TO = 50


@dataclass(frozen=True, slots=True, kw_only=True)
class Trend:
    """A straight line through values over something that grows: days, launches, passes.

    Parameters
    ----------
    slope : Estimate
        In the unit of the values over that of the axis, with the half width of its 90 % interval.
    intercept : float
        Value at the axis' zero, in the unit of the values.
    p_value : float
        Two-sided chance of so much order if there were none, by `test`.
    method, test : str
        Names of the slope and of the test.
    """

    slope: Estimate
    intercept: float
    p_value: float
    method: str
    test: str

    def at(self, position: float) -> float:
        """The line's value at a position on its axis."""
        return self.intercept + self.slope.value * position


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderTest:
    """Whether values rise or fall, by their order alone.

    Parameters
    ----------
    score : int
        Pairs that rise less pairs that fall.
    p_value : float
        Two-sided chance of such a score if there were no order.
    method : str
        Name of the test.
    """

    score: int
    p_value: float
    method: str


def theil_sen(positions: ArrayLike, values: ArrayLike) -> Trend | Absent:
    """Trend by the median of the slopes of all pairs; up to 29 % of wild values do not move it far.

    Parameters
    ----------
    positions : array_like, shape (n,)
        Axis: days, launches, passes.
    values : array_like, shape (n,)
        Any unit.

    Returns
    -------
    Trend or Absent
        Absent with fewer than `LEAST_VALUES` values, or all at one position. The interval of the slope is made even
        about its value by the wider side.

    References
    ----------
    Theil (1950), Sen, J. Am. Stat. Assoc. 63 (1968) 1379, by `scipy.stats.theilslopes`.
    """
    from scipy import stats

    x, y = np.asarray(positions, dtype=np.float64), np.asarray(values, dtype=np.float64)
    refusal = _too_little(x)
    if refusal is not None:
        return refusal
    fit = stats.theilslopes(y, x, alpha=0.90)
    test = mann_kendall(y[np.argsort(x, kind="stable")])
    half_width = max(float(fit.slope - fit.low_slope), float(fit.high_slope - fit.slope))
    return Trend(
        slope=Estimate(value=float(fit.slope), plus_minus=half_width),
        intercept=float(fit.intercept),
        p_value=test.p_value,
        method="Theil-Sen",
        test=test.method,
    )


def siegel_slope(positions: ArrayLike, values: ArrayLike) -> float:
    """Slope by repeated medians, which up to half of wild values do not move far.

    Parameters
    ----------
    positions : array_like, shape (n,)
        Axis: days, launches, passes.
    values : array_like, shape (n,)
        Any unit.

    Returns
    -------
    float
        Slope in the unit of the values over that of the axis; nan for fewer than two positions.

    References
    ----------
    Siegel, Biometrika 69 (1982) 242, by `scipy.stats.siegelslopes`.
    """
    from scipy import stats

    x, y = np.asarray(positions, dtype=np.float64), np.asarray(values, dtype=np.float64)
    if np.unique(x).size < 2:
        return math.nan
    return float(stats.siegelslopes(y, x).slope)


def mann_kendall(values: ArrayLike) -> OrderTest:
    """Whether values in order rise or fall: exact where few and without ties, else by the normal approximation.

    Parameters
    ----------
    values : array_like, shape (n,)
        In the order in which they came, any unit.

    Returns
    -------
    OrderTest

    References
    ----------
    Mann, Econometrica 13 (1945) 245; Kendall, Rank Correlation Methods, by `scipy.stats.kendalltau`.
    """
    from scipy import stats

    y = np.asarray(values, dtype=np.float64)
    if y.size > _EXACT_UP_TO or np.unique(y).size < y.size:
        return mann_kendall_normal(y)
    if y.size < 2:
        return OrderTest(score=0, p_value=1.0, method="Mann-Kendall, exact")
    p_value = float(stats.kendalltau(np.arange(y.size), y, method="exact").pvalue)
    return OrderTest(score=_score(y), p_value=p_value, method="Mann-Kendall, exact")


def mann_kendall_normal(values: ArrayLike) -> OrderTest:
    """Whether values in order rise or fall, by the normal approximation with ties and continuity corrected.

    Parameters
    ----------
    values : array_like, shape (n,)
        In the order in which they came, any unit.

    Returns
    -------
    OrderTest
        A p of 1 where all values are alike.

    References
    ----------
    Gilbert, Statistical Methods for Environmental Pollution Monitoring (1987), section 16.4 (memory).
    """
    from scipy import stats

    y = np.asarray(values, dtype=np.float64)
    score, n = _score(y), y.size
    ties = np.unique(y, return_counts=True)[1]
    variance = (n * (n - 1) * (2 * n + 5) - np.sum(ties * (ties - 1) * (2 * ties + 5))) / 18.0
    z = 0.0 if score == 0 else (abs(score) - 1) / math.sqrt(variance)
    return OrderTest(score=score, p_value=float(2.0 * stats.norm.sf(z)), method="Mann-Kendall, normal approximation")


def _score(y: NDArray[np.float64]) -> int:
    return int(np.sum(np.triu(np.sign(y[np.newaxis, :] - y[:, np.newaxis]), k=1)))


def _too_little(x: NDArray[np.float64]) -> Absent | None:
    if x.size < LEAST_VALUES:
        return Absent(reason=f"{x.size} values are too few for a trend, which takes {LEAST_VALUES}")
    if np.unique(x).size < 2:
        return Absent(reason="all values stand at one place of the axis")
    return None
