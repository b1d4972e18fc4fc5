"""Did a change help: the difference of two groups, how sure it is, and what so few passes could show at all.

Two methods, one record. Where the spread from pass to pass is not known it comes from the two groups (Welch). Where the
book knows it from many like passes it is taken as known, and a prior for what a change usually does may be laid over
it: right when many changes are tried and few can be real. Rank and permutation tests are no way out for a handful of
passes: with four against three they cannot reach 5 % whatever the times are, which `least_permutation_p` says.
"""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from nextpass.measure.estimate import Absent, Estimate

SIGNIFICANCE: Final = 0.05
POWER: Final = 0.80
"""Customary risk of a false "it helped", and chance to find a true effect."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """Difference of the means of two groups, the first less the second, as a t distribution.

    Parameters
    ----------
    value : float
        Best value, in the unit of the data.
    standard_error : float
        Its standard deviation, same unit.
    degrees_of_freedom : float
        Infinite for a normal distribution.
    method : str
        What it was computed by, in the user's words.
    """

    value: float
    standard_error: float
    degrees_of_freedom: float
    method: str

    @property
    def estimate(self) -> Estimate:
        """The difference with the half width of its 90 % interval."""
        return Estimate(value=self.value, plus_minus=self.interval(0.90)[1] - self.value)

    @property
    def p_value(self) -> float:
        """Two-sided chance of a difference so great if there were none."""
        from scipy import stats

        return float(2.0 * stats.t.sf(abs(self.value) / self.standard_error, self.degrees_of_freedom))

    def interval(self, level: float) -> tuple[float, float]:
        """Interval that holds the true difference with a probability `level`, 0..1."""
        from scipy import stats

        quantile = float(stats.t.ppf(0.5 * (1.0 + level), self.degrees_of_freedom))
        return self.value - quantile * self.standard_error, self.value + quantile * self.standard_error

    def probability_above(self, threshold: float) -> float:
        """Probability that the true difference exceeds a threshold in the unit of the data."""
        from scipy import stats

        return float(stats.t.sf((threshold - self.value) / self.standard_error, self.degrees_of_freedom))


def welch_difference(first: ArrayLike, second: ArrayLike) -> Difference | Absent:
    """Difference of two groups whose spreads are unknown and may differ.

    Parameters
    ----------
    first, second : array_like, shape (n,)
        The values of each group, any unit, the same.

    Returns
    -------
    Difference or Absent
        Absent with fewer than two values in a group, or where no value differs from its like.

    References
    ----------
    Welch, Biometrika 34 (1947) 28.
    """
    a, b = np.asarray(first, dtype=np.float64), np.asarray(second, dtype=np.float64)
    if min(a.size, b.size) < 2:
        return Absent(reason="a group of one pass shows no spread to judge the difference by")
    variances = np.array([np.var(a, ddof=1) / a.size, np.var(b, ddof=1) / b.size])
    if not np.any(variances):
        return Absent(reason="all passes of each group are alike to the last digit, so their spread is not known")
    freedom = np.sum(variances) ** 2 / np.sum(variances**2 / np.array([a.size - 1, b.size - 1]))
    return Difference(
        value=float(np.mean(a) - np.mean(b)),
        standard_error=math.sqrt(float(np.sum(variances))),
        degrees_of_freedom=float(freedom),
        method="spread taken from the two groups",
    )


def known_spread_difference(
    first: ArrayLike, second: ArrayLike, spread: float, prior_spread: float | None = None
) -> Difference | Absent:
    """Difference of two groups whose spread is known from elsewhere.

    Parameters
    ----------
    first, second : array_like, shape (n,)
        The values of each group, any unit, the same.
    spread : float
        Standard deviation from pass to pass, same unit, above 0.
    prior_spread : float, optional
        Standard deviation of what changes of this kind have done, about no effect; same unit. None for no prior.

    Returns
    -------
    Difference or Absent
        Absent for an empty group. With a prior the difference is drawn towards 0.

    Raises
    ------
    ValueError
        On a spread of zero or less.

    References
    ----------
    Gelman et al., Bayesian Data Analysis, normal mean with known variance (memory).
    """
    if spread <= 0.0 or (prior_spread is not None and prior_spread <= 0.0):
        raise ValueError(f"a known spread must be above 0, not {min(spread, prior_spread or spread):g}")
    a, b = np.asarray(first, dtype=np.float64), np.asarray(second, dtype=np.float64)
    if min(a.size, b.size) < 1:
        return Absent(reason="a group without a pass has no mean")
    variance = spread**2 * (1.0 / a.size + 1.0 / b.size)
    kept = 1.0 if prior_spread is None else prior_spread**2 / (prior_spread**2 + variance)
    return Difference(
        value=kept * float(np.mean(a) - np.mean(b)),
        standard_error=math.sqrt(kept * variance),
        degrees_of_freedom=math.inf,
        method="spread known from like passes" + ("" if prior_spread is None else ", most changes taken to do little"),
    )


def smallest_effect(
    spread: float, first_count: int, second_count: int, power: float = POWER, significance: float = SIGNIFICANCE
) -> float:
    """Smallest true difference that so many passes would find, the spread being known.

    Parameters
    ----------
    spread : float
        Standard deviation from pass to pass, any unit.
    first_count, second_count : int
        Passes in each group, 1 or more.
    power, significance : float
        Chance to find it and risk of a false alarm, two-sided [0..1].

    Returns
    -------
    float
        Difference in the unit of the spread.

    References
    ----------
    Normal theory: (z_(1 - a/2) + z_power) sigma sqrt(1/n1 + 1/n2).
    """
    from scipy import stats

    quantiles = float(stats.norm.ppf(1.0 - 0.5 * significance) + stats.norm.ppf(power))
    return quantiles * spread * math.sqrt(1.0 / first_count + 1.0 / second_count)


def smallest_effect_by_t(
    spread: float, first_count: int, second_count: int, power: float = POWER, significance: float = SIGNIFICANCE
) -> float:
    """Smallest true difference that so many passes would find, the spread coming from themselves.

    Parameters
    ----------
    spread : float
        True standard deviation from pass to pass, any unit.
    first_count, second_count : int
        Passes in each group, 2 or more.
    power, significance : float
        Chance to find it and risk of a false alarm, two-sided [0..1].

    Returns
    -------
    float
        Difference in the unit of the spread.

    References
    ----------
    Cohen, Statistical Power Analysis (memory): noncentral t with n1 + n2 - 2 degrees of freedom.
    """
    from scipy import optimize, stats

    freedom = first_count + second_count - 2
    critical = float(stats.t.ppf(1.0 - 0.5 * significance, freedom))

    def lacking_power(noncentrality: float) -> float:
        # A find with the wrong sign has a chance below 1e-4 wherever the power is of use, and is none: left out.
        return float(stats.nct.sf(critical, freedom, noncentrality)) - power

    noncentrality = float(optimize.brentq(lacking_power, 0.0, 3.0 * critical + 5.0))
    return noncentrality * spread * math.sqrt(1.0 / first_count + 1.0 / second_count)


def passes_needed(effect: float, spread: float, power: float = POWER, significance: float = SIGNIFICANCE) -> int:
    """Passes in each of two groups that would settle a true difference, the spread being known.

    Parameters
    ----------
    effect : float
        The difference to be found, any unit, not 0.
    spread : float
        Standard deviation from pass to pass, same unit.
    power, significance : float
        Chance to find it and risk of a false alarm, two-sided [0..1].

    Returns
    -------
    int
        Passes a group.

    Raises
    ------
    ValueError
        On an effect of zero, which no number of passes would find.

    References
    ----------
    `smallest_effect` solved for like counts.
    """
    if effect == 0.0:
        raise ValueError("effect must differ from 0: no number of passes finds a difference that is not there")
    return math.ceil((smallest_effect(spread, 1, 1, power, significance) / abs(effect)) ** 2)


def permutation_p(first: ArrayLike, second: ArrayLike) -> float:
    """Two-sided chance of a difference of means so great if the passes were dealt into the groups at random.

    Parameters
    ----------
    first, second : array_like, shape (n,)
        The values of each group, any unit, the same.

    Returns
    -------
    float
        Probability [0..1], exact up to 9999 ways to deal them.

    References
    ----------
    Fisher's randomisation test, by `scipy.stats.permutation_test`.
    """
    from scipy import stats

    groups = (np.asarray(first, dtype=np.float64), np.asarray(second, dtype=np.float64))

    def difference(a: NDArray[np.float64], b: NDArray[np.float64], axis: int) -> NDArray[np.float64]:
        return np.asarray(np.mean(a, axis=axis) - np.mean(b, axis=axis))

    return float(stats.permutation_test(groups, difference, vectorized=True, rng=np.random.default_rng(0)).pvalue)


def least_permutation_p(first_count: int, second_count: int) -> float:
    """Smallest probability that a rank or permutation test can give, whatever the values.

    Parameters
    ----------
    first_count, second_count : int
        Passes in each group, 1 or more.

    Returns
    -------
    float
        Probability [0..1]: above 5 % for less than four against four.

    References
    ----------
    Two of the C(n1 + n2, n1) ways to deal the passes are as extreme as can be.
    """
    return min(1.0, 2.0 / math.comb(first_count + second_count, first_count))
