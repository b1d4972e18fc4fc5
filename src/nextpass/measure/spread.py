"""How much do like passes scatter, and how well is that itself known?

Pooled within groups, so that days of unlike air or setup add their scatter and not their difference. Four passes know
their spread to a factor of six, twenty to a factor of two: the interval says so.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from nextpass.measure.estimate import Absent


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """Standard deviation of like values.

    Parameters
    ----------
    value : float
        Standard deviation, in the unit of the data.
    degrees_of_freedom : int
        Values less groups.
    """

    value: float
    degrees_of_freedom: int

    def interval(self, level: float) -> tuple[float, float]:
        """Interval that holds the true standard deviation with a probability `level`, 0..1."""
        from scipy import stats

        freedom = self.degrees_of_freedom
        above = float(stats.chi2.ppf(0.5 * (1.0 + level), freedom))
        below = float(stats.chi2.ppf(0.5 * (1.0 - level), freedom))
        return self.value * math.sqrt(freedom / above), self.value * math.sqrt(freedom / below)


def pooled_spread(groups: Sequence[ArrayLike]) -> Spread | Absent:
    """Spread within groups of like values.

    Parameters
    ----------
    groups : sequence of array_like, shape (n,)
        The values of each group, any unit, the same; groups of one add nothing.

    Returns
    -------
    Spread or Absent
        Absent where no group has two values.

    References
    ----------
    JCGM 100:2008, H.3.6, pooled variance; chi-square interval for normal values.
    """
    arrays = [np.asarray(group, dtype=np.float64) for group in groups]
    freedom = sum(max(array.size - 1, 0) for array in arrays)
    if freedom == 0:
        return Absent(reason="no two passes are alike enough to show a spread")
    squares = sum(float(np.sum((array - np.mean(array)) ** 2)) for array in arrays if array.size)
    return Spread(value=math.sqrt(squares / freedom), degrees_of_freedom=freedom)


def robust_sd(values: ArrayLike) -> float:
    """Standard deviation that a few wild values do not move.

    Parameters
    ----------
    values : array_like, shape (n,)
        Any unit.

    Returns
    -------
    float
        1.4826 times the median distance from the median, same unit; nan for no values.

    References
    ----------
    Hampel, J. Am. Stat. Assoc. 69 (1974) 383, by `scipy.stats.median_abs_deviation`.
    """
    from scipy import stats

    array = np.asarray(values, dtype=np.float64)
    if array.size == 0:
        return math.nan
    return float(stats.median_abs_deviation(array, scale="normal"))
