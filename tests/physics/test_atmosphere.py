"""The standard atmosphere and density altitude against `ambiance` (ISO 2533) and psychrolib."""

import numpy as np
import psychrolib
import pytest
from ambiance import Atmosphere
from hypothesis import given
from hypothesis import strategies as st

from nextpass.physics import air, atmosphere

psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.mark.parametrize("geometric_m", [0.0, 1000.0, 1500.0, 2000.0, 3000.0, 5000.0])
def test_standard_air_agrees_with_ambiance(geometric_m):
    """The same equations: what is left is rounding of constants."""
    standard = Atmosphere(geometric_m)
    altitude_m = atmosphere.geopotential_altitude_m(geometric_m)
    assert atmosphere.standard_temperature_c(altitude_m) + 273.15 == pytest.approx(standard.temperature[0], abs=1e-3)
    assert atmosphere.standard_pressure_kpa(altitude_m) == pytest.approx(standard.pressure[0] / 1000.0, rel=2e-6)
    assert atmosphere.standard_density_kgpm3(altitude_m) == pytest.approx(standard.density[0], rel=5e-6)


def test_standard_pressure_agrees_with_psychrolib():
    """89.87452 kPa at 1000 m geopotential (ASHRAE's fit of the same atmosphere, rounded exponent)."""
    assert atmosphere.standard_pressure_kpa(1000.0) == pytest.approx(
        psychrolib.GetStandardAtmPressure(1000.0) / 1e3, rel=1e-5
    )


@pytest.mark.parametrize(("geometric_m", "geopotential_m"), [(1000.0, 999.843), (3000.0, 2998.585)])
def test_geopotential_altitude_of_iso_2533(geometric_m, geopotential_m):
    """Arithmetic of ISO 2533, eq. 8, with its radius of 6356.766 km."""
    assert atmosphere.geopotential_altitude_m(geometric_m) == pytest.approx(geopotential_m, abs=1e-3)


# Density altitude of psychrolib's density by the formula, to a decimetre; a density off by 0.02 % is 2 m off.
@pytest.mark.parametrize(
    ("temperature_c", "pressure_kpa", "humidity", "expected_m"),
    [
        (15.0, 101.325, 0.0, -0.4),
        (25.0, 101.325, 0.5, 414.8),
        (35.0, 100.8, 0.8, 920.4),
        (30.0, 83.5, 0.2, 2509.9),
        (5.0, 102.5, 0.6, -470.8),
        (40.0, 97.0, 0.3, 1388.7),
    ],
)
def test_density_altitude_of_humid_air(temperature_c, pressure_kpa, humidity, expected_m):
    density = air.density_kgpm3(temperature_c, pressure_kpa, humidity)
    assert atmosphere.density_altitude_m(density) == pytest.approx(expected_m, abs=2.0)


@pytest.mark.parametrize("density_kgpm3", [0.9561, 1.07004, 1.12071, 1.17736, 1.28203])
def test_density_altitude_agrees_with_ambiance(density_kgpm3):
    """`ambiance` returns the geometric height, 1 m more at 2500 m, by a numerical search."""
    geometric_m = Atmosphere.from_density(density_kgpm3).h[0]
    assert atmosphere.density_altitude_m(density_kgpm3) == pytest.approx(
        atmosphere.geopotential_altitude_m(geometric_m), abs=0.5
    )


@given(altitude_m=st.floats(*atmosphere.TROPOSPHERE_M))
def test_density_altitude_of_standard_air_is_its_altitude(altitude_m):
    back_m = atmosphere.density_altitude_m(atmosphere.standard_density_kgpm3(altitude_m))
    assert np.isnan(back_m) or back_m == pytest.approx(altitude_m, abs=1e-6)


def test_above_the_troposphere_there_is_no_number():
    assert np.isnan(atmosphere.standard_density_kgpm3([11000.1, -2000.1])).all()
    assert np.isnan(atmosphere.density_altitude_m(0.1))


def test_a_density_of_zero_is_refused():
    with pytest.raises(ValueError, match=r"^density_kgpm3 must be above 0, not 0$"):
        atmosphere.density_altitude_m(0.0)
