"""At which altitude would standard air be like the air of today?

The lower part of the ICAO standard atmosphere (ISO 2533), where temperature falls by 6.5 K a kilometre. Its altitudes
are geopotential, as an altimeter reads; a tape measure or a satellite gives the geometric one, 1 m more at 2500 m.
"""

from numpy.typing import ArrayLike

from nextpass.physics.air import DRY_AIR_JPKGK, KELVIN
from nextpass.physics.domain import FloatArray, floats, positive, within

GRAVITY_MPS2 = 9.80665
"""Standard acceleration of free fall [m/s2], ISO 2533:1975."""

STANDARD_TEMPERATURE_C = 15.0
STANDARD_PRESSURE_KPA = 101.325
STANDARD_DENSITY_KGPM3 = 1.225
"""Standard air at mean sea level, ISO 2533:1975."""

LAPSE_KPM = 0.0065
"""Fall of temperature with geopotential altitude [K/m], ISO 2533:1975."""

EARTH_RADIUS_M = 6_356_766.0
"""Nominal radius that relates geometric and geopotential altitude [m], ISO 2533:1975."""

TROPOSPHERE_M = (-2000.0, 11000.0)
"""Geopotential altitudes for which the constant lapse rate is defined [m], ISO 2533:1975."""

_STANDARD_TEMPERATURE_K = STANDARD_TEMPERATURE_C + KELVIN
_PRESSURE_EXPONENT = GRAVITY_MPS2 / (DRY_AIR_JPKGK * LAPSE_KPM)  # 5.25588


def geopotential_altitude_m(geometric_altitude_m: ArrayLike) -> FloatArray:
    """Altitude as the standard atmosphere counts it.

    Parameters
    ----------
    geometric_altitude_m : array_like, any shape
        Height over mean sea level as a tape or a satellite gives it [m].

    Returns
    -------
    ndarray, same shape
        Geopotential altitude [m].

    References
    ----------
    ISO 2533:1975, eq. 8.
    """
    height_m = floats(geometric_altitude_m)
    return EARTH_RADIUS_M * height_m / (EARTH_RADIUS_M + height_m)


def standard_temperature_c(altitude_m: ArrayLike) -> FloatArray:
    """Temperature of the standard atmosphere.

    Parameters
    ----------
    altitude_m : array_like, any shape
        Geopotential altitude [m].

    Returns
    -------
    ndarray, same shape
        Temperature [°C]; nan outside `TROPOSPHERE_M`.

    References
    ----------
    ISO 2533:1975, eq. 11.
    """
    return STANDARD_TEMPERATURE_C - LAPSE_KPM * within(TROPOSPHERE_M, altitude_m)


def standard_pressure_kpa(altitude_m: ArrayLike) -> FloatArray:
    """Pressure of the standard atmosphere.

    Parameters
    ----------
    altitude_m : array_like, any shape
        Geopotential altitude [m].

    Returns
    -------
    ndarray, same shape
        Pressure [kPa]; nan outside `TROPOSPHERE_M`.

    References
    ----------
    ISO 2533:1975, eq. 12.
    """
    return STANDARD_PRESSURE_KPA * _temperature_ratio(altitude_m) ** _PRESSURE_EXPONENT


def standard_density_kgpm3(altitude_m: ArrayLike) -> FloatArray:
    """Density of the standard atmosphere.

    Parameters
    ----------
    altitude_m : array_like, any shape
        Geopotential altitude [m].

    Returns
    -------
    ndarray, same shape
        Density [kg/m3]; nan outside `TROPOSPHERE_M`.

    References
    ----------
    ISO 2533:1975, eq. 14.
    """
    return STANDARD_DENSITY_KGPM3 * _temperature_ratio(altitude_m) ** (_PRESSURE_EXPONENT - 1.0)


def density_altitude_m(density_kgpm3: ArrayLike) -> FloatArray:
    """Altitude at which the standard atmosphere has a given density.

    Parameters
    ----------
    density_kgpm3 : array_like, any shape
        Density of the air, humidity included [kg/m3].

    Returns
    -------
    ndarray, same shape
        Geopotential altitude [m], negative in air denser than the standard's; nan outside `TROPOSPHERE_M`.

    Raises
    ------
    ValueError
        On a density of zero or less.

    References
    ----------
    ISO 2533:1975, eq. 14 solved for the altitude.
    """
    ratio = positive("density_kgpm3", density_kgpm3) / STANDARD_DENSITY_KGPM3
    height_m = _STANDARD_TEMPERATURE_K / LAPSE_KPM * (1.0 - ratio ** (1.0 / (_PRESSURE_EXPONENT - 1.0)))
    return within(TROPOSPHERE_M, height_m)


def _temperature_ratio(altitude_m: ArrayLike) -> FloatArray:
    return 1.0 - LAPSE_KPM * within(TROPOSPHERE_M, altitude_m) / _STANDARD_TEMPERATURE_K
