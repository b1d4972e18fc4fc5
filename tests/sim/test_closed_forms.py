"""Stripped to a closed form, the simulation must give the closed form's answer."""

from dataclasses import replace

import numpy as np
import pytest

from nextpass.sim import drive, pack, without_slip
from nextpass.sim import kernel as k

POWER_W, GRIP_MPS2 = 300e3, 8.0
RADPS_PER_RPM = np.pi / 30.0
WHEEL_KGM2 = 1.0


def gripping(plain, conditions):
    """Row of a plain car that cannot spin its wheels."""
    return without_slip(pack(plain.car, plain.parameters, plain.setup, conditions))


def constant_force(plain_class, force_n, **more):
    torque_nm = force_n * plain_class.radius_m / plain_class.ratio
    return plain_class(lambda rpm: torque_nm, **more)


def test_constant_acceleration_by_the_beams(plain, still_air):
    """x = a t^2/2 with 0.3048 m of rollout: sqrt(2 d/a) - sqrt(2 r/a); 0.1 ms is the clock's own resolution."""
    outputs = drive(gripping(constant_force(plain, 5.0 * plain.mass_kg), still_air)).outputs
    rollout_s = np.sqrt(2.0 * 0.3048 / 5.0)
    assert rollout_s == pytest.approx(0.34917, abs=1e-5)  # Strip timing, arithmetic: 5 m/s2
    for name, beam_m in (("t60ft_s", 18.288), ("t330ft_s", 100.584), ("t660ft_s", 201.168), ("et_s", 402.336)):
        assert outputs[name] == pytest.approx(np.sqrt(2.0 * beam_m / 5.0) - rollout_s, abs=2e-3)
    # A quarter mile at 5 m/s2 from rest without rollout takes 12.68599 s (arithmetic).
    assert outputs["et_s"] + outputs["rollout_s"] == pytest.approx(12.68599, abs=2e-3)
    assert outputs["t0_100kmh_s"] == pytest.approx(100.0 / 3.6 / 5.0, abs=2e-3)
    assert outputs["t100_200kmh_s"] == pytest.approx(100.0 / 3.6 / 5.0, abs=1e-3)


def test_what_turns_with_the_driven_wheels_counts_as_mass(plain, still_air):
    """J/r2 more to accelerate: 6.125 kg m2 at 0.35 m are 50 kg (Gillespie, Fundamentals of Vehicle Dynamics, ch. 2)."""
    one = constant_force(plain, 5.0 * 1750.0)
    row = without_slip(pack(one.car, replace(one.parameters, gearbox_inertia_kgm2=6.125), one.setup, still_air))
    rolled_s, beam_s = np.sqrt(2.0 * np.array([0.3048, 402.336]) / 5.0)
    assert drive(row).outputs["et_s"] == pytest.approx(beam_s - rolled_s, abs=2e-3)


@pytest.mark.parametrize("gearbox_kgm2", [1.0, 4.0])
def test_a_spinning_wheel_gathers_speed_by_the_torque_that_the_road_does_not_take(plain, still_air, gearbox_kgm2):
    """Newton for the wheel: r2 (F - mu N)/J, on ice of mu 0.1 that falls to 0.099, as the rear axle stands at 0.1 g."""
    mu, pull_n = 0.099, 1500.0
    one = constant_force(plain, pull_n)
    chassis = one.car.chassis
    standing_n = one.mass_kg * 9.80665 * (1.0 - chassis.front_weight_share)
    road_n = mu * standing_n / (1.0 - mu * chassis.cg_height_m / chassis.wheelbase_m)
    ice = replace(
        one.parameters,
        peak_friction=0.1,
        sliding_share=0.99,
        load_sensitivity=0.0,
        gearbox_inertia_kgm2=gearbox_kgm2,
    )
    run = drive(pack(one.car, ice, one.setup, still_air), rate_hz=100.0)
    wheel_mps = np.interp([0.3, 0.5], run.time_s, run.traces["rear_wheel_mps"])
    expected_mps2 = one.radius_m**2 * (pull_n - road_n) / gearbox_kgm2
    assert np.diff(wheel_mps)[0] / 0.2 == pytest.approx(expected_mps2, rel=0.02)


def traction_then_power(plain_class):
    """Engine whose torque at the wheels is 8 m/s2 up to the speed at which 300 kW binds."""
    mass_kg, radius_m, ratio = plain_class.mass_kg, plain_class.radius_m, plain_class.ratio
    most_nm = GRIP_MPS2 * mass_kg * radius_m / ratio

    def torque_nm(rpm):
        return min(most_nm, POWER_W / max(rpm * RADPS_PER_RPM, 1.0))

    return plain_class(torque_nm)


def test_traction_then_power(plain, still_air):
    """8 m/s2, then 300 kW, 1700 kg: beams counted from the stage line, clock from the rollout (closed form).

    The torque table's straight lines between 480 rpm steps cut the hyperbola's corner: up to 0.3 % of power.
    """
    outputs = drive(gripping(traction_then_power(plain), still_air)).outputs
    expected = {"t60ft_s": 1.86218, "t330ft_s": 4.83876, "t660ft_s": 7.25292, "t1000ft_s": 9.31327, "et_s": 11.03755}
    for name, seconds in expected.items():
        assert outputs[name] == pytest.approx(seconds, rel=1.5e-3)
    assert outputs["trap_mps"] == pytest.approx(58.7016, rel=2e-3)


def test_constant_force_against_drag(plain, still_air):
    """F 4000 N, rho CdA/2 = 0.37975, 1700 kg: x = (m/k) ln cosh(k v_t t/m), v_t = 102.6316 m/s (tanh form)."""
    row = gripping(constant_force(plain, 4000.0, drag_area_m2=0.62), still_air)
    row[k.DRAG] = 0.37975
    outputs = drive(row).outputs
    mass_kg, terminal_mps = plain.mass_kg, 102.6316

    def time_at(distance_m):
        rate = 0.37975 * terminal_mps / mass_kg
        return np.arccosh(np.exp(0.37975 * distance_m / mass_kg)) / rate

    assert time_at(116.630678) == pytest.approx(10.0, abs=1e-4)  # the same closed form at 10 s: 116.630678 m
    assert outputs["rollout_s"] + outputs["t330ft_s"] == pytest.approx(time_at(100.584), abs=2e-3)
    assert outputs["rollout_s"] + outputs["et_s"] == pytest.approx(time_at(402.336), abs=3e-3)


def clutched(plain_class, launch_rpm, feed, torque_nm, release_s, engine_inertia_kgm2, hold_s):
    """1795 kg on an overall ratio of 15.022 and a radius of 0.347 m: I_v = 0.957785 kg m2 at the engine."""
    one = plain_class(lambda rpm: torque_nm, mass_kg=1795.0, engine_inertia_kgm2=engine_inertia_kgm2, limit_rpm=9000.0)
    car = replace(one.car, driveline=replace(one.car.driveline, gear_ratios=(15.022,)))
    parameters = replace(
        one.parameters,
        rolling_radius_m=0.347,
        launch_feed=feed,
        launch_release_s=release_s,
        launch_hold_s=hold_s,
        launch_flare_rpm=500.0,
    )
    return car, parameters, one.setup.with_values(launch_rpm=launch_rpm)


def test_engine_held_at_its_speed_gives_half_of_its_work_to_the_clutch(plain, still_air):
    """E = I_v w0^2/2 = 106345.8 J at 4500 rpm, whatever the torque (lossless; clutch section)."""
    car, parameters, setup = clutched(plain, 4500.0, 1.0, 600.0, 1e-3, 0.2, 0.05)
    outputs = drive(without_slip(pack(car, parameters, setup, still_air))).outputs
    inertia_kgm2 = 1795.0 * 0.347**2 / 15.022**2
    assert inertia_kgm2 == pytest.approx(0.957785, abs=1e-6)
    assert outputs["clutch_energy_j"] == pytest.approx(106345.8, rel=5e-3)


@pytest.mark.parametrize(
    ("engine_nm", "clutch_nm", "lock_s", "heat_j"),
    [(400.0, 700.0, 0.211237, 34840.09), (500.0, 900.0, 0.160303, 33993.54), (600.0, 800.0, 0.256769, 48399.90)],
)
def test_constant_torques_lock_when_the_closed_form_says(plain, still_air, engine_nm, clutch_nm, lock_s, heat_j):
    """Engine inertia 0.20, I_v 0.957785 kg m2, from 4500 rpm (table of the clutch section)."""
    car, parameters, setup = clutched(plain, 4500.0, clutch_nm / engine_nm, engine_nm, 1e-3, 0.2, 1e6)
    outputs = drive(without_slip(pack(car, parameters, setup, still_air))).outputs
    assert outputs["launch_s"] == pytest.approx(lock_s, abs=2.5e-3)
    # The release takes 1 ms here, in which the engine gains some 2 rad/s: twice 0.5 % of its energy.
    assert outputs["clutch_energy_j"] == pytest.approx(heat_j, rel=1.2e-2)


@pytest.mark.parametrize(("share", "limit_n"), [(0.5, 14646.8), (0.4, 17060.5), (0.3, 17882.7)])
def test_a_fixed_split_is_limited_by_the_axle_that_lets_go_first(plain, still_air, share, limit_n):
    """mu 1.15, 1700 kg, front share 0.54, h/L 0.50/2.78: the limits of the longitudinal section, no drag.

    A pull that grows slowly to just under the limit leaves both axles short of their peak; one to
    just over it does not.
    """
    for part, passes_peak in ((0.97, False), (1.03, True)):
        # The wheels' own inertia takes its share of the torque before the road does.
        wheels = 1.0 + 4.0 * WHEEL_KGM2 / plain.radius_m**2 / plain.mass_kg
        most_nm = part * limit_n * wheels * plain.radius_m / plain.ratio
        one = plain(lambda rpm, most_nm=most_nm: most_nm * min(1.0, 0.5 + rpm / 12000.0))
        driveline = replace(one.car.driveline, front_drive_share=share, wheel_inertia_kgm2=WHEEL_KGM2)
        car = replace(one.car, chassis=replace(one.car.chassis, wheelbase_m=2.78), driveline=driveline)
        row = pack(car, replace(one.parameters, load_sensitivity=0.0), one.setup, still_air)
        row[k.FINISH] = 120.0
        outputs = drive(row).outputs
        assert (outputs["gear1_peak_slip"] > car.tyres.peak_slip) is passes_peak
        assert outputs["gear1_grip_use"] > 0.94
