"""Road load, moved mass and wheel power against worked examples and scipy."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from nextpass.physics import roadload


def test_drag_and_rolling_resistance_of_a_worked_car():
    """Arithmetic: 1.225 kg/m3, 0.62 m2 at 40 m/s: 607.6 N; 1700 kg, 0.014: 233.4 N."""
    assert roadload.drag_n(40.0, 1.225, 0.62) == pytest.approx(607.6, abs=1e-9)
    assert roadload.rolling_resistance_n(1700.0, 0.014) == pytest.approx(233.4, abs=0.05)


def test_headwind_counts_by_the_square():
    """Arithmetic: 3 m/s against 57 m/s adds (60/57)^2."""
    assert roadload.drag_n(57.0, 1.2, 0.6, 3.0) / roadload.drag_n(57.0, 1.2, 0.6) == pytest.approx((60 / 57) ** 2)


def test_a_tailwind_can_push():
    assert roadload.drag_n(2.0, 1.2, 0.6, -5.0) < 0.0


def test_a_thousandth_of_slope_is_a_force():
    """Arithmetic: 1700 kg x 9.80665 x 0.001 = 16.67 N, 7 % of the rolling resistance."""
    assert roadload.slope_n(1700.0, 0.001) == pytest.approx(16.67, abs=5e-3)


@pytest.mark.parametrize(
    ("ratio", "factor"),
    [(15.02, 1.6040), (8.51, 1.2211), (3.70, 1.0742), (5.88, 1.1264), (4.63, 1.0936), (2.96, 1.0619)],
)
def test_typical_mass_factor_of_gillespie(ratio, factor):
    """Gillespie (1992), eq. 2-10 (memory): 1.04 + 0.0025 N^2."""
    assert roadload.typical_mass_factor(ratio) == pytest.approx(factor, abs=6e-5)


@pytest.mark.parametrize(("ratio", "factor"), [(15.02, 1.2497), (8.51, 1.1001), (3.70, 1.0427)])
def test_summed_inertias_of_a_worked_car(ratio, factor):
    """Arithmetic: engine 0.20, four wheels of 1.5 kg m2, r 0.347 m, 1700 kg."""
    mass = roadload.effective_mass_kg(1700.0, 1.5, 0.347, 0.20, ratio)
    assert mass / 1700.0 == pytest.approx(factor, abs=6e-5)


def test_wheel_power_of_a_worked_moment():
    """Arithmetic: 45 m/s, 3.2 m/s2, 1700 kg x 1.045, 1.18 kg/m3, 0.62 m2, 0.014: 299,652 W."""
    resistance_n = roadload.drag_n(45.0, 1.18, 0.62) + roadload.rolling_resistance_n(1700.0, 0.014)
    power_w = roadload.wheel_power_w(45.0, 3.2, 1700.0 * 1.045, resistance_n)
    assert power_w == pytest.approx(299_652.0, abs=1.0)


def test_a_tenth_of_accelerometer_bias_is_eight_kilowatts():
    """Arithmetic: 0.1 m/s2 x 1776.5 kg x 45 m/s."""
    low, high = roadload.wheel_power_w(45.0, np.array([3.2, 3.3]), 1776.5, 974.0)
    assert high - low == pytest.approx(8.0e3, rel=2e-3)


def test_top_speed_agrees_with_a_root_finder():
    """264 kW at the wheels, 1.225 kg/m3, 0.62 m2, 0.014, 1700 kg; scipy brentq to its tolerance: 86.2746 m/s."""
    constant_n, drag = roadload.rolling_resistance_n(1700.0, 0.014), 0.5 * 1.225 * 0.62
    expected = brentq(lambda v: (constant_n + drag * v**2) * v - 264e3, 1.0, 200.0, xtol=1e-12)
    assert roadload.top_speed_mps(264e3, constant_n, drag) == pytest.approx(expected, rel=1e-10)
    assert expected == pytest.approx(86.2746, abs=5e-5)


@given(power_w=st.floats(1e3, 2e6), constant_n=st.floats(0.0, 2000.0), drag=st.floats(0.1, 2.0))
def test_top_speed_uses_up_the_power(power_w, constant_n, drag):
    speed = roadload.top_speed_mps(power_w, constant_n, drag)
    assert (constant_n + drag * speed**2) * speed == pytest.approx(power_w, rel=1e-9)


@given(speed_mps=st.floats(1.0, 120.0), faster_mps=st.floats(0.01, 10.0))
def test_drag_grows_with_speed(speed_mps, faster_mps):
    assert roadload.drag_n(speed_mps + faster_mps, 1.2, 0.6) > roadload.drag_n(speed_mps, 1.2, 0.6)


def test_a_negative_mass_is_refused():
    with pytest.raises(ValueError, match=r"^mass_kg must be above 0, not -1700$"):
        roadload.effective_mass_kg(-1700.0, 1.5, 0.347)
