"""Guided tests hold their own answers: what was put in can be read out of the written log by hand."""

from dataclasses import replace

import numpy as np
import pytest

from nextpass.proving import Logger, coast_downs, idle_balance, leak_down, pump_stages

LOGGER = Logger(rate_hz=20.0)


def columns(text):
    rows = [line.split(",") for line in text.splitlines()]
    return {name: np.array([float(row[i]) for row in rows[1:]]) for i, name in enumerate(rows[0])}


def test_idle_trims_settle_at_what_a_bank_lacks(day):
    clogged = replace(day.car, fuelling=replace(day.car.fuelling, bank_2_flow=0.93))
    log = idle_balance(clogged, LOGGER, seed=1)
    read = columns(log.text)
    settled = read["Time (s)"] > 15.0
    # 1/0.93 - 1 = 7.53 %.
    assert np.mean(read["Short Term Trim Bank 2 (%)"][settled]) == pytest.approx(7.53, abs=0.3)
    assert np.mean(read["Short Term Trim Bank 1 (%)"][settled]) == pytest.approx(0.0, abs=0.3)
    assert log.truth["trim_bank2"] == pytest.approx(0.0753, abs=1e-4)


def test_rough_idle_is_rough(day):
    rough = replace(day.car, engine=replace(day.car.engine, idle_roughness_rpm=30.0))
    spread = [columns(idle_balance(car, LOGGER, seed=2).text)["Engine Speed (rpm)"].std() for car in (day.car, rough)]
    # Linear between draws takes a fifth off the standard deviation.
    assert spread[0] == pytest.approx(0.82 * 5.0, rel=0.15)
    assert spread[1] == pytest.approx(0.82 * 30.0, rel=0.15)


def test_each_pump_builds_what_it_can(day):
    read = columns(pump_stages(day.car, LOGGER, seed=1, first=1.0, second=0.5, decay_s=20.0).text)
    time_s, rail = read["Time (s)"], read["Fuel Rail Pressure (kPa)"]
    assert rail[time_s < 6.0].max() < 10.0
    assert np.median(rail[(time_s > 10.0) & (time_s < 11.8)]) == pytest.approx(300.0, abs=2.0)
    # At rest for 6 s with 20 s: to 74 %.
    assert np.interp(17.9, time_s, rail) == pytest.approx(300.0 * np.exp(-5.9 / 20.0), abs=6.0)
    # Half as strong, shut off at 1.6 x 0.25 of the target: nothing is added to what is left.
    assert np.interp(23.9, time_s, rail) < 225.0


def test_leak_down_falls_by_its_time_constant():
    read = columns(leak_down(LOGGER, seed=1, time_constant_s=15.0).text)
    over = read["Charge Pipe Pressure (kPa)"] - 100.0
    assert np.interp(8.0, read["Time (s)"], over) == pytest.approx(100.0, abs=1.5)
    assert np.interp(23.0, read["Time (s)"], over) == pytest.approx(100.0 * np.exp(-1.0), abs=1.5)


def test_coasting_there_and_back_cancels_wind_and_slope(day):
    windy = replace(day.passes[2].conditions, headwind_mps=2.0, slope=0.002)
    calm = replace(windy, headwind_mps=0.0, slope=0.0)
    decelerations = []
    for conditions in (windy, calm):
        for run in coast_downs(day.car, day.strip, conditions, day.passes[2].setup, seed=3):
            trace = run.trace
            at = (trace["time_s"] > run.tally["lifted_s"] + 4.0) & (trace["time_s"] < run.tally["lifted_s"] + 23.0)
            slowing = np.interp(45.0, trace["speed_mps"][at][::-1], -trace["acceleration_mps2"][at][::-1])
            decelerations.append(float(slowing))
    there, back, calm_there, _ = decelerations
    assert there > calm_there > back
    # The mean keeps w^2 of the wind: 0.5 x 1.18 x 0.66 x (4 + gusts) / 1718 = 0.001 m/s2, and gusts do not cancel.
    assert 0.5 * (there + back) == pytest.approx(calm_there, abs=0.02)
