"""Differences of groups against scipy, statsmodels and worked sets of times."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.power import TTestIndPower

from nextpass.measure import (
    Absent,
    Difference,
    known_spread_difference,
    least_permutation_p,
    passes_needed,
    permutation_p,
    smallest_effect,
    smallest_effect_by_t,
    welch_difference,
)

# Two sets of elapsed times [s], before and after a difference.
FIRST = ([11.26, 11.31, 11.22, 11.29], [11.18, 11.21, 11.15])
SECOND = ([11.62, 11.58, 11.65, 11.60], [11.51, 11.55, 11.48])


@pytest.mark.parametrize("groups", [FIRST, SECOND])
def test_welch_agrees_with_scipy(groups):
    difference = welch_difference(*groups)
    expected = stats.ttest_ind(*groups, equal_var=False)
    assert isinstance(difference, Difference)
    assert difference.value / difference.standard_error == pytest.approx(expected.statistic, rel=1e-12)
    assert difference.degrees_of_freedom == pytest.approx(expected.df, rel=1e-12)
    assert difference.p_value == pytest.approx(expected.pvalue, rel=1e-9)
    ends = expected.confidence_interval(0.95)
    assert difference.interval(0.95) == pytest.approx((ends.low, ends.high), rel=1e-9)


def test_welch_of_the_worked_sets():
    """scipy 1.17 `ttest_ind(equal_var=False)`: t 3.44291 and p 0.018564; df 3.97735 and p 0.0171706."""
    first, second = welch_difference(*FIRST), welch_difference(*SECOND)
    assert isinstance(first, Difference)
    assert isinstance(second, Difference)
    assert (first.value, first.p_value) == pytest.approx((0.090, 0.018564), abs=5e-7)
    assert first.degrees_of_freedom == pytest.approx(4.96847, abs=5e-6)
    assert first.interval(0.95) == pytest.approx((0.02267, 0.15733), abs=6e-6)
    assert second.p_value == pytest.approx(0.0171706, abs=5e-8)
    assert second.interval(0.95) == pytest.approx((0.029099, 0.169235), abs=6e-7)


def test_plus_minus_of_a_difference_is_its_ninety_percent_interval():
    difference = welch_difference(*SECOND)
    assert isinstance(difference, Difference)
    assert (difference.estimate.low, difference.estimate.high) == pytest.approx(difference.interval(0.90))


def test_known_spread_of_the_worked_set():
    """Normal theory, 0.03 s known: 0.0991667, se 0.0229129, p 1.505e-5, 95 % 0.05426..0.14408, P(> 0.05) 0.98406."""
    difference = known_spread_difference(*SECOND, spread=0.03)
    assert isinstance(difference, Difference)
    assert (difference.value, difference.standard_error) == pytest.approx((0.0991667, 0.0229129), abs=6e-8)
    assert difference.p_value == pytest.approx(1.505e-5, rel=5e-4)
    assert difference.interval(0.95) == pytest.approx((0.05426, 0.14408), abs=6e-6)
    assert difference.probability_above(0.05) == pytest.approx(0.98406, abs=6e-6)


def test_a_prior_draws_the_difference_towards_nothing():
    """Conjugate normal, prior 0.05 s about 0: 0.0819559 +- 0.0208299 and P(> 0) 0.999958."""
    difference = known_spread_difference(*SECOND, spread=0.03, prior_spread=0.05)
    assert isinstance(difference, Difference)
    assert (difference.value, difference.standard_error) == pytest.approx((0.0819559, 0.0208299), abs=6e-8)
    assert difference.probability_above(0.0) == pytest.approx(0.999958, abs=6e-7)


@pytest.mark.parametrize(("count", "effect_s"), [(1, 0.1189), (2, 0.0840), (3, 0.0686), (5, 0.0532), (8, 0.0420)])
def test_smallest_effect_with_known_spread(count, effect_s):
    """(1.95996 + 0.84162) x 0.03 s x sqrt(2/n), arithmetic."""
    assert smallest_effect(0.03, count, count) == pytest.approx(effect_s, abs=6e-5)


def test_smallest_effect_of_four_against_three():
    """Arithmetic: 0.06419 s."""
    assert smallest_effect(0.03, 4, 3) == pytest.approx(0.06419, abs=6e-6)


@pytest.mark.parametrize(("count", "effect_s"), [(3, 0.0921), (4, 0.0714), (5, 0.0607), (8, 0.0452)])
def test_smallest_effect_with_estimated_spread_agrees_with_statsmodels(count, effect_s):
    relative = TTestIndPower().solve_power(nobs1=count, alpha=0.05, power=0.80)
    ours = smallest_effect_by_t(0.03, count, count)
    assert ours == pytest.approx(0.03 * relative, rel=1e-5)
    assert ours == pytest.approx(effect_s, abs=6e-5)


def test_passes_that_would_settle_an_effect():
    """Arithmetic: (2.80159 x 0.03 x sqrt(2)/0.05)^2 = 5.65, so 6; and 6 find 0.0485 s."""
    assert passes_needed(0.05, 0.03) == 6
    assert smallest_effect(0.03, 6, 6) <= 0.05 < smallest_effect(0.03, 5, 5)


def test_permutation_agrees_with_counting():
    """Second set: every other deal is less extreme, 2/C(7, 3) = 0.0571429."""
    assert permutation_p(*SECOND) == pytest.approx(2.0 / math.comb(7, 3), rel=1e-12)


@pytest.mark.parametrize(
    ("counts", "least"), [((2, 2), 0.333), ((3, 3), 0.100), ((4, 3), 0.057), ((4, 4), 0.0286), ((5, 5), 0.0079)]
)
def test_few_passes_cannot_reach_five_percent_by_rank(counts, least):
    """Counting; scipy's exact Mann-Whitney test gives the same for groups that do not overlap."""
    assert least_permutation_p(*counts) == pytest.approx(least, abs=5e-4)
    apart = (np.arange(counts[0]), 100.0 + np.arange(counts[1]))
    assert least_permutation_p(*counts) == pytest.approx(stats.mannwhitneyu(*apart, method="exact").pvalue, rel=1e-12)


@given(shift=st.floats(-1.0, 1.0), seed=st.integers(0, 1000))
def test_a_shift_of_one_group_is_a_shift_of_the_difference(shift, seed):
    rng = np.random.default_rng(seed)
    first, second = rng.normal(11.0, 0.03, 5), rng.normal(11.0, 0.03, 4)
    still, moved = welch_difference(first, second), welch_difference(first + shift, second)
    assert isinstance(still, Difference)
    assert isinstance(moved, Difference)
    assert moved.value - still.value == pytest.approx(shift, abs=1e-9)
    assert moved.standard_error == pytest.approx(still.standard_error, rel=1e-6)


def test_one_pass_shows_no_spread():
    assert welch_difference([11.2], [11.1, 11.15]) == Absent(
        reason="a group of one pass shows no spread to judge the difference by"
    )


def test_passes_alike_to_the_last_digit_show_no_spread():
    assert welch_difference([11.2, 11.2], [11.1, 11.1]) == Absent(
        reason="all passes of each group are alike to the last digit, so their spread is not known"
    )


def test_an_empty_group_has_no_mean():
    assert known_spread_difference([], [11.1], spread=0.03) == Absent(reason="a group without a pass has no mean")


def test_a_spread_of_zero_is_refused():
    with pytest.raises(ValueError, match=r"^a known spread must be above 0, not 0$"):
        known_spread_difference([11.2], [11.1], spread=0.0)


def test_no_effect_is_never_found():
    with pytest.raises(ValueError, match=r"^effect must differ from 0: no number of passes finds"):
        passes_needed(0.0, 0.03)


def test_welch_raises_no_more_false_alarms_than_it_says():
    """2000 pairs of like groups, seeded: 5 % of alarms, give or take two standard deviations of the count."""
    rng = np.random.default_rng(7)
    alarms = 0
    for _ in range(2000):
        difference = welch_difference(rng.normal(0.0, 1.0, 4), rng.normal(0.0, 1.0, 3))
        assert isinstance(difference, Difference)
        alarms += difference.p_value < 0.05
    assert alarms / 2000 == pytest.approx(0.05, abs=0.01)
