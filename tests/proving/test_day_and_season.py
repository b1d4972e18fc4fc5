"""The demo afternoon tells its story; seasons wear as they are told to; many tries fit in one log."""

import numpy as np
import pytest

from nextpass.files import read_car
from nextpass.proving import Drift, Driver, Logger, drive_demo_pass, drive_pass, pulls_text, season, write_car_file


def test_the_afternoon_is_careful_greedy_and_sobered(day, sobered):
    first, greedy, _ = day.passes
    careful = drive_demo_pass(day, first.setup, first.conditions, 1)
    spun = drive_demo_pass(day, greedy.setup, greedy.conditions, 2)
    assert sum(careful.spin_s) == 0.0
    assert spun.spin_s[0] + spun.spin_s[1] > 0.5
    assert sum(sobered.spin_s) == 0.0
    times = [run.clocks.et_s for run in (careful, spun, sobered)]
    assert times[0] > times[1] + 0.5
    # The greedy pass wastes at the bottom what it gains: no quicker than the sobered one by more than chance.
    assert abs(times[1] - times[2]) < 0.15


def test_there_is_time_left_for_a_fourth_pass(day, sobered):
    better = day.passes[2].setup.with_values(
        launch_rpm=3400.0,
        launch_pressure_kpa=145.0,
        gear_pressure_cap_kpa=(185.0, 225.0, 245.0, 245.0, 245.0, 245.0, 245.0),
    )
    fourth = drive_demo_pass(day, better, day.conditions_to_come, 4)
    assert fourth.clocks.et_s < sobered.clocks.et_s - 0.1
    assert fourth.guards.knock_retard_deg < 3.0


def test_the_demo_car_file_is_sound(day, tmp_path):
    assert read_car(write_car_file(day.car, tmp_path / "car.toml")) == day.car.believed


def test_a_season_wears_what_it_is_told_to(entries):
    drift = Drift(clutch_capacity=0.2, shift_time=0.5, bank_2_flow=0.05, idle_roughness_rpm=20.0, gearbox_oil_k=15.0)
    passes = list(season(entries[6], 5, drift, seed=1))
    truths = [pass_.truth for pass_ in passes]
    assert truths[-1]["clutch_capacity_nm"] == pytest.approx(0.8 * truths[0]["clutch_capacity_nm"])
    assert truths[-1]["shift_time_s"] == pytest.approx(1.5 * truths[0]["shift_time_s"])
    assert truths[-1]["long_trim_bank2"] == pytest.approx(1.0 / 0.95 - 1.0)
    assert truths[0]["pumps_l_h"] == truths[-1]["pumps_l_h"]
    assert [pass_.number for pass_ in passes] == [1, 2, 3, 4, 5]
    assert passes[3].day == passes[0].day < passes[4].day
    # The learned trim takes the difference of the banks away.
    last = passes[-1].outcome.trace
    pulling = (last["phase"] == 2) & (last["gear"] == 3)
    assert np.mean(last["lambda_2"][pulling] - last["lambda_1"][pulling]) == pytest.approx(0.0, abs=0.002)


def test_wear_of_shifts_is_time_and_no_wear_is_none(entries):
    worn = [pass_.outcome.clocks.et_s for pass_ in season(entries[6], 2, Drift(shift_time=2.0), seed=3)]
    fresh = [pass_.outcome.clocks.et_s for pass_ in season(entries[6], 2, Drift(), seed=3)]
    assert worn[0] == fresh[0]
    assert worn[1] > fresh[1] + 0.05


def test_many_tries_in_one_log(day):
    third = day.passes[2]
    drivers = (Driver(), Driver(lift_at_m=150.0, coast_s=2.0), Driver(lift_at_s=4.0))
    runs = [
        drive_pass(day.car, day.strip, third.conditions, third.setup, seed, driver=driver)
        for seed, driver in enumerate(drivers)
    ]
    text, starts_s = pulls_text(runs, Logger(rate_hz=20.0), seed=1)
    rows = [line.split(",") for line in text.splitlines()]
    at = {name: index for index, name in enumerate(rows[0])}
    times = np.array([float(row[at["Time (s)"]]) for row in rows[1:]])
    speed = np.array([float(row[at["Vehicle Speed (km/h)"]]) for row in rows[1:]])
    assert (np.diff(times) > 0.0).all()
    for start_s in starts_s:
        before = (times > start_s - 3.0) & (times < start_s)
        after = (times > start_s + 1.0) & (times < start_s + 2.0)
        assert speed[before].max() == 0.0
        assert speed[after].min() > 5.0
    assert len(starts_s) == 3
