"""The air of a day against psychrolib and the worked factors of the standards."""

import dataclasses
import math

import psychrolib
import pytest

from nextpass.measure import Absent, Estimate
from nextpass.workbench import day_sum

psychrolib.SetUnitSystem(psychrolib.SI)

BOOST_HELD = (
    "The factors are for engines whose manifold follows the barometer. A car that holds its boost loses far less: "
    "compare its days by simulation"
)


def test_density_and_its_altitude_of_a_warm_day(warm_day):
    """psychrolib: 1.17696 kg/m3, which the standard atmosphere (ISO 2533) has at 414.8 m; 0.02 % apart are 2 m."""
    day = day_sum(warm_day)
    ratio = psychrolib.GetHumRatioFromRelHum(25.0, 0.5, 101325.0)
    assert day.of("density_kgpm3").value == pytest.approx(
        psychrolib.GetMoistAirDensity(25.0, ratio, 101325.0), rel=2e-4
    )
    assert day.of("density_altitude_m").value == pytest.approx(414.8, abs=2.0)


def test_plus_minus_follows_from_the_meter(warm_day):
    """GUM by hand: vapour weighs 0.378 less than the air it displaces; e_s is 3.17 kPa and grows by 0.189 kPa/K."""
    of_temperature = 0.5 * (1.0 / 298.15 + 0.378 * 0.5 * 0.189 / 101.325)
    of_pressure, of_humidity = 0.2 / 101.325, 0.04 * 3.17 * 0.378 / 101.325
    expected = 1.177 * math.hypot(of_temperature, of_pressure, of_humidity)
    assert day_sum(warm_day).of("density_kgpm3").plus_minus == pytest.approx(expected, rel=0.02)


def test_a_high_hot_day_is_outside_the_standards(high_day):
    """83.5 kPa, 30 °C, 20 %: dry 82.651 kPa; SAE J1349 1.2452 and ISO 1585 1.2543 (formulas), both out of range."""
    day = day_sum(high_day)
    assert day.of("dry_pressure_kpa").value == pytest.approx(82.651, abs=0.002)
    assert day.of("sae_j1349_factor").value == pytest.approx(1.24524, abs=1e-4)
    assert day.of("iso_1585_factor").value == pytest.approx(1.25432, abs=1e-4)
    assert day.cautions == (
        "This day is outside the range of SAE J1349: its factor is shown, but the standard would not accept it",
        "This day is outside the range of ISO 1585: its factor is shown, but the standard would not accept it",
        BOOST_HELD,
    )


def test_a_usual_day_is_within_them(warm_day):
    assert day_sum(warm_day).cautions == (BOOST_HELD,)


def test_a_pressure_reduced_to_sea_level_is_questioned(high_day):
    day = day_sum(dataclasses.replace(high_day, pressure_kpa=101.3))
    assert day.cautions[0] == (
        "101.3 kPa cannot be the station pressure at 1600 m: it is reduced to sea level. "
        "Read the barometer at the strip"
    )


def test_saturated_air_has_its_dew_point_at_its_temperature(warm_day):
    day = day_sum(dataclasses.replace(warm_day, humidity=1.0))
    assert day.of("dew_point_c").value == pytest.approx(25.0, abs=1e-6)
    assert isinstance(day.of("density_kgpm3"), Estimate)


def test_beyond_the_fit_the_day_says_so(warm_day):
    day = day_sum(dataclasses.replace(warm_day, air_temperature_c=55.0))
    assert day.of("density_kgpm3") == Absent(reason="the formula for vapour pressure is proven from -20 to 50 °C only")
    assert day.of("din_70020_factor").value == pytest.approx(1013.0 / 1013.25 * (328.15 / 293.0) ** 0.5, rel=1e-9)


def test_an_unknown_line_is_a_fault_of_the_caller(warm_day):
    with pytest.raises(KeyError, match="boost_kpa"):
        day_sum(warm_day).of("boost_kpa")
