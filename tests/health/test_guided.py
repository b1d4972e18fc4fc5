"""Guided tests at rest, against logs with a known answer."""

from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest

from nextpass.health.guided import idle_balance, leak_down, pump_test
from nextpass.log import Channel, Log, LogQuality, hints_for, open_log
from nextpass.measure import Absent
from nextpass.proving import Logger, pump_stages
from nextpass.proving import idle_balance as logged_idle
from nextpass.proving import leak_down as logged_leak

LOGGER = Logger(dialect="bench", rate_hz=70.0)


def opened(car, text):
    with TemporaryDirectory() as place:
        file = Path(place) / "log.csv"
        file.write_text(text, encoding="utf-8")
        log = open_log(file, hints_for(car))
        return replace(log, channels={name: log[name] for name in log.channels})


@pytest.fixture(scope="module")
def car(entry):
    return entry.car.believed


@pytest.mark.parametrize(("flow_2", "roughness_rpm"), [(1.0, 6.0), (0.93, 25.0), (1.08, 60.0)])
def test_the_idle_shows_what_the_banks_lack_and_how_it_swings(entry, car, flow_2, roughness_rpm):
    true = replace(
        entry.car,
        fuelling=replace(entry.car.fuelling, bank_2_flow=flow_2),
        engine=replace(entry.car.engine, idle_roughness_rpm=roughness_rpm),
    )
    logged = logged_idle(true, LOGGER, seed=4)
    found = idle_balance(car, opened(car, logged.text))
    apart = logged.truth["trim_bank2"] - logged.truth["trim_bank1"]
    assert found.trims_apart.value == pytest.approx(apart, abs=found.trims_apart.plus_minus + 0.002)
    assert found.is_warm
    # Straight lines between values a quarter of a second apart keep two thirds of their variance.
    swing = np.sqrt(2.0 / 3.0) * roughness_rpm
    assert found.roughness_rpm.value == pytest.approx(swing, rel=0.2)


def test_an_idle_says_which_bank_to_look_at(entry, car):
    true = replace(entry.car, fuelling=replace(entry.car.fuelling, bank_2_flow=0.90))
    said = idle_balance(car, opened(car, logged_idle(true, LOGGER, seed=1).text)).verdicts
    assert said[0] == (
        "Bank 2 needs 11.1 % more fuel than the other: look there for an air leak, then for a weak injector."
    )


def test_a_short_idle_is_refused(entry, car):
    log = opened(car, logged_idle(entry.car, LOGGER, seed=1, seconds=12.0).text)
    assert idle_balance(car, log) == Absent(reason="4 s of settled idle are too few, it takes 15")


@pytest.mark.parametrize("strength", [1.0, 0.85, 0.6])
def test_a_pump_builds_as_fast_and_as_high_as_it_is_strong(entry, car, strength):
    logged = pump_stages(entry.car, LOGGER, 2, first=strength, decay_s=40.0)
    first = pump_test(car, opened(car, logged.text)).stages[0]
    rated = car.fuel_system.rated_pressure_kpa
    # The proving ground's pumps: time constant 0.35 s over the strength, shut-off 1.6 rated times its square.
    assert first.reached_kpa.value == pytest.approx(min(1.6 * strength**2, 1.0) * rated, rel=0.02)
    assert first.build_s.value == pytest.approx(0.35 / strength, rel=0.12) or strength == 1.0
    assert first.decay_s.value == pytest.approx(40.0, rel=0.05)


def test_a_dead_second_pump_does_not_come_in(entry, car):
    test = pump_test(car, opened(car, pump_stages(entry.car, LOGGER, 3, second=0.0, decay_s=40.0).text))
    assert [stage.came_in for stage in test.stages] == [True, False]
    assert "The second pump does not come in: relay, fuse, wiring, then the pump." in test.verdicts


def test_a_rail_that_stays_full_hides_the_second_pump_and_that_is_said(entry, car):
    test = pump_test(car, opened(car, pump_stages(entry.car, LOGGER, 3, second=0.8, decay_s=600.0).text))
    assert test.stages[1].came_in is None


def charge_log(text):
    """Time and charge pressure out of the text of a log, absolute, so that no unit is in question."""
    rows = [line.split(",") for line in text.splitlines() if line and line[0].isdigit()]
    time_s, pressure = (np.array([float(row[i]) for row in rows]) for i in (0, 2))
    channel = Channel(name="charge_pressure_kpa", time_s=time_s, values=pressure, source="charge")
    return Log(
        channels={"charge_pressure_kpa": channel},
        unmatched={},
        marks=(),
        quality=LogQuality(rate_hz=70.0, gaps=(), remarks=()),
    )


@pytest.mark.parametrize("constant_s", [2.0, 12.0, 60.0, 300.0])
def test_a_leak_falls_with_its_time_constant(constant_s):
    found = leak_down(charge_log(logged_leak(LOGGER, 5, constant_s).text), ambient_kpa=100.0)
    assert found.filled_kpa == pytest.approx(100.0, abs=2.5)
    assert found.time_constant_s.value == pytest.approx(constant_s, rel=0.03)
    assert found.lost_in_10s.value == pytest.approx(1.0 - np.exp(-10.0 / constant_s), abs=0.02)


@pytest.mark.parametrize(
    ("constant_s", "verdict"),
    [
        (300.0, "The charge system is tight."),
        (50.0, "It seeps: find it with soap water before more pressure is asked for."),
        (8.0, "It leaks: no full load before it is found."),
    ],
)
def test_a_leak_is_judged(constant_s, verdict):
    assert leak_down(charge_log(logged_leak(LOGGER, 5, constant_s).text)).verdict == verdict


def test_a_system_that_was_never_filled_is_no_test():
    log = charge_log(logged_leak(LOGGER, 5, 60.0, start_kpa=104.0).text)
    assert leak_down(log, ambient_kpa=100.0) == Absent(
        reason="nothing was filled: the pressure never stands 15 kPa over ambient"
    )
