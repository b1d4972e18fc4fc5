"""One pass and many: traces that agree with the clocks, cores that agree with one another."""

import numpy as np
import pytest

from nextpass.car import Setup
from nextpass.sim import OUTPUTS, TRACES, default_parameters, drive, drive_many, pack, sample_many
from nextpass.sim import kernel as k

BEAMS_M = {"t60ft_s": 18.288, "t330ft_s": 100.584, "t660ft_s": 201.168, "t1000ft_s": 304.8}


@pytest.fixture(scope="module")
def row(car, setup_, conditions):
    return pack(car, default_parameters(car), setup_, conditions)


def test_traces_cross_the_beams_when_the_clocks_say(row):
    run = drive(row, rate_hz=200.0)
    distance = run.traces["distance_m"]
    rolled = np.interp(0.3048, distance, run.time_s)
    for name, beam_m in BEAMS_M.items():
        assert np.interp(beam_m, distance, run.time_s) - rolled == pytest.approx(run.outputs[name], abs=2e-4)


def test_trap_speed_is_the_mean_over_the_last_66_feet(row):
    run = drive(row, rate_hz=200.0)
    entered, left = np.interp([382.2192, 402.336], run.traces["distance_m"], run.time_s)
    # The last sample lies up to 5 ms before the finish: 0.3 m.
    assert run.outputs["trap_mps"] == pytest.approx(20.1168 / (left - entered), rel=0.02)


def test_speed_is_the_slope_of_distance_and_gears_only_rise(row):
    run = drive(row, rate_hz=100.0)
    slope = np.diff(run.traces["distance_m"]) * 100.0
    middle = 0.5 * (run.traces["speed_mps"][1:] + run.traces["speed_mps"][:-1])
    np.testing.assert_allclose(slope, middle, atol=0.06)
    assert set(np.diff(run.traces["gear"])) <= {0.0, 1.0}
    assert set(TRACES) == set(run.traces)


def test_clutch_energy_is_torque_times_slip_over_the_launch(car, row):
    run = drive(row, rate_hz=1000.0)
    launch = run.traces["phase"] == 0.0
    ratio = car.driveline.gear_ratios[0] * car.driveline.final_drive
    share, radius = car.driveline.front_drive_share, car.tyres.rolling_radius_m
    driven = share * run.traces["front_wheel_mps"] + (1.0 - share) * run.traces["rear_wheel_mps"]
    slip_radps = run.traces["engine_rpm"] * np.pi / 30.0 - ratio * driven / radius
    heat_j = np.sum((run.traces["clutch_torque_nm"] * slip_radps)[launch]) / 1000.0
    assert run.outputs["clutch_energy_j"] == pytest.approx(heat_j, rel=0.02)


def test_many_on_all_cores_are_the_same_as_one_by_one(car, setup_, conditions):
    """More rows than a block holds, and no multiple of it."""
    parameters = default_parameters(car)
    rows = np.stack([pack(car, parameters, moved(setup_, i), conditions) for i in range(53)])
    together = drive_many(rows)
    for i in (0, 15, 16, 52):
        np.testing.assert_array_equal(together[i], list(drive(rows[i]).outputs.values()))
    outputs, traces = sample_many(rows, 100, 20.0)
    np.testing.assert_array_equal(outputs, together)
    assert traces.shape == (53, 100, len(TRACES))


def moved(setup: Setup, i: int) -> Setup:
    return setup.with_values(launch_rpm=setup.launch_rpm + 10.0 * i)


def test_no_rows_give_no_outputs():
    assert drive_many(np.zeros((0, k.ROW_LENGTH))).shape == (0, len(OUTPUTS))


def test_a_car_that_cannot_reach_the_finish_has_no_elapsed_time(car, setup_, conditions):
    stuck = pack(car, default_parameters(car), setup_, conditions)
    stuck[k.SLOPE_FORCE] = 40e3
    outputs = drive(stuck).outputs
    assert np.isnan(outputs["et_s"])
    assert np.isnan(outputs["t60ft_s"])
