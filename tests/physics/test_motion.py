"""Closed forms of motion against scipy's general integrator and worked values."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from nextpass.physics import coastdown, motion, strip

TIGHT = {"rtol": 1e-11, "atol": 1e-12}


def test_constant_acceleration_over_a_quarter_mile():
    """Arithmetic: 5 m/s2: 12.68599 s at 63.42996 m/s."""
    assert motion.uniform_time_s(strip.BEAM_1320FT_M, 5.0) == pytest.approx(12.68599, abs=5e-6)
    assert motion.uniform_speed_mps(strip.BEAM_1320FT_M, 5.0) == pytest.approx(63.42996, abs=5e-6)


def test_constant_power_over_a_quarter_mile():
    """Arithmetic: 300 kW, 1700 kg: 10.10538 s at 59.7211 m/s."""
    assert motion.powered_time_s(strip.BEAM_1320FT_M, 300e3, 1700.0) == pytest.approx(10.10538, abs=5e-6)
    assert motion.powered_speed_mps(strip.BEAM_1320FT_M, 300e3, 1700.0) == pytest.approx(59.7211, abs=5e-5)


@pytest.mark.parametrize(
    ("distance_m", "time_s", "speed_mps"), [(35.4246, 2.0, 26.5684), (140.0280, 5.0, 42.0084), (396.059, 10.0, 59.4089)]
)
def test_constant_power_along_the_way(distance_m, time_s, speed_mps):
    """Arithmetic of v = sqrt(2 P t/m) and x = sqrt(8 P/(9 m)) t^1.5, 300 kW, 1700 kg."""
    assert motion.powered_time_s(distance_m, 300e3, 1700.0) == pytest.approx(time_s, abs=2e-5)
    assert motion.powered_speed_mps(distance_m, 300e3, 1700.0) == pytest.approx(speed_mps, abs=1e-4)


@given(power_w=st.floats(1e4, 2e6), mass_kg=st.floats(500.0, 4000.0), distance_m=st.floats(1.0, 1000.0))
def test_speed_times_time_over_distance_is_three_halves(power_w, mass_kg, distance_m):
    """Fox (1973): whatever power and mass."""
    time_s = motion.powered_time_s(distance_m, power_w, mass_kg)
    speed = motion.powered_speed_mps(distance_m, power_w, mass_kg)
    assert speed * time_s / distance_m == pytest.approx(1.5, rel=1e-12)


def test_traction_then_power_agrees_with_a_general_integrator():
    """8 m/s2, 300 kW, 1700 kg; the joint is given to the integrator as the end of its first stretch."""
    joint_s, joint_mps = 300e3 / 1700.0 / 8.0**2, 300e3 / 1700.0 / 8.0
    joint_m = joint_mps**2 / 16.0
    run = solve_ivp(
        lambda _, y: [y[1], 300e3 / 1700.0 / y[1]], (joint_s, 12.0), [joint_m, joint_mps], dense_output=True, **TIGHT
    )
    times_s = motion.gripped_time_s(np.array(strip.BEAMS_M), 8.0, 300e3, 1700.0)
    beyond = times_s > joint_s
    distance_m, speed = run.sol(times_s[beyond])
    assert distance_m == pytest.approx(np.array(strip.BEAMS_M)[beyond], abs=1e-7)
    assert motion.gripped_speed_mps(distance_m, 8.0, 300e3, 1700.0) == pytest.approx(speed, abs=1e-7)
    assert motion.gripped_time_to_speed_s(speed, 8.0, 300e3, 1700.0) == pytest.approx(times_s[beyond], abs=1e-8)
    assert times_s == pytest.approx([2.13822, 5.11480, 7.52896, 9.58931, 11.31359], abs=6e-6)


@given(distance_m=st.floats(0.1, 800.0), grip=st.floats(1.0, 30.0), power_w=st.floats(2e4, 2e6))
def test_traction_and_power_each_bound_the_time(distance_m, grip, power_w):
    time_s = motion.gripped_time_s(distance_m, grip, power_w, 1700.0)
    assert time_s >= motion.uniform_time_s(distance_m, grip) * (1.0 - 1e-12)
    assert time_s >= motion.powered_time_s(distance_m, power_w, 1700.0) * (1.0 - 1e-12)


@given(
    distance_m=st.floats(0.1, 800.0), grip=st.floats(1.0, 30.0), power_w=st.floats(2e4, 2e6), more=st.floats(1.001, 2.0)
)
def test_more_grip_and_more_power_are_never_slower(distance_m, grip, power_w, more):
    time_s = motion.gripped_time_s(distance_m, grip, power_w, 1700.0)
    assert motion.gripped_time_s(distance_m, grip * more, power_w, 1700.0) <= time_s * (1.0 + 1e-12)
    assert motion.gripped_time_s(distance_m, grip, power_w * more, 1700.0) <= time_s * (1.0 + 1e-12)


def test_pull_against_drag_agrees_with_a_general_integrator():
    """4000 N, 0.37975 kg/m, 1700 kg for 10 s: 23.125659 m/s, 116.630678 m."""
    run = solve_ivp(lambda _, y: [y[1], (4000.0 - 0.37975 * y[1] ** 2) / 1700.0], (0.0, 10.0), [0.0, 0.0], **TIGHT)
    assert motion.pulled_distance_m(10.0, 4000.0, 1700.0, 0.37975) == pytest.approx(run.y[0, -1], abs=1e-7)
    assert motion.pulled_speed_mps(10.0, 4000.0, 1700.0, 0.37975) == pytest.approx(run.y[1, -1], abs=1e-7)
    assert run.y[:, -1] == pytest.approx([116.630678, 23.125659], abs=1e-6)


def test_a_long_pull_comes_to_its_terminal_speed():
    """sqrt(4000/0.37975) = 102.6316 m/s; and the distance does not overflow."""
    assert motion.pulled_speed_mps(1e5, 4000.0, 1700.0, 0.37975) == pytest.approx(102.6316, abs=5e-5)
    assert motion.pulled_distance_m(1e6, 4000.0, 1700.0, 0.37975) == pytest.approx(102.6316e6, rel=1e-4)


def test_coasting_agrees_with_a_general_integrator():
    """233 N, 0.38 kg/m, 1750 kg from 35 m/s: 28.047153 m/s and 627.31528 m after 20 s; stands after 177.6236 s."""
    run = solve_ivp(lambda _, y: [y[1], -(233.0 + 0.38 * y[1] ** 2) / 1750.0], (0.0, 20.0), [0.0, 35.0], **TIGHT)
    car = (35.0, 1750.0, 233.0, 0.38)
    assert coastdown.coasting_distance_m(20.0, *car) == pytest.approx(run.y[0, -1], abs=1e-7)
    assert coastdown.coasting_speed_mps(20.0, *car) == pytest.approx(run.y[1, -1], abs=1e-7)
    assert run.y[:, -1] == pytest.approx([627.31528, 28.047153], abs=6e-6)
    assert coastdown.coasting_time_s(*car) == pytest.approx(177.6236, abs=5e-5)


def test_a_car_that_stands_does_not_roll_back():
    car = (35.0, 1750.0, 233.0, 0.38)
    stop_s = coastdown.coasting_time_s(*car)
    assert coastdown.coasting_speed_mps(stop_s + 10.0, *car) == 0.0
    assert coastdown.coasting_distance_m(stop_s + 10.0, *car) == coastdown.coasting_distance_m(stop_s, *car)


@given(start_mps=st.floats(5.0, 80.0), time_s=st.floats(1.0, 100.0), more_n=st.floats(1.0, 200.0))
def test_more_rolling_resistance_stops_a_car_sooner(start_mps, time_s, more_n):
    low = coastdown.coasting_speed_mps(time_s, start_mps, 1750.0, 233.0, 0.38)
    assert coastdown.coasting_speed_mps(time_s, start_mps, 1750.0, 233.0 + more_n, 0.38) <= low
    assert coastdown.coasting_time_s(start_mps, 1750.0, 233.0 + more_n, 0.38) < coastdown.coasting_time_s(
        start_mps, 1750.0, 233.0, 0.38
    )


def test_a_negative_distance_is_refused():
    with pytest.raises(ValueError, match=r"^distance_m must not be below 0, not -1$"):
        motion.gripped_time_s(-1.0, 8.0, 300e3, 1700.0)
