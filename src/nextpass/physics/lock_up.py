"""When does a slipping clutch lock, and what heat has it taken by then?

Closed forms of a launch from rest with torques held constant, tyres that roll, and no road load. They judge the
simulation and size a launch on paper.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from nextpass.physics.clutch import RADPS_PER_RPM
from nextpass.physics.domain import FloatArray, floats, not_negative, positive


def car_inertia_kgm2(mass_kg: ArrayLike, rolling_radius_m: ArrayLike, overall_ratio: ArrayLike) -> FloatArray:
    """Inertia of the car as the clutch's output shaft feels it.

    Parameters
    ----------
    mass_kg : array_like
        Effective, without the engine [kg].
    rolling_radius_m : array_like
        [m].
    overall_ratio : array_like
        Gear times final drive [-].

    Returns
    -------
    ndarray, broadcast shape
        Inertia [kg m2].

    Raises
    ------
    ValueError
        On an argument of zero or less.

    References
    ----------
    Equal kinetic energy: m r^2/N^2.
    """
    lever = positive("rolling_radius_m", rolling_radius_m) / positive("overall_ratio", overall_ratio)
    return positive("mass_kg", mass_kg) * lever**2


@dataclass(frozen=True, slots=True, kw_only=True)
class LockUp:
    """How a slip from rest ended.

    Parameters
    ----------
    time_s : ndarray
        From the start of the slip to the lock [s].
    heat_j : ndarray
        Into the clutch [J].
    locked_rpm : ndarray
        Common speed of both sides at the lock [rpm].
    """

    time_s: FloatArray
    heat_j: FloatArray
    locked_rpm: FloatArray


def held_speed_lock_up(
    engine_rpm: ArrayLike, clutch_torque_nm: ArrayLike, car_inertia_kgm2: ArrayLike, efficiency: ArrayLike = 1.0
) -> LockUp:
    """Launch with the engine speed held until the car has caught up.

    Parameters
    ----------
    engine_rpm : array_like
        Held speed [rpm].
    clutch_torque_nm : array_like
        Constant [N m].
    car_inertia_kgm2 : array_like
        At the output shaft [kg m2].
    efficiency : array_like
        Of the driveline behind the clutch [0..1].

    Returns
    -------
    LockUp
        The heat is the car's kinetic energy at the lock over the efficiency, whatever the torque: launch rpm enters
        squared, torque only sets how long it lasts.

    Raises
    ------
    ValueError
        On an argument of zero or less.

    References
    ----------
    Newton's second law with constant torques; tyres that roll.
    """
    omega = positive("engine_rpm", engine_rpm) * RADPS_PER_RPM
    torque = positive("clutch_torque_nm", clutch_torque_nm)
    time_s = positive("car_inertia_kgm2", car_inertia_kgm2) * omega / (torque * positive("efficiency", efficiency))
    return LockUp(time_s=time_s, heat_j=0.5 * torque * omega * time_s, locked_rpm=floats(engine_rpm))


def free_lock_up(
    engine_rpm: ArrayLike,
    engine_torque_nm: ArrayLike,
    clutch_torque_nm: ArrayLike,
    engine_inertia_kgm2: ArrayLike,
    car_inertia_kgm2: ArrayLike,
) -> LockUp:
    """Launch from rest in which the clutch pulls the engine down to the car.

    Parameters
    ----------
    engine_rpm : array_like
        At the start [rpm].
    engine_torque_nm, clutch_torque_nm : array_like
        Constant [N m].
    engine_inertia_kgm2, car_inertia_kgm2 : array_like
        Before and behind the clutch [kg m2].

    Returns
    -------
    LockUp
        nan where the engine outruns the clutch for good.

    Raises
    ------
    ValueError
        On a speed, clutch torque or inertia of zero or less.

    References
    ----------
    Newton's second law for two inertias with constant torques.
    """
    omega = positive("engine_rpm", engine_rpm) * RADPS_PER_RPM
    torque = positive("clutch_torque_nm", clutch_torque_nm)
    car = positive("car_inertia_kgm2", car_inertia_kgm2)
    surplus = torque - floats(engine_torque_nm)
    closing = surplus / positive("engine_inertia_kgm2", engine_inertia_kgm2) + torque / car
    time_s = omega / np.where(closing > 0.0, closing, np.nan)
    locked_rpm = torque * time_s / car / RADPS_PER_RPM
    return LockUp(time_s=time_s, heat_j=0.5 * torque * omega * time_s, locked_rpm=locked_rpm)


def coasting_lock_up(
    engine_rpm: ArrayLike, engine_inertia_kgm2: ArrayLike, car_inertia_kgm2: ArrayLike
) -> tuple[FloatArray, FloatArray]:
    """Heat and common speed of two inertias that a clutch brings together, the engine giving no torque.

    Parameters
    ----------
    engine_rpm : array_like
        At the start, the car at rest [rpm].
    engine_inertia_kgm2, car_inertia_kgm2 : array_like
        Before and behind the clutch [kg m2].

    Returns
    -------
    tuple of ndarray, broadcast shape
        Heat [J] and common speed [rpm], whatever the clutch torque.

    Raises
    ------
    ValueError
        On a negative speed, or an inertia of zero or less.

    References
    ----------
    Conservation of angular momentum.
    """
    engine = positive("engine_inertia_kgm2", engine_inertia_kgm2)
    car = positive("car_inertia_kgm2", car_inertia_kgm2)
    omega = not_negative("engine_rpm", engine_rpm) * RADPS_PER_RPM
    return 0.5 * engine * car / (engine + car) * omega**2, engine * floats(engine_rpm) / (engine + car)
