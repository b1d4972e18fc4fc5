"""Slopes and tests of order against scipy, pymannkendall and worked sets."""

import numpy as np
import pymannkendall
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from nextpass.measure import Absent, Trend, mann_kendall, mann_kendall_normal, siegel_slope, theil_sen

LONG = [5.0, 5.1, 5.05, 5.2, 5.15, 5.3, 5.2, 5.35, 5.4, 5.38, 5.5, 5.45]
SHORT = [1.02, 1.05, 1.03, 1.08, 1.10, 1.07, 1.13, 1.15]


def test_theil_sen_of_a_worked_set():
    """scipy 1.17 `theilslopes`: 0.042857, 95 % 0.03333..0.05000; at 90 % it gives the ±."""
    trend = theil_sen(np.arange(12), LONG)
    fit = stats.theilslopes(LONG, np.arange(12), alpha=0.90)
    assert isinstance(trend, Trend)
    assert trend.slope.value == pytest.approx(0.042857, abs=5e-7)
    assert trend.slope.plus_minus == pytest.approx(
        max(fit.slope - fit.low_slope, fit.high_slope - fit.slope), rel=1e-12
    )
    assert trend.method == "Theil-Sen"
    assert trend.at(0.0) == pytest.approx(fit.intercept, rel=1e-12)


def test_slopes_of_a_short_worked_set():
    """scipy 1.17: Theil-Sen 0.0170833, Siegel 0.0179167."""
    trend = theil_sen(np.arange(8), SHORT)
    assert isinstance(trend, Trend)
    assert trend.slope.value == pytest.approx(0.0170833, abs=5e-8)
    assert siegel_slope(np.arange(8), SHORT) == pytest.approx(0.0179167, abs=5e-8)


def test_exact_order_of_a_short_set_agrees_with_scipy():
    """`kendalltau` exact: p 0.0055060, S = 22."""
    test = mann_kendall(SHORT)
    assert test.score == 22
    assert test.p_value == pytest.approx(stats.kendalltau(np.arange(8), SHORT, method="exact").pvalue, rel=1e-12)
    assert test.p_value == pytest.approx(0.0055060, abs=5e-8)
    assert test.method == "Mann-Kendall, exact"


@pytest.mark.parametrize("values", [SHORT, LONG, [3.0, 2.0, 2.0, 1.0, 1.0, 0.5]])
def test_normal_order_agrees_with_pymannkendall(values):
    """Its normal approximation with continuity correction: p 0.0093748 for the short set."""
    expected = pymannkendall.original_test(values)
    test = mann_kendall_normal(values)
    assert test.score == expected.s
    assert test.p_value == pytest.approx(expected.p, rel=1e-9)
    assert test.method == "Mann-Kendall, normal approximation"


def test_ties_take_the_normal_form():
    assert mann_kendall(LONG).method == "Mann-Kendall, normal approximation"
    assert mann_kendall([1.0, 2.0, 3.0, 4.0, 5.5]).method == "Mann-Kendall, exact"


@given(slope=st.floats(-5.0, 5.0), seed=st.integers(0, 1000))
def test_one_wild_value_does_not_tilt_the_line(slope, seed):
    """One of twelve pairs with eleven others: the median of 66 slopes stays among the true ones."""
    position = np.arange(12.0)
    values = slope * position
    values[np.random.default_rng(seed).integers(12)] += 1e6
    trend = theil_sen(position, values)
    assert isinstance(trend, Trend)
    assert trend.slope.value == pytest.approx(slope, abs=1e-6)
    assert siegel_slope(position, values) == pytest.approx(slope, abs=1e-6)


@given(st.lists(st.floats(-10.0, 10.0), min_size=4, max_size=30))
def test_turning_the_order_round_turns_the_score(values):
    forth, back = mann_kendall(values), mann_kendall(values[::-1])
    assert back.score == -forth.score
    assert back.p_value == pytest.approx(forth.p_value, rel=1e-9)


def test_the_order_of_a_trend_is_that_of_its_axis():
    shuffled = np.random.default_rng(3).permutation(12)
    straight, mixed = theil_sen(np.arange(12), LONG), theil_sen(shuffled, np.array(LONG)[shuffled])
    assert isinstance(straight, Trend)
    assert isinstance(mixed, Trend)
    assert mixed.p_value == pytest.approx(straight.p_value, rel=1e-12)


def test_three_values_are_no_trend():
    assert theil_sen([0, 1, 2], [1.0, 2.0, 3.0]) == Absent(reason="3 values are too few for a trend, which takes 4")
    assert theil_sen([1, 1, 1, 1], [1.0, 2.0, 3.0, 4.0]) == Absent(reason="all values stand at one place of the axis")


def test_values_all_alike_show_no_order():
    assert mann_kendall([2.0, 2.0, 2.0]).p_value == 1.0
    assert mann_kendall([2.0]).p_value == 1.0
    assert np.isnan(siegel_slope([1.0], [2.0]))


def test_white_noise_raises_no_more_trends_than_five_percent():
    """1000 seeded sets of ten like values; two standard deviations of the count are 1.4 %."""
    rng = np.random.default_rng(11)
    alarms = sum(mann_kendall(rng.normal(size=10)).p_value < 0.05 for _ in range(1000))
    assert alarms / 1000 <= 0.064
