"""Spread of like passes against scipy and the chi-square distribution."""

import numpy as np
import pytest
from scipy import stats

from nextpass.measure import Absent, Spread, pooled_spread, robust_sd


def test_spread_is_pooled_within_groups():
    """Arithmetic: deviations of 0.01 within each of two days that lie a second apart."""
    spread = pooled_spread([[11.00, 11.02], [12.00, 12.02], [11.5]])
    assert isinstance(spread, Spread)
    assert spread.degrees_of_freedom == 2
    assert spread.value == pytest.approx(np.sqrt(4 * 0.01**2 / 2), rel=1e-9)


def test_spread_of_one_group_is_the_sample_standard_deviation():
    times = [11.26, 11.31, 11.22, 11.29]
    spread = pooled_spread([times])
    assert isinstance(spread, Spread)
    assert spread.value == pytest.approx(np.std(times, ddof=1), rel=1e-12)


def test_four_passes_know_their_spread_to_a_factor_of_six():
    """Chi-square with 3 degrees of freedom, s = 0.03 s: 95 % 0.0170..0.1119."""
    low, high = Spread(value=0.03, degrees_of_freedom=3).interval(0.95)
    assert (low, high) == pytest.approx((0.0170, 0.1119), abs=6e-5)


def test_robust_spread_agrees_with_scipy_and_ignores_a_wild_pass():
    """1.4826 times the median distance: 0.029652 for this set."""
    times = [11.62, 11.58, 11.65, 11.60]
    assert robust_sd(times) == pytest.approx(0.029652, abs=5e-7)
    assert robust_sd(times) == pytest.approx(stats.median_abs_deviation(times, scale="normal"), rel=1e-12)
    assert robust_sd([*times, 15.0]) < 0.06 < np.std([*times, 15.0], ddof=1)
    assert np.isnan(robust_sd([]))


def test_single_passes_show_no_spread():
    assert pooled_spread([[11.0], [12.0], []]) == Absent(reason="no two passes are alike enough to show a spread")
