"""Boost over a standard atmosphere or over the air around, on a strip high above the sea, judged by the truth."""

from dataclasses import replace

import numpy as np
import pytest

from nextpass.files import read_pass
from nextpass.log import hints_for, open_log
from nextpass.proving import Logger, demo_day, drive_demo_pass, logged, write_pass_folder

# Station pressure at about 1500 m (ISO 2533: 84.6 kPa); the two zeros lie 16.7 kPa apart.
HIGH_KPA = 84.6


@pytest.fixture(scope="module")
def driven():
    day = demo_day()
    third = day.passes[2]
    return day, drive_demo_pass(day, third.setup, replace(third.conditions, pressure_kpa=HIGH_KPA), 3)


@pytest.mark.parametrize(("dialect", "unit"), [("summit", "psi gauge@101.325"), ("gauge", "psi gauge")])
def test_the_zero_of_a_gauge_is_found_on_a_high_strip(driven, dialect, unit, tmp_path):
    day, outcome = driven
    logger = Logger(dialect=dialect, rate_hz=24.0)
    folder = write_pass_folder(outcome, logger, tmp_path / dialect, seed=5)
    car = day.car.believed
    record = read_pass(folder, car)
    log = open_log(record.logs[0], hints_for(car, record))
    _, truth = logged(outcome, logger, 5)
    units = {match.channel: match.unit for match in log.matches}
    assert units["manifold_pressure_kpa"] == units["target_pressure_kpa"] == unit
    # Half a step of what is written: 0.01 psi and 0.1 psi.
    for channel, step_kpa in (("manifold_pressure_kpa", 0.07), ("target_pressure_kpa", 0.7)):
        read = log[channel]
        assert np.median(np.abs(np.sort(read.values) - np.sort(truth[channel])[: read.values.size])) < step_kpa
