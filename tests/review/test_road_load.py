"""Coast-downs and power against closed forms."""

from dataclasses import replace

import numpy as np
import pytest

from nextpass.errors import NotEnoughData
from nextpass.measure import Absent
from nextpass.physics import coastdown
from nextpass.review import CoastRun, coast_runs, correction, fit_road_load, gear_trace, power_points, review_pass
from nextpass.review.power import road_load_n

# Coast-down of m_e v' = -(f0 + f2 v^2), the tan form (Gillespie ch. 2).
F0_N, F2_KGPM = 233.0, 0.38


def _run(car, direction, slope_n=0.0):
    mass = car.chassis.mass_kg + 6.0 / 0.34**2
    time_s = np.arange(0.0, 40.0, 0.05)
    speed = coastdown.coasting_speed_mps(time_s, 40.0, mass, F0_N + direction * slope_n, F2_KGPM)
    return CoastRun(time_s=time_s, speed_mps=np.asarray(speed), direction=direction)


def test_road_load_of_a_coast_down_is_found(car, record):
    found = fit_road_load(car, record.conditions, [_run(car, 1), _run(car, -1)])
    assert found.constant_n.value == pytest.approx(F0_N, rel=0.01)
    assert found.per_speed_squared_kgpm.value == pytest.approx(F2_KGPM, rel=0.01)


def test_two_directions_tell_the_slope_from_the_car(car, record):
    # 0.3 % of slope is 47 N on 1600 kg: a fifth of the rolling resistance.
    slope_n = 0.003 * 1600.0 * 9.80665
    found = fit_road_load(car, record.conditions, [_run(car, 1, slope_n), _run(car, -1, slope_n)])
    assert found.constant_n.value == pytest.approx(F0_N, rel=0.02)
    assert found.slope.value == pytest.approx(0.003, rel=0.05)


def test_one_direction_leaves_slope_and_wind_open(car, record):
    found = fit_road_load(car, record.conditions, [_run(car, 1)])
    reason = "all runs went one way: slope and wind are part of the road load"
    assert found.slope == found.headwind_mps == Absent(reason=reason)


def test_too_short_a_coast_is_refused(car, record):
    short = replace(_run(car, 1), time_s=np.arange(0.0, 3.0, 0.1), speed_mps=np.linspace(30.0, 29.0, 30))
    with pytest.raises(NotEnoughData) as caught:
        fit_road_load(car, record.conditions, [short])
    assert str(caught.value) == "the logs hold less than ten seconds of coasting; coast longer, in neutral"


def test_a_coast_is_cut_out_of_a_log(motion_log):
    log = motion_log(lambda t: 5.0 * t, lambda t: np.full_like(t, 5.0), lasts_s=8.0)
    (run,) = coast_runs(log, 1)
    assert run.speed_mps[0] < 40.0
    assert np.all(np.diff(run.speed_mps) < 0.0)


def test_torque_of_a_known_pull_comes_back(car, record, whole_log):
    log = whole_log(car)
    motion = review_pass(car, record, log).ground_speed
    trace = gear_trace(car, log, motion)
    phases = review_pass(car, record, log).phases
    points = [p for p in power_points(car, record.conditions, log, motion, trace, phases) if p.gear == 3]
    assert points
    for point in points:
        # The log was made with 4.4 m/s2 in third: force = m_eff a + road load; torque by ratio, radius, efficiency,
        # and the engine's own inertia at the rpm rate that 4.4 m/s2 gives in this gear.
        mass = 1600.0 + 6.0 / 0.34**2
        force = mass * 4.4 + float(road_load_n(car, record.conditions, np.array(point.speed_mps)))
        ratio = 1.8 * 3.5
        torque = force * 0.34 / (ratio * 0.88) + 0.2 * 4.4 * ratio / 0.34
        assert point.crank_torque_nm.value == pytest.approx(torque, rel=0.03)
        assert point.wheel_power_w.value == pytest.approx(force * point.speed_mps, rel=0.02)
        assert abs(point.crank_torque_nm.value - torque) < point.crank_torque_nm.plus_minus


def test_a_standard_says_when_it_does_not_apply(record):
    hot_and_high = replace(record.conditions, air_temperature_c=35.0, pressure_kpa=84.0)
    assert not correction("ISO 1585", hot_and_high).applies
    assert correction("SAE J1349", replace(record.conditions, air_temperature_c=25.0)).applies
    # 99 kPa dry and 25 C are the standard's own reference.
    dry = replace(record.conditions, air_temperature_c=25.0, pressure_kpa=99.0, humidity=0.0)
    assert correction("SAE J1349", dry).factor == pytest.approx(1.0, abs=1e-6)
