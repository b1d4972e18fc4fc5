"""Clutch capacity, slip heat, lock-up and shift against worked examples and scipy's general integrator."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from nextpass.physics import clutch, gearing, lock_up

RADPS = 2.0 * np.pi / 60.0
CAR_KGM2 = float(lock_up.car_inertia_kgm2(1795.0, 0.347, 15.022))
ENGINE_KGM2 = 0.20


def test_radius_and_capacity_of_a_worked_pack():
    """Shigley (memory): rings of 85 to 110 mm, mu 0.12, 12 kN, 12 faces: 98.034/97.500 mm, 1694.03/1684.80 N m."""
    new_m = clutch.effective_radius_m(0.110, 0.085, is_worn=False)
    worn_m = clutch.effective_radius_m(0.110, 0.085)
    assert (float(new_m), float(worn_m)) == pytest.approx((0.098034, 0.0975), abs=5e-7)
    assert clutch.capacity_nm(0.12, 12, 12e3, new_m) == pytest.approx(1694.03, abs=6e-3)
    assert clutch.capacity_nm(0.12, 12, 12e3, worn_m) == pytest.approx(1684.80, abs=6e-3)


@pytest.mark.parametrize(("torque_nm", "slip_rpm", "power_w"), [(900.0, 100.0, 9.42e3), (700.0, 150.0, 10.996e3)])
def test_creeping_slip_is_heat(torque_nm, slip_rpm, power_w):
    """Arithmetic: torque times slip."""
    assert clutch.slip_power_w(torque_nm, slip_rpm) == pytest.approx(power_w, abs=5.0)


def test_a_locked_clutch_carries_the_engine_less_its_own_inertia():
    """Arithmetic: 650 N m and 0.20 kg m2 that gain 3000 rpm in a second: 62.83 N m stay in the engine."""
    assert clutch.locked_torque_nm(650.0, 0.20, 3000.0) == pytest.approx(650.0 - 0.20 * 100.0 * np.pi, rel=1e-12)


def test_heat_of_a_trace_is_its_integral():
    """A slip that falls evenly from 3500 rpm at 600 N m over 0.66486 s: 73.105 kJ (arithmetic)."""
    time_s = np.linspace(0.0, 0.66486, 50)
    heat_j = clutch.slip_heat_j(time_s, np.full(50, 600.0), np.linspace(3500.0, 0.0, 50))
    assert heat_j == pytest.approx(73.105e3, abs=1.0)


def test_launch_with_engine_speed_held():
    """1795 kg, 0.347 m, 15.022, efficiency 0.88, 3500 rpm, 600 N m: 0.66486 s, 73.105 kJ, 12.18 K at 6000 J/K."""
    held = lock_up.held_speed_lock_up(3500.0, 600.0, CAR_KGM2, 0.88)
    assert held.time_s == pytest.approx(0.66486, abs=5e-6)
    assert held.heat_j == pytest.approx(73.105e3, abs=1.0)
    assert clutch.temperature_rise_k(held.heat_j, 6000.0) == pytest.approx(12.18, abs=5e-3)
    kinetic_j = 0.5 * CAR_KGM2 * (3500.0 * RADPS) ** 2
    assert kinetic_j == pytest.approx(64.333e3, abs=1.0)
    assert held.heat_j == pytest.approx(kinetic_j / 0.88, rel=1e-12)


@given(engine_rpm=st.floats(1500.0, 7000.0), torque_nm=st.floats(100.0, 2000.0))
def test_launch_rpm_enters_squared_and_torque_not_at_all(engine_rpm, torque_nm):
    heat_j = lock_up.held_speed_lock_up(engine_rpm, torque_nm, CAR_KGM2).heat_j
    assert heat_j == pytest.approx(0.5 * CAR_KGM2 * (engine_rpm * RADPS) ** 2, rel=1e-12)


def test_held_launch_of_a_lossless_car():
    """Arithmetic: 106,345.8 J at 4500 rpm."""
    assert lock_up.held_speed_lock_up(4500.0, 800.0, CAR_KGM2).heat_j == pytest.approx(106_345.8, rel=1e-6)


def test_two_inertias_come_together():
    """0.20 and 0.957785 kg m2 from 4500 rpm: 18,370.6 J, 81.4035 rad/s (arithmetic)."""
    heat_j, common_rpm = lock_up.coasting_lock_up(4500.0, ENGINE_KGM2, CAR_KGM2)
    assert heat_j == pytest.approx(18_370.6, abs=0.06)
    assert common_rpm * RADPS == pytest.approx(81.4035, abs=5e-5)


# Engine torque, clutch torque N m: lock s, heat J, common rpm, rise K at 6000 J/K, from 4500 rpm.
FREE = [
    (400.0, 700.0, 0.211237, 34840.09, 1474.25, 5.807),
    (500.0, 900.0, 0.160303, 33993.54, 1438.43, 5.666),
    (600.0, 800.0, 0.256769, 48399.90, 2048.03, 8.067),
]


@pytest.mark.parametrize(("engine_nm", "clutch_nm", "time_s", "heat_j", "common_rpm", "rise_k"), FREE)
def test_launch_in_which_the_clutch_pulls_the_engine_down(engine_nm, clutch_nm, time_s, heat_j, common_rpm, rise_k):
    end = lock_up.free_lock_up(4500.0, engine_nm, clutch_nm, ENGINE_KGM2, CAR_KGM2)
    assert end.time_s == pytest.approx(time_s, abs=1e-6)
    assert end.heat_j == pytest.approx(heat_j, rel=1e-6)
    assert end.locked_rpm == pytest.approx(common_rpm, abs=6e-3)
    assert clutch.temperature_rise_k(end.heat_j, 6000.0) == pytest.approx(rise_k, abs=6e-4)
    assert clutch.slip_power_w(clutch_nm, 4500.0) == pytest.approx(clutch_nm * 4500.0 * RADPS, rel=1e-12)


@pytest.mark.parametrize(("engine_nm", "clutch_nm"), [(400.0, 700.0), (500.0, 900.0), (600.0, 800.0)])
def test_free_launch_agrees_with_a_general_integrator(engine_nm, clutch_nm):
    """Speeds of both sides and the heat, to the moment of equal speeds."""

    def rates(_, state):
        engine, car, _ = state
        return [(engine_nm - clutch_nm) / ENGINE_KGM2, clutch_nm / CAR_KGM2, clutch_nm * (engine - car)]

    def lock(_, state):
        return state[0] - state[1]

    lock.terminal = True
    run = solve_ivp(rates, (0.0, 2.0), [4500.0 * RADPS, 0.0, 0.0], events=lock, rtol=1e-11, atol=1e-11)
    end = lock_up.free_lock_up(4500.0, engine_nm, clutch_nm, ENGINE_KGM2, CAR_KGM2)
    assert end.time_s == pytest.approx(run.t_events[0][0], rel=1e-8)
    assert end.heat_j == pytest.approx(run.y_events[0][0][2], rel=1e-8)
    assert end.locked_rpm == pytest.approx(run.y_events[0][0][0] / RADPS, rel=1e-8)


@given(engine_rpm=st.floats(1500.0, 7000.0), engine_nm=st.floats(0.0, 800.0), surplus_nm=st.floats(10.0, 800.0))
def test_the_energy_of_a_free_launch_closes(engine_rpm, engine_nm, surplus_nm):
    """What the engine gives, less what both inertias keep, is heat."""
    end = lock_up.free_lock_up(engine_rpm, engine_nm, engine_nm + surplus_nm, ENGINE_KGM2, CAR_KGM2)
    start, common = engine_rpm * RADPS, end.locked_rpm * RADPS
    given_j = engine_nm * 0.5 * (start + common) * end.time_s
    kept_j = 0.5 * ENGINE_KGM2 * (common**2 - start**2) + 0.5 * CAR_KGM2 * common**2
    assert end.heat_j == pytest.approx(given_j - kept_j, rel=1e-9)


def test_a_clutch_too_weak_never_locks():
    assert np.isnan(lock_up.free_lock_up(4500.0, 900.0, 100.0, ENGINE_KGM2, CAR_KGM2).time_s)


def test_oil_cools_towards_what_surrounds_it():
    """Arithmetic: 140 °C in 90 °C, 90 s, after 60 s: 115.67 °C."""
    assert clutch.cooled_c(60.0, 140.0, 90.0, 90.0) == pytest.approx(115.67, abs=5e-3)


def test_rpm_and_energy_of_the_upshifts():
    """4.06/2.30/1.59/1.25 from 7000 rpm, engine 0.20 kg m2: arithmetic."""
    after = gearing.rpm_after_shift(7000.0, [4.06, 2.30, 1.59], [2.30, 1.59, 1.25])
    assert after == pytest.approx([3965.5, 4839.1, 5503.1], abs=0.05)
    assert gearing.shift_energy_j(7000.0, after, 0.20) == pytest.approx([36.49e3, 28.05e3, 20.52e3], abs=6.0)


def test_a_torque_hole_costs_speed_and_distance():
    """Arithmetic: 4 m/s2 x 0.12 s = 0.48 m/s, 0.0288 m."""
    assert gearing.torque_hole_speed_mps(4.0, 0.12) == pytest.approx(0.48, rel=1e-12)
    assert gearing.torque_hole_distance_m(4.0, 0.12) == pytest.approx(0.0288, rel=1e-12)


@given(engine_rpm=st.floats(500.0, 9000.0), ratio=st.floats(2.0, 20.0), radius_m=st.floats(0.25, 0.45))
def test_road_speed_gives_back_its_engine_speed(engine_rpm, ratio, radius_m):
    speed = gearing.road_speed_mps(engine_rpm, ratio, radius_m)
    assert gearing.engine_speed_rpm(speed, ratio, radius_m) == pytest.approx(engine_rpm, rel=1e-12)


def test_a_ring_without_width_is_refused():
    with pytest.raises(ValueError, match=r"^outer_radius_m less inner_radius_m must be above 0, not 0$"):
        clutch.effective_radius_m(0.1, 0.1)
