"""Humid air against CoolProp (real gas), psychrolib (ideal gas, ASHRAE) and the published fits."""

import numpy as np
import psychrolib
import pytest
from CoolProp.CoolProp import HAPropsSI, PropsSI
from hypothesis import given
from hypothesis import strategies as st

from nextpass.physics import air

psychrolib.SetUnitSystem(psychrolib.SI)

# Air temperature °C, station pressure kPa, relative humidity: from a cold dense day to a hot high strip.
DAYS = [
    (15.0, 101.325, 0.0),
    (25.0, 101.325, 0.50),
    (35.0, 100.8, 0.80),
    (30.0, 83.5, 0.20),
    (5.0, 102.5, 0.60),
    (40.0, 97.0, 0.30),
]
HUMID_DAYS = [day for day in DAYS if day[2] > 0.0]

temperatures_c = st.floats(0.0, 49.0)
pressures_kpa = st.floats(70.0, 105.0)
humidities = st.floats(0.01, 1.0)


@pytest.mark.parametrize("temperature_c", [0.1, 5.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0])
def test_saturation_pressure_agrees_with_iapws(temperature_c):
    """IAPWS-95 by CoolProp; the fit was measured to stay within 0.05 % of it from 0 to 50 °C."""
    iapws_kpa = PropsSI("P", "T", temperature_c + 273.15, "Q", 0, "Water") / 1000.0
    assert air.saturation_pressure_kpa(temperature_c) == pytest.approx(iapws_kpa, rel=5e-4)


def test_saturation_pressure_agrees_with_the_magnus_form():
    """Alduchov and Eskridge (1996), an independent fit, itself up to 0.25 % low in this range."""
    t_c = np.linspace(0.0, 50.0, 11)
    magnus_kpa = 0.61094 * np.exp(17.625 * t_c / (t_c + 243.04))
    assert air.saturation_pressure_kpa(t_c) == pytest.approx(magnus_kpa, rel=3e-3)


def test_below_freezing_the_vapour_is_over_supercooled_water():
    """286.8 Pa at -10 °C by Magnus (Alduchov and Eskridge 1996), 0.1 % from Buck; psychrolib has 259.9 Pa over ice."""
    assert air.saturation_pressure_kpa(-10.0) == pytest.approx(0.2868, rel=1.5e-3)
    assert air.saturation_pressure_kpa(-10.0) > 1.1 * psychrolib.GetSatVapPres(-10.0) / 1000.0


@pytest.mark.parametrize(("temperature_c", "pressure_kpa", "humidity"), DAYS)
def test_density_agrees_with_ideal_humid_air(temperature_c, pressure_kpa, humidity):
    """psychrolib, the same ideal gases: what is left is the gas constant's last digit and the saturation fit."""
    ratio = psychrolib.GetHumRatioFromRelHum(temperature_c, humidity, pressure_kpa * 1000.0)
    expected = psychrolib.GetMoistAirDensity(temperature_c, ratio, pressure_kpa * 1000.0)
    assert air.density_kgpm3(temperature_c, pressure_kpa, humidity) == pytest.approx(expected, rel=2e-4)


@pytest.mark.parametrize(("temperature_c", "pressure_kpa", "humidity"), DAYS)
def test_density_agrees_with_real_humid_air(temperature_c, pressure_kpa, humidity):
    """CoolProp: real humid air is up to 0.06 % denser than two ideal gases."""
    volume = HAPropsSI("Vha", "T", temperature_c + 273.15, "R", humidity, "P", pressure_kpa * 1000.0)
    assert air.density_kgpm3(temperature_c, pressure_kpa, humidity) == pytest.approx(1.0 / volume, rel=1e-3)


@pytest.mark.parametrize(("temperature_c", "pressure_kpa", "humidity"), HUMID_DAYS)
def test_vapour_and_dry_pressure_agree_with_psychrolib(temperature_c, pressure_kpa, humidity):
    """psychrolib's own saturation formula (ASHRAE 2017) and ours differ by 0.05 %."""
    expected_kpa = psychrolib.GetVapPresFromRelHum(temperature_c, humidity) / 1000.0
    assert air.vapour_pressure_kpa(temperature_c, humidity) == pytest.approx(expected_kpa, rel=6e-4)
    assert air.dry_pressure_kpa(temperature_c, pressure_kpa, humidity) == pytest.approx(
        pressure_kpa - expected_kpa, abs=0.003
    )


@pytest.mark.parametrize(("temperature_c", "pressure_kpa", "humidity"), HUMID_DAYS)
def test_humidity_ratio_agrees_with_psychrolib_and_coolprop(temperature_c, pressure_kpa, humidity):
    """CoolProp counts the enhancement factor, 0.4 to 0.5 % more vapour at the same relative humidity."""
    ideal = psychrolib.GetHumRatioFromRelHum(temperature_c, humidity, pressure_kpa * 1000.0)
    real = HAPropsSI("W", "T", temperature_c + 273.15, "R", humidity, "P", pressure_kpa * 1000.0)
    assert air.humidity_ratio(temperature_c, pressure_kpa, humidity) == pytest.approx(ideal, rel=8e-4)
    assert air.humidity_ratio(temperature_c, pressure_kpa, humidity) == pytest.approx(real, rel=6e-3)


@pytest.mark.parametrize(("temperature_c", "pressure_kpa", "humidity"), [day for day in HUMID_DAYS if day[0] > 20.0])
def test_dew_point_agrees_with_coolprop(temperature_c, pressure_kpa, humidity):
    """Above freezing; 0.05 % of vapour pressure is 0.01 K, the table of CoolProp itself steps by that much."""
    kelvin = HAPropsSI("D", "T", temperature_c + 273.15, "R", humidity, "P", pressure_kpa * 1000.0)
    assert air.dew_point_c(temperature_c, humidity) == pytest.approx(kelvin - 273.15, abs=0.02)


@given(t_c=temperatures_c, warmer_c=st.floats(0.01, 1.0))
def test_warmer_air_can_hold_more_vapour(t_c, warmer_c):
    assert air.saturation_pressure_kpa(t_c + warmer_c) > air.saturation_pressure_kpa(t_c)


@given(t_c=temperatures_c, p_kpa=pressures_kpa, humidity=st.floats(0.0, 0.9))
def test_humid_air_is_lighter_than_dry(t_c, p_kpa, humidity):
    assert air.density_kgpm3(t_c, p_kpa, humidity + 0.1) < air.density_kgpm3(t_c, p_kpa, humidity)


@given(t_c=temperatures_c, humidity=humidities)
def test_air_cooled_to_its_dew_point_is_saturated(t_c, humidity):
    dew_c = air.dew_point_c(t_c, humidity)
    if dew_c >= air.SATURATION_FIT_C[0]:
        assert air.saturation_pressure_kpa(dew_c) == pytest.approx(air.vapour_pressure_kpa(t_c, humidity), rel=1e-9)


def test_air_is_taken_element_by_element():
    together = air.density_kgpm3([15.0, 35.0], 101.325, [[0.0], [0.8]])
    assert together.shape == (2, 2)
    assert together[1, 1] == air.density_kgpm3(35.0, 101.325, 0.8)


def test_outside_the_fit_there_is_no_number():
    assert np.isnan(air.saturation_pressure_kpa([-20.1, 50.1, -257.14])).all()
    assert np.isnan(air.density_kgpm3(60.0, 101.325, 0.0))


def test_dry_air_has_no_dew_point():
    assert np.isnan(air.dew_point_c(20.0, 0.0))


def test_vapour_above_the_station_pressure_leaves_no_dry_pressure():
    assert np.isnan(air.dry_pressure_kpa(50.0, 10.0, 1.0))


def test_a_humidity_in_percent_is_refused():
    with pytest.raises(ValueError, match=r"^humidity is a ratio and must lie in 0\.\.1, not 58$"):
        air.density_kgpm3(17.5, 100.9, 58.0)


def test_a_pressure_of_zero_is_refused():
    with pytest.raises(ValueError, match=r"^pressure_kpa must be above 0, not 0$"):
        air.density_kgpm3(17.5, [100.9, 0.0], 0.5)


def test_a_pressure_reduced_to_sea_level_is_noticed_at_a_high_site():
    """The standard atmosphere has 83.5 kPa at 1600 m (ISO 2533); the weather report there says about 101."""
    assert air.is_sea_level_reading(101.3, 1600.0)
    assert not air.is_sea_level_reading(83.5, 1600.0)
    assert not air.is_sea_level_reading(101.3, 200.0)


@pytest.mark.parametrize(
    ("pressure_kpa", "altitude_m", "is_questioned"),
    [(95.1, 1000.1, True), (95.0, 1600.0, False), (95.1, 1000.0, False)],
)
def test_a_pressure_is_questioned_above_95_kpa_over_1000_m(pressure_kpa, altitude_m, is_questioned):
    """Our own limits: standard air has 89.9 kPa at 1000 m, and weather moves it by 4 kPa at most."""
    assert air.is_sea_level_reading(pressure_kpa, altitude_m) == is_questioned
