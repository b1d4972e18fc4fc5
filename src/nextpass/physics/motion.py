"""How does a car move whose pull has a simple law?

Closed forms from rest: constant acceleration, constant power, traction up to the speed where power binds, and a
constant force against drag. They are no model of a pass; they judge the models and bound what mass and power allow.
"""

import numpy as np
from numpy.typing import ArrayLike

from nextpass.physics.domain import FloatArray, not_negative, positive


def uniform_time_s(distance_m: ArrayLike, acceleration_mps2: ArrayLike) -> FloatArray:
    """Time to a distance at constant acceleration.

    Parameters
    ----------
    distance_m : array_like
        From rest [m].
    acceleration_mps2 : array_like
        [m/s2].

    Returns
    -------
    ndarray, broadcast shape
        Time [s]. Speed times time over distance is 2, whatever the acceleration.

    Raises
    ------
    ValueError
        On a negative distance, or an acceleration of zero or less.

    References
    ----------
    Kinematics.
    """
    return np.sqrt(2.0 * not_negative("distance_m", distance_m) / positive("acceleration_mps2", acceleration_mps2))


def uniform_speed_mps(distance_m: ArrayLike, acceleration_mps2: ArrayLike) -> FloatArray:
    """Speed at a distance at constant acceleration.

    Parameters
    ----------
    distance_m : array_like
        From rest [m].
    acceleration_mps2 : array_like
        [m/s2].

    Returns
    -------
    ndarray, broadcast shape
        Speed [m/s].

    Raises
    ------
    ValueError
        On a negative distance, or an acceleration of zero or less.

    References
    ----------
    Kinematics.
    """
    return np.sqrt(2.0 * not_negative("distance_m", distance_m) * positive("acceleration_mps2", acceleration_mps2))


def powered_time_s(distance_m: ArrayLike, power_w: ArrayLike, mass_kg: ArrayLike) -> FloatArray:
    """Time to a distance at constant power, without any limit of traction.

    Parameters
    ----------
    distance_m : array_like
        From rest [m].
    power_w : array_like
        At the wheels, less road load [W].
    mass_kg : array_like
        Effective [kg].

    Returns
    -------
    ndarray, broadcast shape
        Time [s]. Speed times time over distance is 3/2, whatever power and mass.

    Raises
    ------
    ValueError
        On a negative distance, or another argument of zero or less.

    References
    ----------
    Fox, On the physics of drag racing, Am. J. Phys. 41 (1973) 311 (memory): x = sqrt(8 P/(9 m)) t^(3/2).
    """
    specific = positive("power_w", power_w) / positive("mass_kg", mass_kg)
    return np.cbrt(9.0 * not_negative("distance_m", distance_m) ** 2 / (8.0 * specific))


def powered_speed_mps(distance_m: ArrayLike, power_w: ArrayLike, mass_kg: ArrayLike) -> FloatArray:
    """Speed at a distance at constant power, without any limit of traction.

    Parameters
    ----------
    distance_m : array_like
        From rest [m].
    power_w : array_like
        At the wheels, less road load [W].
    mass_kg : array_like
        Effective [kg].

    Returns
    -------
    ndarray, broadcast shape
        Speed [m/s].

    Raises
    ------
    ValueError
        On a negative distance, or another argument of zero or less.

    References
    ----------
    Fox, Am. J. Phys. 41 (1973) 311 (memory): v^3 = 3 P x/m.
    """
    specific = positive("power_w", power_w) / positive("mass_kg", mass_kg)
    return np.cbrt(3.0 * specific * not_negative("distance_m", distance_m))


def gripped_time_s(distance_m: ArrayLike, grip_mps2: ArrayLike, power_w: ArrayLike, mass_kg: ArrayLike) -> FloatArray:
    """Time to a distance with constant acceleration until power binds, then constant power.

    Parameters
    ----------
    distance_m : array_like
        From rest [m].
    grip_mps2 : array_like
        Acceleration that the tyres carry [m/s2].
    power_w : array_like
        At the wheels, less road load [W].
    mass_kg : array_like
        Effective [kg].

    Returns
    -------
    ndarray, broadcast shape
        Time [s].

    Raises
    ------
    ValueError
        On a negative distance, or another argument of zero or less.

    References
    ----------
    Energy and momentum on each part; they join at v = P/(m a). Fox (1973) (memory).
    """
    speed = gripped_speed_mps(distance_m, grip_mps2, power_w, mass_kg)
    return gripped_time_to_speed_s(speed, grip_mps2, power_w, mass_kg)


def gripped_speed_mps(
    distance_m: ArrayLike, grip_mps2: ArrayLike, power_w: ArrayLike, mass_kg: ArrayLike
) -> FloatArray:
    """Speed at a distance with constant acceleration until power binds, then constant power.

    Parameters
    ----------
    distance_m : array_like
        From rest [m].
    grip_mps2 : array_like
        Acceleration that the tyres carry [m/s2].
    power_w : array_like
        At the wheels, less road load [W].
    mass_kg : array_like
        Effective [kg].

    Returns
    -------
    ndarray, broadcast shape
        Speed [m/s].

    Raises
    ------
    ValueError
        On a negative distance, or another argument of zero or less.

    References
    ----------
    As `gripped_time_s`: v^3 = v1^3 + 3 P (x - x1)/m after the joint.
    """
    distance, grip = not_negative("distance_m", distance_m), positive("grip_mps2", grip_mps2)
    specific = positive("power_w", power_w) / positive("mass_kg", mass_kg)
    joint_mps = specific / grip
    beyond_m = np.maximum(distance - joint_mps**2 / (2.0 * grip), 0.0)
    on_power = np.cbrt(joint_mps**3 + 3.0 * specific * beyond_m)
    return np.where(beyond_m > 0.0, on_power, np.sqrt(2.0 * grip * distance))


def gripped_time_to_speed_s(
    speed_mps: ArrayLike, grip_mps2: ArrayLike, power_w: ArrayLike, mass_kg: ArrayLike
) -> FloatArray:
    """Time to a speed with constant acceleration until power binds, then constant power.

    Parameters
    ----------
    speed_mps : array_like
        From rest [m/s].
    grip_mps2 : array_like
        Acceleration that the tyres carry [m/s2].
    power_w : array_like
        At the wheels, less road load [W].
    mass_kg : array_like
        Effective [kg].

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
    Momentum before and energy after the joint at v = P/(m a). Fox (1973) (memory).
    """
    speed, grip = not_negative("speed_mps", speed_mps), positive("grip_mps2", grip_mps2)
    specific = positive("power_w", power_w) / positive("mass_kg", mass_kg)
    joint_mps = specific / grip
    on_power_s = (np.maximum(speed, joint_mps) ** 2 - joint_mps**2) / (2.0 * specific)
    return np.minimum(speed, joint_mps) / grip + on_power_s


def pulled_speed_mps(
    time_s: ArrayLike, force_n: ArrayLike, mass_kg: ArrayLike, per_speed_squared_kgpm: ArrayLike
) -> FloatArray:
    """Speed of a car that a constant force pulls from rest against its drag.

    Parameters
    ----------
    time_s : array_like
        From rest [s].
    force_n : array_like
        Pull less rolling resistance [N].
    mass_kg : array_like
        Effective [kg].
    per_speed_squared_kgpm : array_like
        Half density times drag area [kg/m].

    Returns
    -------
    ndarray, broadcast shape
        Speed [m/s].

    Raises
    ------
    ValueError
        On a negative time, or another argument of zero or less.

    References
    ----------
    v = v_t tanh(k v_t t/m) with v_t = sqrt(F/k).
    """
    k = positive("per_speed_squared_kgpm", per_speed_squared_kgpm)
    terminal = np.sqrt(positive("force_n", force_n) / k)
    return terminal * np.tanh(k * terminal * not_negative("time_s", time_s) / positive("mass_kg", mass_kg))


def pulled_distance_m(
    time_s: ArrayLike, force_n: ArrayLike, mass_kg: ArrayLike, per_speed_squared_kgpm: ArrayLike
) -> FloatArray:
    """Distance of a car that a constant force pulls from rest against its drag.

    Parameters
    ----------
    time_s : array_like
        From rest [s].
    force_n : array_like
        Pull less rolling resistance [N].
    mass_kg : array_like
        Effective [kg].
    per_speed_squared_kgpm : array_like
        Half density times drag area [kg/m].

    Returns
    -------
    ndarray, broadcast shape
        Distance [m].

    Raises
    ------
    ValueError
        On a negative time, or another argument of zero or less.

    References
    ----------
    x = (m/k) ln cosh(k v_t t/m), the integral of `pulled_speed_mps`.
    """
    k, mass = positive("per_speed_squared_kgpm", per_speed_squared_kgpm), positive("mass_kg", mass_kg)
    phase = np.sqrt(positive("force_n", force_n) * k) * not_negative("time_s", time_s) / mass
    # ln cosh x as the logarithm of a sum: cosh itself overflows for a long pull.
    return np.asarray(mass / k * (np.logaddexp(phase, -phase) - np.log(2.0)))
