"""How much did a change do, and how sure is that: two groups of like values with an unknown scatter.

The values are a level, the effect of the change and scatter. The scatter of a single pass is not known well from a
handful, so that every scatter counts by how well it fits the passes and what is usual (an inverse chi-square prior
worth a few passes), and the effect is a mixture of normal distributions over it. What the passes have in common
beside the change (an uncertain correction for the air, the day's grip) comes as a covariance that is known. Most
changes do little and a few a great deal, which a heavy-tailed prior about no effect says. With neither prior nor
covariance this is Student's t.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np
from numpy.typing import NDArray

from nextpass.measure import Absent, Estimate, smallest_effect

FloatArray = NDArray[np.float64]

SURE: Final = 0.95
"""A change is said to have helped, or hurt, from this probability on."""
POWER: Final = 0.80
"""Chance with which the passes that are asked for would settle an effect of the size found."""
MOST_MORE_PASSES: Final = 20
"""More passes a group than this are no answer to anybody."""

CHANGE_FREEDOM: Final = 2.0
"""Degrees of freedom of what changes do: tails heavy enough that a great difference is believed at once."""

# Parts of the t distribution of changes, equally likely: normal ones of these variances, as multiples of the scale's.
_CHANGE_PARTS = 8

# Scatters that are weighed, as multiples of the usual one, and the factor between neighbours: fine against the widths.
_SCATTERS = np.geomspace(1.0 / 25.0, 25.0, 101)


class Verdict(StrEnum):
    """What may be said of a change."""

    HELPED = "helped"
    HURT = "hurt"
    NO_DIFFERENCE = "no difference"  # none that matters
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True, kw_only=True)
class Usual:
    """What is usual of a clock, in its unit.

    Parameters
    ----------
    scatter : float
        Standard deviation of one pass about the car's mean, setup and air alike.
    weight : float
        How many passes' worth of evidence that is; 0 for none.
    change : float
        Size of what changes between passes do: scale of a t distribution with `CHANGE_FREEDOM` degrees of freedom, so
        that most do little and a few do a great deal; infinite for no opinion.
    matters : float
        A difference below this is not worth having.
    """

    scatter: float
    weight: float
    change: float
    matters: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """What going from one group to the other did to one clock.

    Parameters
    ----------
    change : Estimate
        The second group less the first, in the unit of the clock.
    probability_lower : float
        That the second group's true mean is lower.
    scatter : Estimate
        Standard deviation of a single pass, from the passes and what is usual.
    first_count, second_count : int
        Passes that it rests on.
    shared_sd : float
        The part of the change's standard deviation that more passes of the same days would not take away.
    """

    change: Estimate
    probability_lower: float
    scatter: Estimate
    first_count: int
    second_count: int
    shared_sd: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Mixture:
    """A distribution as a weighted mixture of normal ones, shape (k,) each."""

    weights: FloatArray
    means: FloatArray
    sds: FloatArray

    def below(self, value: float) -> float:
        """Probability of less than a value."""
        from scipy import special

        return float(np.sum(self.weights * special.ndtr((value - self.means) / self.sds)))

    def quantile(self, probability: float) -> float:
        """Value below which it lies with a probability."""
        from scipy import optimize

        reach = 60.0 * float(np.max(self.sds))
        low, high = float(np.min(self.means)) - reach, float(np.max(self.means)) + reach
        return float(optimize.brentq(lambda value: self.below(value) - probability, low, high))


def effect_of(first: Sequence[float], second: Sequence[float], shared: FloatArray, usual: Usual) -> Effect | Absent:
    """Effect of going from the first group to the second.

    Parameters
    ----------
    first, second : sequence of float
        The clock of each pass, any unit, the same.
    shared : ndarray, shape (n, n)
        Covariance of what is known to blur the passes, first group first: clocks' own errors on the diagonal,
        uncertain corrections between all [unit squared].
    usual : Usual

    Returns
    -------
    Effect or Absent
        Absent for an empty group, or where neither the passes nor `usual` tell how much a pass scatters.
    """
    if not first or not second:
        return Absent(reason="a group without a pass has no mean")
    freedom = len(first) + len(second) - 2
    if freedom + usual.weight <= 0.0:
        return Absent(reason="one pass each shows no scatter to judge the difference by")
    values = np.array([*first, *second], dtype=np.float64)
    is_second = np.concatenate([np.zeros(len(first)), np.ones(len(second))])
    change, scatter_weights, scatters = _posterior(values, is_second, shared, usual)
    median = change.quantile(0.5)
    low, high = change.quantile(0.05), change.quantile(0.95)
    contrast = is_second / len(second) - (1.0 - is_second) / len(first)
    return Effect(
        change=Estimate(value=median, plus_minus=0.5 * (high - low)),
        probability_lower=change.below(0.0),
        scatter=_scatter_estimate(scatters, scatter_weights),
        first_count=len(first),
        second_count=len(second),
        shared_sd=math.sqrt(max(float(contrast @ shared @ contrast), 0.0)),
    )


def _posterior(
    values: FloatArray, is_second: FloatArray, shared: FloatArray, usual: Usual
) -> tuple[Mixture, FloatArray, FloatArray]:
    """Distribution of the effect, and the weights of the scatters, shape (k,) each."""
    unit = usual.scatter if usual.weight > 0.0 else max(_within(values, is_second), 1e-9)
    scatters = unit * _SCATTERS
    covariance = scatters[:, None, None] ** 2 * np.eye(values.size) + shared
    design = np.stack([np.ones(values.size), is_second], axis=1)
    solved = np.linalg.solve(covariance, np.concatenate([design, values[:, None]], axis=1)[None])
    # Of each scatter (first axis) every size of change is weighed (second axis).
    by_values = (design.T @ solved[..., 2:])[:, None, :, 0]
    by_design = np.repeat((design.T @ solved[..., :2])[:, None], _CHANGE_PARTS, axis=1)
    sizes = _change_sizes(usual)
    by_design[..., 1, 1] += sizes**-2
    best = np.linalg.solve(by_design, by_values[..., None] + np.zeros((1, _CHANGE_PARTS, 1, 1)))[..., 0]
    variances = np.linalg.inv(by_design)[..., 1, 1]
    left = (values @ solved[..., 2:][..., 0].T)[:, None] - np.sum(by_values * best, axis=-1)
    log_weight = -0.5 * (np.linalg.slogdet(covariance)[1][:, None] + np.linalg.slogdet(by_design)[1] + left)
    if math.isfinite(usual.change):
        log_weight -= np.log(sizes)
    # Inverse chi-square in the scatter's logarithm; a weight of nought leaves the scale-free prior.
    log_weight -= usual.weight * (np.log(_SCATTERS) + 0.5 * (usual.scatter / scatters) ** 2)[:, None]
    weights = np.exp(log_weight - log_weight.max())
    weights /= weights.sum()
    change = Mixture(weights=weights.ravel(), means=best[..., 1].ravel(), sds=np.sqrt(variances).ravel())
    return change, weights.sum(axis=1), scatters


def _change_sizes(usual: Usual) -> FloatArray:
    """Standard deviations of the normal parts of the t distribution of changes, shape (parts,)."""
    from scipy import stats

    middles = (np.arange(_CHANGE_PARTS) + 0.5) / _CHANGE_PARTS
    return np.asarray(usual.change * np.sqrt(CHANGE_FREEDOM / stats.chi2.ppf(middles, CHANGE_FREEDOM)))


def _within(values: FloatArray, is_second: FloatArray) -> float:
    """Pooled standard deviation within the groups."""
    groups = values[is_second < 0.5], values[is_second > 0.5]
    squares = sum(float(np.sum((group - group.mean()) ** 2)) for group in groups)
    return math.sqrt(squares / max(values.size - 2, 1))


def _scatter_estimate(scatters: FloatArray, weights: FloatArray) -> Estimate:
    steps = np.cumsum(weights) - 0.5 * weights
    low, median, high = np.interp([0.05, 0.5, 0.95], steps, scatters)
    return Estimate(value=float(median), plus_minus=0.5 * float(high - low))


def verdict_of(effect: Effect, usual: Usual, *, lower_is_better: bool) -> Verdict:
    """What may be said.

    Parameters
    ----------
    effect : Effect
    usual : Usual
        For what difference matters.
    lower_is_better : bool
        True for a time, False for a speed.

    Returns
    -------
    Verdict
    """
    better = effect.probability_lower if lower_is_better else 1.0 - effect.probability_lower
    if better >= SURE:
        return Verdict.HELPED
    if better <= 1.0 - SURE:
        return Verdict.HURT
    if max(abs(effect.change.low), abs(effect.change.high)) <= usual.matters:
        return Verdict.NO_DIFFERENCE
    return Verdict.CANNOT_TELL


def more_passes(effect: Effect, usual: Usual) -> int | None:
    """Further passes in each group that would settle an effect of the size found.

    Parameters
    ----------
    effect : Effect
    usual : Usual
        For what difference matters.

    Returns
    -------
    int or None
        None where no number that anybody runs would do: the difference found does not matter, or what the passes
        share blurs it.
    """
    size = abs(effect.change.value)
    if size < usual.matters:
        return None
    for more in range(1, MOST_MORE_PASSES + 1):
        counts = effect.first_count + more, effect.second_count + more
        shown = smallest_effect(1.0, *counts, power=POWER, significance=2.0 * (1.0 - SURE))
        spread = math.sqrt(effect.scatter.value**2 + effect.shared_sd**2 / (1.0 / counts[0] + 1.0 / counts[1]))
        if shown * spread <= size:
            return more
    return None
