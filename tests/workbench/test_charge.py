"""Charge temperature at a held boost against the worked days."""

import dataclasses

import pytest

from nextpass.measure import Absent, Estimate
from nextpass.workbench import charge_sum


def exactly(value):
    return Estimate(value=value, plus_minus=0.0)


KNOWN = {
    "compressor_efficiency": exactly(0.72),
    "cooler_effectiveness": exactly(0.75),
    "intake_loss_kpa": exactly(2.0),
}

# 230 kPa held: station kPa, air °C, charge K, density over the first day's (the section's formulas with k = 1.4).
DAYS = [
    (101.325, 15.0, 315.28, 1.0),
    (99.0, 25.0, 327.11, 0.9638),
    (96.3, 35.0, 339.19, 0.9295),
    (83.5, 30.0, 339.47, 0.9287),
]


@pytest.mark.parametrize(("station_kpa", "air_c", "charge_k", "density_share"), DAYS)
def test_charge_of_the_worked_days(warm_day, station_kpa, air_c, charge_k, density_share):
    day = dataclasses.replace(warm_day, air_temperature_c=air_c, pressure_kpa=station_kpa, humidity=0.0)
    held = charge_sum(day, 230.0, **KNOWN)
    assert held.of("charge_temperature_c").value + 273.15 == pytest.approx(charge_k, abs=0.01)
    assert held.of("charge_density_share").value == pytest.approx(density_share, abs=6e-5)
    assert held.of("pressure_ratio").value == pytest.approx(230.0 / (station_kpa - 2.0), rel=1e-12)


def test_a_held_boost_loses_less_than_the_standard_says(high_day):
    """From 101.3 kPa and 15 °C to 83.5 kPa and 30 °C: 7 % against 23 % (1.245 over 0.953, formulas)."""
    held = charge_sum(dataclasses.replace(high_day, humidity=0.20), 230.0, **KNOWN)
    assert held.of("charge_density_share").value == pytest.approx(0.93, abs=5e-3)
    assert held.of("weather_factor_share").value == pytest.approx(0.95341 / 1.24524, abs=1e-3)


def test_what_is_usually_known_leaves_a_wide_answer(warm_day):
    charge_c = charge_sum(warm_day, 230.0).of("charge_temperature_c")
    assert 8.0 < charge_c.plus_minus < 20.0


def test_a_charge_that_can_cross_the_guard_is_cautioned(warm_day):
    cautions = charge_sum(warm_day, 230.0, limit_c=60.0).cautions
    assert cautions[0].startswith("The charge can reach ")
    assert cautions[0].endswith(" °C, over the guard of 60 °C")
    assert len(charge_sum(warm_day, 230.0, limit_c=120.0).cautions) == len(cautions) - 1


def test_below_the_air_outside_there_is_no_compression(warm_day):
    assert charge_sum(warm_day, 90.0, **KNOWN).of("charge_temperature_c") == Absent(
        reason="the compressor does no work at a manifold pressure below its inlet"
    )
