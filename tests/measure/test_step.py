"""Figures of a step against python-control and the exact response of a second-order system."""

import control
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nextpass.measure import step_response

DAMPING, NATURAL_RADPS = 0.4, 5.0

# Analytic, root-found; python-control's own default grid is too coarse to test against at 2 %.
RISE_S, PEAK_S, OVERSHOOT, SETTLING_S = 0.292698, 0.685552, 0.2538267, 1.68186


def second_order(time_s):
    """Response of zeta 0.4, 5 rad/s to a unit step (Ogata, Modern Control Engineering)."""
    damped = NATURAL_RADPS * np.sqrt(1.0 - DAMPING**2)
    phase = np.arccos(DAMPING)
    envelope = np.exp(-DAMPING * NATURAL_RADPS * time_s) / np.sqrt(1.0 - DAMPING**2)
    return 1.0 - envelope * np.sin(damped * time_s + phase)


def test_figures_agree_with_python_control_on_a_fine_grid():
    system = control.tf([NATURAL_RADPS**2], [1.0, 2.0 * DAMPING * NATURAL_RADPS, NATURAL_RADPS**2])
    time_s = np.linspace(0.0, 10.0, 200_001)
    expected = control.step_info(system, T=time_s)
    ours = step_response(time_s, second_order(time_s), 0.0, 1.0)
    assert ours.rise_s == pytest.approx(expected["RiseTime"], abs=1e-4)
    assert ours.settling_s == pytest.approx(expected["SettlingTime"], abs=1e-4)
    assert 100.0 * ours.overshoot_ratio == pytest.approx(expected["Overshoot"], abs=1e-4)
    assert ours.peak_time_s == pytest.approx(expected["PeakTime"], abs=1e-4)
    assert (ours.rise_s, ours.settling_s) == pytest.approx((RISE_S, SETTLING_S), abs=1e-5)


@pytest.mark.parametrize("rate_hz", [70.0, 24.0, 10.0])
def test_a_logged_step_is_known_to_half_a_sample(rate_hz):
    """Crossings are interpolated; the peak between two samples is missed by up to wn^2 dt^2/8 of the step."""
    time_s = np.arange(0.0, 4.0, 1.0 / rate_hz)
    ours = step_response(time_s, second_order(time_s), 0.0, 1.0)
    assert ours.rise_s == pytest.approx(RISE_S, abs=0.5 / rate_hz)
    assert ours.settling_s == pytest.approx(SETTLING_S, abs=0.5 / rate_hz)
    assert ours.peak_time_s == pytest.approx(PEAK_S, abs=1.0 / rate_hz)
    assert ours.overshoot_ratio == pytest.approx(OVERSHOOT, abs=NATURAL_RADPS**2 / rate_hz**2 / 8.0)


def test_rise_of_a_first_order_lag():
    """tau ln 9: 0.45 s for tau 0.204804 s."""
    time_s = np.linspace(0.0, 3.0, 3001)
    ours = step_response(time_s, 1.0 - np.exp(-time_s / 0.204804), 0.0, 1.0)
    assert ours.rise_s == pytest.approx(0.45, abs=1e-4)
    assert ours.overshoot == 0.0
    assert np.isnan(ours.peak_time_s)


def test_a_loop_gain_of_nine_leaves_a_tenth():
    """Type 0: steady error 1/(1 + 9)."""
    time_s = np.linspace(0.0, 10.0, 1001)
    values = 100.0 + 100.0 * 0.9 * (1.0 - np.exp(-10.0 * time_s))
    assert step_response(time_s, values, 100.0, 200.0).steady_error == pytest.approx(-10.0, abs=1e-6)


def test_a_pull_that_ends_before_it_settles_has_no_settling_time():
    time_s = np.linspace(0.0, 1.0, 101)
    ours = step_response(time_s, second_order(time_s), 0.0, 1.0)
    assert np.isnan(ours.settling_s)
    assert ours.rise_s == pytest.approx(RISE_S, abs=1e-3)
    assert np.isnan(step_response([0.0, 0.05], [0.0, 0.3], 0.0, 1.0).rise_s)


@given(start=st.floats(90.0, 150.0), step=st.floats(10.0, 120.0), falls=st.booleans())
def test_size_and_sign_of_the_step_do_not_matter(start, step, falls):
    time_s = np.linspace(0.0, 4.0, 281)
    target = start - step if falls else start + step
    ours = step_response(time_s, start + (target - start) * second_order(time_s), start, target)
    unit = step_response(time_s, second_order(time_s), 0.0, 1.0)
    assert ours.rise_s == pytest.approx(unit.rise_s, rel=1e-6)
    assert ours.settling_s == pytest.approx(unit.settling_s, rel=1e-6)
    assert ours.overshoot == pytest.approx(unit.overshoot * step, rel=1e-6)


def test_a_step_of_zero_is_refused():
    with pytest.raises(ValueError, match=r"^a step of zero has no response$"):
        step_response([0.0, 1.0], [150.0, 150.0], 150.0, 150.0)
