"""What holds the car back, and what mass has to be moved?

Drag, rolling resistance and slope; the mass that spinning parts add; the power at the wheels that an acceleration
shows, and the speed at which it is used up. Wind is positive against the car, slope positive uphill.
"""

import numpy as np
from numpy.typing import ArrayLike

from nextpass.physics.atmosphere import GRAVITY_MPS2
from nextpass.physics.domain import FloatArray, floats, not_negative, positive


def drag_n(
    speed_mps: ArrayLike, density_kgpm3: ArrayLike, drag_area_m2: ArrayLike, headwind_mps: ArrayLike = 0.0
) -> FloatArray:
    """Aerodynamic drag.

    Parameters
    ----------
    speed_mps : array_like
        Over ground [m/s].
    density_kgpm3 : array_like
        Of the air [kg/m3].
    drag_area_m2 : array_like
        Drag coefficient times frontal area [m2].
    headwind_mps : array_like
        Along the strip, against the car [m/s].

    Returns
    -------
    ndarray, broadcast shape
        Force against the car [N]; negative where a tailwind outruns it.

    Raises
    ------
    ValueError
        On a density of zero or less, or a negative drag area.

    References
    ----------
    Gillespie, Fundamentals of Vehicle Dynamics (1992), eq. 4-2 (memory).
    """
    airspeed = floats(speed_mps) + floats(headwind_mps)
    half_density = 0.5 * positive("density_kgpm3", density_kgpm3)
    return half_density * not_negative("drag_area_m2", drag_area_m2) * airspeed * np.abs(airspeed)


def rolling_resistance_n(mass_kg: ArrayLike, rolling_resistance: ArrayLike, slope: ArrayLike = 0.0) -> FloatArray:
    """Rolling resistance of all tyres.

    Parameters
    ----------
    mass_kg : array_like
        Of the car [kg].
    rolling_resistance : array_like
        Coefficient [-].
    slope : array_like
        Rise over run [ratio].

    Returns
    -------
    ndarray, broadcast shape
        Force against the car [N].

    Raises
    ------
    ValueError
        On a mass of zero or less, or a negative coefficient.

    References
    ----------
    Gillespie (1992), section 4.3 (memory), without its growth with speed.
    """
    normal_n = positive("mass_kg", mass_kg) * GRAVITY_MPS2 * np.cos(np.arctan(floats(slope)))
    return not_negative("rolling_resistance", rolling_resistance) * normal_n


def slope_n(mass_kg: ArrayLike, slope: ArrayLike) -> FloatArray:
    """Part of the weight that pulls the car down a slope.

    Parameters
    ----------
    mass_kg : array_like
        Of the car [kg].
    slope : array_like
        Rise over run, uphill positive [ratio].

    Returns
    -------
    ndarray, broadcast shape
        Force against the car [N].

    Raises
    ------
    ValueError
        On a mass of zero or less.

    References
    ----------
    Statics. 0.1 % is 7 % of the rolling resistance of a road car.
    """
    return positive("mass_kg", mass_kg) * GRAVITY_MPS2 * np.sin(np.arctan(floats(slope)))


def effective_mass_kg(
    mass_kg: ArrayLike,
    wheel_inertia_kgm2: ArrayLike,
    rolling_radius_m: ArrayLike,
    engine_inertia_kgm2: ArrayLike = 0.0,
    overall_ratio: ArrayLike = 0.0,
) -> FloatArray:
    """Mass of the car with the inertia of what turns with it.

    Parameters
    ----------
    mass_kg : array_like
        Of the car [kg].
    wheel_inertia_kgm2 : array_like
        Of one wheel, with its brake and its share of the shafts [kg m2]; four are counted.
    rolling_radius_m : array_like
        Of the tyres [m].
    engine_inertia_kgm2 : array_like
        Of engine and clutch, 0 while the clutch slips [kg m2].
    overall_ratio : array_like
        Gear times final drive [-].

    Returns
    -------
    ndarray, broadcast shape
        Effective mass [kg], for wheels that roll: a spinning wheel is a mass of its own.

    Raises
    ------
    ValueError
        On a mass or radius of zero or less, or a negative inertia.

    References
    ----------
    Gillespie (1992), eq. 2-9b (memory): equal kinetic energy.
    """
    wheels = 4.0 * not_negative("wheel_inertia_kgm2", wheel_inertia_kgm2)
    engine = not_negative("engine_inertia_kgm2", engine_inertia_kgm2) * floats(overall_ratio) ** 2
    return positive("mass_kg", mass_kg) + (wheels + engine) / positive("rolling_radius_m", rolling_radius_m) ** 2


def typical_mass_factor(overall_ratio: ArrayLike) -> FloatArray:
    """Effective over true mass of a typical car, where no inertia is known.

    Parameters
    ----------
    overall_ratio : array_like, any shape
        Gear times final drive [-].

    Returns
    -------
    ndarray, same shape
        Factor [-]. A car with a light engine has less: 1.25 by its summed inertias where this says 1.60 in first gear.

    Raises
    ------
    ValueError
        On a negative ratio.

    References
    ----------
    Gillespie (1992), eq. 2-10 (memory): a fit to passenger cars. A fallback, to be named as such.
    """
    return 1.04 + 0.0025 * not_negative("overall_ratio", overall_ratio) ** 2


def wheel_power_w(
    speed_mps: ArrayLike, acceleration_mps2: ArrayLike, effective_mass_kg: ArrayLike, road_load_n: ArrayLike
) -> FloatArray:
    """Power that the driven wheels put on the road.

    Parameters
    ----------
    speed_mps : array_like
        Over ground [m/s].
    acceleration_mps2 : array_like
        Of the ground speed: 0.1 m/s2 of sensor bias is 8 kW at 45 m/s on 1700 kg [m/s2].
    effective_mass_kg : array_like
        With what turns [kg].
    road_load_n : array_like
        Drag, rolling and slope [N].

    Returns
    -------
    ndarray, broadcast shape
        Power [W].

    Raises
    ------
    ValueError
        On a mass of zero or less.

    References
    ----------
    Newton's second law, Gillespie (1992), section 2.2 (memory).
    """
    force_n = positive("effective_mass_kg", effective_mass_kg) * floats(acceleration_mps2) + floats(road_load_n)
    return force_n * floats(speed_mps)


def top_speed_mps(wheel_power_w: ArrayLike, constant_n: ArrayLike, per_speed_squared_kgpm: ArrayLike) -> FloatArray:
    """Speed at which a constant wheel power is used up by the road load.

    Parameters
    ----------
    wheel_power_w : array_like
        [W].
    constant_n : array_like
        Road load at standstill: rolling and slope [N].
    per_speed_squared_kgpm : array_like
        Road load over speed squared: half density times drag area [kg/m].

    Returns
    -------
    ndarray, broadcast shape
        Speed [m/s].

    Raises
    ------
    ValueError
        On a power or drag of zero or less, or a negative constant.

    References
    ----------
    Real root of k v^3 + f v = P by Cardano's formula, which has one root for f >= 0.
    """
    k = positive("per_speed_squared_kgpm", per_speed_squared_kgpm)
    half_q = positive("wheel_power_w", wheel_power_w) / (2.0 * k)
    third_p = not_negative("constant_n", constant_n) / (3.0 * k)
    root = np.cbrt(half_q + np.sqrt(half_q**2 + third_p**3))
    return root - third_p / root
