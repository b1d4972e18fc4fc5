"""Entries by hand: what is due, what was learned before and after, and whether the learning was done right."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from nextpass.car import LedgerEntry
from nextpass.health import Launch, PassFigures, ledger_of, preconditions_of
from nextpass.log import Channel, Log, LogQuality
from nextpass.measure import Absent, Estimate

START = datetime(2026, 5, 1, 9, tzinfo=UTC)


def entry_on(day, kind, item, **given):
    return LedgerEntry(when=START + timedelta(days=day), kind=kind, item=item, values=given.pop("values", {}), **given)


def passes(*days):
    return [
        PassFigures(
            name=f"pass{i}",
            number=i,
            started=START + timedelta(days=day, hours=3),
            fuel="E60",
            air_temperature_c=20.0,
            launch=None,
            residency=(),
            limits_passed=(),
            wear={},
        )
        for i, day in enumerate(days, start=1)
    ]


@pytest.fixture(scope="module")
def car(entry):
    return entry.car.believed


def test_what_is_due_counts_from_the_newest_time_it_was_done(car):
    entries = [
        entry_on(0, "service", "gearbox oil", due_launches=3.0, due_days=365.0),
        entry_on(2, "service", "gearbox oil", due_launches=3.0, due_days=365.0),
        entry_on(0, "service", "plugs", due_launches=20.0),
    ]
    oil, plugs = ledger_of(car, passes(0, 1, 2, 3, 4), entries).due
    assert (oil.item, oil.launches, oil.launches_left, oil.is_due) == ("gearbox oil", 3.0, 0.0, True)
    assert oil.days == pytest.approx(2.125)
    assert (plugs.item, plugs.launches_left, plugs.days_left, plugs.is_due) == ("plugs", 15.0, None, False)


def test_times_with_and_without_a_zone_are_taken_as_the_clock_on_the_wall(car):
    entry = LedgerEntry(when=datetime(2026, 5, 1, 10), kind="service", item="oil", values={}, due_launches=9.0)
    assert ledger_of(car, passes(0, 1), [entry]).due[0].launches == 2.0


def test_heat_cycles_count_from_the_tyres_that_are_fitted(car):
    fitted = [entry_on(0, "part", "Tyres, first set"), entry_on(2, "part", "tyres, second set")]
    assert ledger_of(car, passes(0, 1, 2, 3), fitted).tyre_cycles == 2
    assert ledger_of(car, passes(0, 1, 2, 3)).tyre_cycles == 4


def launch(life_share):
    share = Estimate(value=life_share, plus_minus=0.2 * life_share)
    energy = Estimate(value=5e7 * life_share, plus_minus=1e7 * life_share)
    unknown = Absent(reason="not logged")
    return Launch(launch_rpm=3000.0, energy_j=energy, rise_k=unknown, oil_c=unknown, peak_c=unknown, life_share=share)


@pytest.mark.parametrize(
    ("shares", "median"), [((0.004,), 0.004), ((0.001, 0.003), 0.002), ((0.009, 0.001, 0.002), 0.002)]
)
def test_a_launch_like_the_median_is_the_middle_one_or_lies_between_the_two(car, shares, median):
    launched = [replace(one, launch=launch(share)) for one, share in zip(passes(*shares), shares, strict=True)]
    assert ledger_of(car, launched).consumption.median_share == Estimate(
        value=pytest.approx(median), plus_minus=pytest.approx(0.2 * median)
    )


def test_learned_values_stand_before_and_after_what_changed_them(car):
    entries = [
        entry_on(0, "learned", "clutch", values={"bite_a_mm": 12.4}),
        entry_on(0.5, "learned", "idle", values={"air_pct": 4.0}),
        entry_on(1, "relearn", "clutch"),
        entry_on(2, "learned", "clutch", values={"bite_a_mm": 11.9}),
    ]
    (change,) = ledger_of(car, passes(0), entries).learned
    assert (change.item, change.before, change.after) == ("clutch", {"bite_a_mm": 12.4}, {"bite_a_mm": 11.9})
    assert change.preconditions == ()


def log_of(**levels):
    time_s = np.arange(0.0, 20.0, 0.1)
    channels = {
        name: Channel(name=name, time_s=time_s, values=np.full(time_s.size, float(level)), source=name)
        for name, level in levels.items()
    }
    return Log(channels=channels, unmatched={}, marks=(), quality=LogQuality(rate_hz=10.0, gaps=(), remarks=()))


def met(log, item="clutch"):
    return {need.figure: need.is_met for need in preconditions_of(item, log)}


def test_a_clutch_is_learned_warm_standing_and_level(car):
    sound = log_of(
        coolant_temperature_c=88,
        gearbox_oil_temperature_c=70,
        vehicle_speed_mps=0,
        longitudinal_acceleration_mps2=0.0,
        battery_v=13.8,
    )
    assert set(met(sound).values()) == {True, None}
    # An accelerometer that nobody levelled knows the slope to 2 %: level ground stays open, 6 % does not.
    assert met(sound)["slope"] is None
    on_a_hill = log_of(longitudinal_acceleration_mps2=0.06 * 9.80665, coolant_temperature_c=40)
    assert met(on_a_hill)["slope"] is False
    assert met(on_a_hill)["coolant_temperature_c"] is False


def test_what_the_log_of_a_learning_run_lacks_stays_open():
    battery = next(need for need in preconditions_of("idle relearn", log_of(gear=0)) if need.figure == "battery_v")
    assert battery.found == Absent(reason="the log has no battery_v")
    assert battery.is_met is None


def test_nothing_is_asked_of_an_item_that_is_not_known():
    assert preconditions_of("sunroof", log_of(gear=0)) == ()
