"""How dense is the air, and how much water does it carry?

Humid air as two ideal gases, dry air and water vapour, with the vapour's share from the relative humidity and a fit of
the saturation pressure over liquid water. Against real-gas humid air the density is 0.06 % low at most between 5 and
40 °C. Every pressure is the station's own: a pressure reduced to sea level makes the air of a high strip too dense by
a tenth and more, see `is_sea_level_reading`.
"""

import numpy as np
from numpy.typing import ArrayLike

from nextpass.physics.domain import FloatArray, floats, positive, share, within

KELVIN = 273.15
"""0 °C [K]."""

DRY_AIR_JPKGK = 287.05287
"""Specific gas constant of dry air [J/(kg K)], ISO 2533:1975."""

WATER_VAPOUR_JPKGK = 461.52
"""Specific gas constant of water vapour [J/(kg K)]: 8.314463 J/(mol K) over 18.0153 g/mol."""

SATURATION_FIT_C = (-20.0, 50.0)
"""Range of the saturation fit [°C]. Held against IAPWS-95 from 0 to 50 °C: within 0.05 %. Below 0 °C it gives the
pressure over supercooled water, a tenth above that over ice at -10 °C."""

WATER_TO_DRY_AIR = 0.621945
"""Molar mass of water over that of dry air [-], ASHRAE Handbook Fundamentals 2017, chapter 1."""

# A reading above the first [kPa] at a site above the second [m] cannot be the station's own pressure: the standard
# atmosphere has 89.9 kPa at 1000 m, and weather moves it by 4 kPa at the very most.
SEA_LEVEL_READING_KPA = 95.0
SEA_LEVEL_READING_ALTITUDE_M = 1000.0


def saturation_pressure_kpa(temperature_c: ArrayLike) -> FloatArray:
    """Pressure of water vapour in balance with a flat surface of liquid water.

    Parameters
    ----------
    temperature_c : array_like, any shape
        Air temperature [°C].

    Returns
    -------
    ndarray, same shape
        Vapour pressure [kPa]; nan outside `SATURATION_FIT_C`, where the fit is not proven.

    References
    ----------
    Buck, J. Appl. Meteor. 20 (1981) 1527, with the coefficients revised in 1996 (memory).
    """
    # Blank before computing: a dead sensor's -257.14 °C would meet the pole of the fit.
    t_c = within(SATURATION_FIT_C, temperature_c)
    return 0.61121 * np.exp((18.678 - t_c / 234.5) * t_c / (257.14 + t_c))


def vapour_pressure_kpa(temperature_c: ArrayLike, humidity: ArrayLike) -> FloatArray:
    """Partial pressure of the water vapour in the air.

    Parameters
    ----------
    temperature_c : array_like
        Air temperature [°C].
    humidity : array_like
        Relative humidity over liquid water [0..1].

    Returns
    -------
    ndarray, broadcast shape
        Vapour pressure [kPa]; nan outside `SATURATION_FIT_C`.

    Raises
    ------
    ValueError
        On a humidity outside 0..1.

    References
    ----------
    Definition of relative humidity (WMO No. 8, annex 4.A), the enhancement factor of 0.4 % left out.
    """
    return share("humidity", humidity) * saturation_pressure_kpa(temperature_c)


def dry_pressure_kpa(temperature_c: ArrayLike, pressure_kpa: ArrayLike, humidity: ArrayLike) -> FloatArray:
    """Partial pressure of the dry air, which carries the oxygen.

    Parameters
    ----------
    temperature_c : array_like
        Air temperature [°C].
    pressure_kpa : array_like
        Station pressure [kPa].
    humidity : array_like
        Relative humidity [0..1].

    Returns
    -------
    ndarray, broadcast shape
        Dry pressure [kPa]; nan outside `SATURATION_FIT_C` and where the vapour alone would exceed the station pressure.

    Raises
    ------
    ValueError
        On a pressure of zero or less, or a humidity outside 0..1.

    References
    ----------
    Dalton's law.
    """
    dry_kpa = positive("pressure_kpa", pressure_kpa) - vapour_pressure_kpa(temperature_c, humidity)
    return np.where(dry_kpa > 0.0, dry_kpa, np.nan)


def density_kgpm3(temperature_c: ArrayLike, pressure_kpa: ArrayLike, humidity: ArrayLike) -> FloatArray:
    """Density of humid air.

    Parameters
    ----------
    temperature_c : array_like
        Air temperature [°C].
    pressure_kpa : array_like
        Station pressure, not reduced to sea level [kPa].
    humidity : array_like
        Relative humidity [0..1].

    Returns
    -------
    ndarray, broadcast shape
        Density [kg/m3]; nan outside `SATURATION_FIT_C`.

    Raises
    ------
    ValueError
        On a pressure of zero or less, or a humidity outside 0..1.

    References
    ----------
    Two ideal gases (WMO No. 8, annex 4.A). Real humid air is up to 0.06 % denser.
    """
    dry_kpa = dry_pressure_kpa(temperature_c, pressure_kpa, humidity)
    vapour_kpa = vapour_pressure_kpa(temperature_c, humidity)
    t_k = floats(temperature_c) + KELVIN
    return 1000.0 * (dry_kpa / DRY_AIR_JPKGK + vapour_kpa / WATER_VAPOUR_JPKGK) / t_k


def humidity_ratio(temperature_c: ArrayLike, pressure_kpa: ArrayLike, humidity: ArrayLike) -> FloatArray:
    """Mass of water vapour that goes with a unit mass of dry air.

    Parameters
    ----------
    temperature_c : array_like
        Air temperature [°C].
    pressure_kpa : array_like
        Station pressure [kPa].
    humidity : array_like
        Relative humidity [0..1].

    Returns
    -------
    ndarray, broadcast shape
        Humidity ratio [kg/kg]; nan outside `SATURATION_FIT_C`.

    Raises
    ------
    ValueError
        On a pressure of zero or less, or a humidity outside 0..1.

    References
    ----------
    ASHRAE Handbook Fundamentals (2017), chapter 1, eq. 20.
    """
    dry_kpa = dry_pressure_kpa(temperature_c, pressure_kpa, humidity)
    return WATER_TO_DRY_AIR * vapour_pressure_kpa(temperature_c, humidity) / dry_kpa


def dew_point_c(temperature_c: ArrayLike, humidity: ArrayLike) -> FloatArray:
    """Temperature at which the air, cooled at its pressure, begins to shed water.

    Parameters
    ----------
    temperature_c : array_like
        Air temperature [°C].
    humidity : array_like
        Relative humidity [0..1].

    Returns
    -------
    ndarray, broadcast shape
        Dew point over liquid water [°C]; nan for dry air and outside `SATURATION_FIT_C`.

    Raises
    ------
    ValueError
        On a humidity outside 0..1.

    References
    ----------
    The fit of `saturation_pressure_kpa` solved for its temperature, a quadratic.
    """
    vapour_kpa = vapour_pressure_kpa(temperature_c, humidity)
    exponent = np.log(np.where(vapour_kpa > 0.0, vapour_kpa, np.nan) / 0.61121)
    # (18.678 - t/234.5) t = exponent (257.14 + t): the root that goes through 0 °C at an exponent of 0.
    half = 0.5 * 234.5 * (18.678 - exponent)
    return within(SATURATION_FIT_C, half - np.sqrt(half**2 - 234.5 * 257.14 * exponent))


def is_sea_level_reading(pressure_kpa: ArrayLike, altitude_m: ArrayLike) -> np.typing.NDArray[np.bool_]:
    """Whether a pressure cannot be the station's own and must be one reduced to sea level.

    Parameters
    ----------
    pressure_kpa : array_like
        Pressure that was given for the site [kPa].
    altitude_m : array_like
        Altitude of the site [m].

    Returns
    -------
    ndarray of bool, broadcast shape

    References
    ----------
    ISO 2533:1975 with the range of weather; the two limits are ours.
    """
    return (floats(pressure_kpa) > SEA_LEVEL_READING_KPA) & (floats(altitude_m) > SEA_LEVEL_READING_ALTITUDE_M)
