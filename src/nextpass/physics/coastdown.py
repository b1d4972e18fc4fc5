"""How does a car roll out in neutral, and what road load does that show?

Road load as f0 + f2 v^2 (the term in v of SAE J1263 is small for a car in neutral and is left to a fit). Coast down in
both directions: a slope of 0.1 % is 7 % of the rolling resistance of a road car, and wind is worse.
"""

import numpy as np
from numpy.typing import ArrayLike

from nextpass.physics.domain import FloatArray, not_negative, positive


def coasting_speed_mps(
    time_s: ArrayLike,
    start_mps: ArrayLike,
    effective_mass_kg: ArrayLike,
    constant_n: ArrayLike,
    per_speed_squared_kgpm: ArrayLike,
) -> FloatArray:
    """Speed of a car that coasts down.

    Parameters
    ----------
    time_s : array_like
        Since it was released [s].
    start_mps : array_like
        Speed at release [m/s].
    effective_mass_kg : array_like
        With wheels and shafts, without the engine [kg].
    constant_n, per_speed_squared_kgpm : array_like
        Road load at standstill and over speed squared [N, kg/m].

    Returns
    -------
    ndarray, broadcast shape
        Speed [m/s]; 0 after `coasting_time_s`.

    Raises
    ------
    ValueError
        On a negative time or speed, or another argument of zero or less.

    References
    ----------
    Separation of m v' = -(f0 + f2 v^2): an arc tangent. White and Korst, SAE 720099 (memory).
    """
    rate, angle, scale = _motion(start_mps, effective_mass_kg, constant_n, per_speed_squared_kgpm)
    left = np.maximum(angle - rate * not_negative("time_s", time_s), 0.0)
    return scale * np.tan(left)


def coasting_distance_m(
    time_s: ArrayLike,
    start_mps: ArrayLike,
    effective_mass_kg: ArrayLike,
    constant_n: ArrayLike,
    per_speed_squared_kgpm: ArrayLike,
) -> FloatArray:
    """Distance that a car covers as it coasts down.

    Parameters
    ----------
    time_s : array_like
        Since it was released [s].
    start_mps : array_like
        Speed at release [m/s].
    effective_mass_kg : array_like
        With wheels and shafts, without the engine [kg].
    constant_n, per_speed_squared_kgpm : array_like
        Road load at standstill and over speed squared [N, kg/m].

    Returns
    -------
    ndarray, broadcast shape
        Distance [m]; no more after the car has stopped.

    Raises
    ------
    ValueError
        On a negative time or speed, or another argument of zero or less.

    References
    ----------
    Integral of `coasting_speed_mps`: (m/f2) ln(cos(left)/cos(angle)).
    """
    rate, angle, _ = _motion(start_mps, effective_mass_kg, constant_n, per_speed_squared_kgpm)
    left = np.maximum(angle - rate * not_negative("time_s", time_s), 0.0)
    mass_over_drag = positive("effective_mass_kg", effective_mass_kg) / np.asarray(per_speed_squared_kgpm)
    return np.asarray(mass_over_drag * np.log(np.cos(left) / np.cos(angle)))


def coasting_time_s(
    start_mps: ArrayLike, effective_mass_kg: ArrayLike, constant_n: ArrayLike, per_speed_squared_kgpm: ArrayLike
) -> FloatArray:
    """Time until a coasting car stands.

    Parameters
    ----------
    start_mps : array_like
        Speed at release [m/s].
    effective_mass_kg : array_like
        With wheels and shafts, without the engine [kg].
    constant_n, per_speed_squared_kgpm : array_like
        Road load at standstill and over speed squared [N, kg/m].

    Returns
    -------
    ndarray, broadcast shape
        Time [s].

    Raises
    ------
    ValueError
        On a negative speed, or another argument of zero or less.

    References
    ----------
    As `coasting_speed_mps`.
    """
    rate, angle, _ = _motion(start_mps, effective_mass_kg, constant_n, per_speed_squared_kgpm)
    return angle / rate


def _motion(
    start_mps: ArrayLike, effective_mass_kg: ArrayLike, constant_n: ArrayLike, per_speed_squared_kgpm: ArrayLike
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Rate of the angle [rad/s], its start [rad], and the speed that an angle of 45° stands for [m/s]."""
    f0, f2 = positive("constant_n", constant_n), positive("per_speed_squared_kgpm", per_speed_squared_kgpm)
    scale = np.sqrt(f0 / f2)
    angle = np.arctan(not_negative("start_mps", start_mps) / scale)
    return np.sqrt(f0 * f2) / positive("effective_mass_kg", effective_mass_kg), angle, scale
