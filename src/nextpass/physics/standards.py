"""What would the dynamometer have read in the standard's air?

Factors by which a *measured* power is multiplied to get the power in reference air. They hold for engines whose
manifold follows the barometer, wide open and without pressure charging; how the standards treat pressure-charged
engines was not verified, their texts not being open. Where boost is held to an absolute target they overstate: from
101.3 kPa and 15 °C to 83.5 kPa and 30 °C they move by 31 %, the charge density by 7 %. Such a car is corrected by
simulating both days, and the factor is shown only as "by the standard". A factor is defined outside the weather that
its standard allows for trials, so it is given there too; `.._applies` says whether the standard would accept it.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from nextpass.physics.air import KELVIN
from nextpass.physics.domain import FloatArray, floats, positive

SAE_J1349_TRIAL_C = (15.0, 35.0)
SAE_J1349_TRIAL_DRY_KPA = (90.0, 105.0)
"""Weather in which SAE J1349 wants its trials (memory): air [°C] and dry pressure [kPa]."""

# SAE J1349 and ISO 1585 write 298 K for 25 °C, so 0 °C is 273 K in both: their factor at the reference is 1.
_ZERO_C_OF_THE_TEXTS = 273.0
_REFERENCE_K = 298.0
_REFERENCE_DRY_KPA = 99.0

ISO_1585_BAND = (0.93, 1.07)
"""Factors that ISO 1585 accepts; outside, the trial is to be repeated in better weather."""


def sae_j1349_factor(dry_pressure_kpa: ArrayLike, temperature_c: ArrayLike) -> FloatArray:
    """Power correction to 99 kPa dry and 25 °C by SAE J1349.

    Parameters
    ----------
    dry_pressure_kpa : array_like
        Station pressure without the vapour's part [kPa].
    temperature_c : array_like
        Intake air [°C].

    Returns
    -------
    ndarray, broadcast shape
        Factor on measured power [-].

    Raises
    ------
    ValueError
        On a pressure of zero or less.

    References
    ----------
    SAE J1349 (coefficients from memory). The form 1.18 cf - 0.18 corrects indicated power and takes the mechanical
    efficiency as 85 %: 1/0.85 = 1.176.
    """
    pressure_part, temperature_part = _air_ratios(dry_pressure_kpa, temperature_c)
    return 1.18 * pressure_part * np.sqrt(temperature_part) - 0.18


def sae_j1349_applies(dry_pressure_kpa: ArrayLike, temperature_c: ArrayLike) -> NDArray[np.bool_]:
    """Whether SAE J1349 would take a trial in this weather.

    Parameters
    ----------
    dry_pressure_kpa : array_like
        Station pressure without the vapour's part [kPa].
    temperature_c : array_like
        Intake air [°C].

    Returns
    -------
    ndarray of bool, broadcast shape

    References
    ----------
    SAE J1349 (memory).
    """
    p_kpa, t_c = floats(dry_pressure_kpa), floats(temperature_c)
    (low_c, high_c), (low_kpa, high_kpa) = SAE_J1349_TRIAL_C, SAE_J1349_TRIAL_DRY_KPA
    return (t_c >= low_c) & (t_c <= high_c) & (p_kpa >= low_kpa) & (p_kpa <= high_kpa)


def iso_1585_factor(dry_pressure_kpa: ArrayLike, temperature_c: ArrayLike) -> FloatArray:
    """Power correction of a spark-ignition engine to 99 kPa dry and 25 °C by ISO 1585.

    Parameters
    ----------
    dry_pressure_kpa : array_like
        Station pressure without the vapour's part [kPa].
    temperature_c : array_like
        Intake air [°C].

    Returns
    -------
    ndarray, broadcast shape
        Factor on measured power [-].

    Raises
    ------
    ValueError
        On a pressure of zero or less.

    References
    ----------
    ISO 1585 (coefficients from memory).
    """
    pressure_part, temperature_part = _air_ratios(dry_pressure_kpa, temperature_c)
    return pressure_part**1.2 * temperature_part**0.6


def iso_1585_applies(factor: ArrayLike) -> NDArray[np.bool_]:
    """Whether ISO 1585 accepts a trial with this factor.

    Parameters
    ----------
    factor : array_like, any shape
        From `iso_1585_factor` [-].

    Returns
    -------
    ndarray of bool, same shape

    References
    ----------
    ISO 1585 (memory).
    """
    low, high = ISO_1585_BAND
    return (floats(factor) >= low) & (floats(factor) <= high)


def din_70020_factor(pressure_kpa: ArrayLike, temperature_c: ArrayLike) -> FloatArray:
    """Power correction to 1013 hPa and 20 °C by DIN 70020, which is withdrawn.

    Parameters
    ----------
    pressure_kpa : array_like
        Station pressure, vapour included [kPa].
    temperature_c : array_like
        Intake air [°C].

    Returns
    -------
    ndarray, broadcast shape
        Factor on measured power [-]; 1.00026 at its own reference, because the formula rounds 293.15 K to 293.

    Raises
    ------
    ValueError
        On a pressure of zero or less.

    References
    ----------
    DIN 70020 (coefficients from memory).
    """
    relative_kpa = 101.3 / positive("pressure_kpa", pressure_kpa)
    return relative_kpa * np.sqrt((floats(temperature_c) + KELVIN) / 293.0)


def _air_ratios(dry_pressure_kpa: ArrayLike, temperature_c: ArrayLike) -> tuple[FloatArray, FloatArray]:
    pressure_part = _REFERENCE_DRY_KPA / positive("dry_pressure_kpa", dry_pressure_kpa)
    return pressure_part, (floats(temperature_c) + _ZERO_C_OF_THE_TEXTS) / _REFERENCE_K
