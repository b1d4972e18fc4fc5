"""What does a clutch hold, and how hot does a slip make it?

Capacity from friction and geometry; heat as the integral of torque times slip. The lumped temperature rise is a mean:
the faces are several times hotter for tenths of a second.
"""

import numpy as np
from numpy.typing import ArrayLike

from nextpass.physics.domain import FloatArray, floats, not_negative, positive

RADPS_PER_RPM = 2.0 * np.pi / 60.0
"""Radians a second in one revolution a minute."""


def effective_radius_m(outer_radius_m: ArrayLike, inner_radius_m: ArrayLike, is_worn: bool = True) -> FloatArray:
    """Radius at which a ring's friction acts.

    Parameters
    ----------
    outer_radius_m, inner_radius_m : array_like
        Of the friction ring [m].
    is_worn : bool
        True for uniform wear, run-in faces; False for uniform pressure, new ones.

    Returns
    -------
    ndarray, broadcast shape
        Effective radius [m].

    Raises
    ------
    ValueError
        On an inner radius that is negative or not below the outer one.

    References
    ----------
    Shigley, Mechanical Engineering Design, clutches (memory).
    """
    outer, inner = floats(outer_radius_m), not_negative("inner_radius_m", inner_radius_m)
    positive("outer_radius_m less inner_radius_m", outer - inner)
    if is_worn:
        return 0.5 * (outer + inner)
    return 2.0 / 3.0 * (outer**3 - inner**3) / (outer**2 - inner**2)


def capacity_nm(
    friction: ArrayLike, face_count: ArrayLike, clamp_force_n: ArrayLike, effective_radius_m: ArrayLike
) -> FloatArray:
    """Torque that a clutch holds before it slips.

    Parameters
    ----------
    friction : array_like
        Coefficient of the faces: 0.08 to 0.15 for plates in oil (common practice) [-].
    face_count : array_like
        Friction faces [-].
    clamp_force_n : array_like
        [N].
    effective_radius_m : array_like
        [m].

    Returns
    -------
    ndarray, broadcast shape
        Capacity [N m].

    Raises
    ------
    ValueError
        On a negative argument.

    References
    ----------
    Shigley, Mechanical Engineering Design, clutches (memory).
    """
    grip_n = not_negative("friction", friction) * not_negative("clamp_force_n", clamp_force_n)
    return not_negative("face_count", face_count) * grip_n * not_negative("effective_radius_m", effective_radius_m)


def locked_torque_nm(
    engine_torque_nm: ArrayLike, engine_inertia_kgm2: ArrayLike, engine_acceleration_rpmps: ArrayLike
) -> FloatArray:
    """Torque that a locked clutch carries; it begins to slip where this exceeds its capacity.

    Parameters
    ----------
    engine_torque_nm : array_like
        At the crankshaft [N m].
    engine_inertia_kgm2 : array_like
        Of engine and the clutch's driving side [kg m2].
    engine_acceleration_rpmps : array_like
        Of the engine speed [rpm/s].

    Returns
    -------
    ndarray, broadcast shape
        Torque [N m]: the engine's less what speeds its own inertia up.

    Raises
    ------
    ValueError
        On a negative inertia.

    References
    ----------
    Newton's second law.
    """
    inertia = not_negative("engine_inertia_kgm2", engine_inertia_kgm2)
    return floats(engine_torque_nm) - inertia * floats(engine_acceleration_rpmps) * RADPS_PER_RPM


def slip_power_w(torque_nm: ArrayLike, slip_rpm: ArrayLike) -> FloatArray:
    """Heat that a slipping clutch makes each second.

    Parameters
    ----------
    torque_nm : array_like
        That the clutch carries [N m].
    slip_rpm : array_like
        Engine less input shaft [rpm].

    Returns
    -------
    ndarray, broadcast shape
        Power [W], never negative: a clutch that the road drives heats as well.

    References
    ----------
    First law. 900 N m at a creeping 100 rpm are 9.4 kW.
    """
    return np.abs(floats(torque_nm) * floats(slip_rpm)) * RADPS_PER_RPM


def slip_heat_j(time_s: ArrayLike, torque_nm: ArrayLike, slip_rpm: ArrayLike) -> FloatArray:
    """Heat of a slip from its traces.

    Parameters
    ----------
    time_s : array_like, shape (n,)
        Rising [s].
    torque_nm, slip_rpm : array_like, shape (n,)
        Torque carried [N m] and engine less input shaft [rpm].

    Returns
    -------
    ndarray, scalar
        Heat [J] by the trapezoidal rule.

    References
    ----------
    First law: integral of torque times slip.
    """
    return np.asarray(np.trapezoid(slip_power_w(torque_nm, slip_rpm), floats(time_s)))


def temperature_rise_k(heat_j: ArrayLike, heat_capacity_j_per_k: ArrayLike) -> FloatArray:
    """Mean rise of the steel and oil that take the heat of one slip.

    Parameters
    ----------
    heat_j : array_like
        Of the slip [J].
    heat_capacity_j_per_k : array_like
        Of what takes it [J/K].

    Returns
    -------
    ndarray, broadcast shape
        Rise [K].

    Raises
    ------
    ValueError
        On a negative heat, or a capacity of zero or less.

    References
    ----------
    First law, one lump.
    """
    return not_negative("heat_j", heat_j) / positive("heat_capacity_j_per_k", heat_capacity_j_per_k)


def cooled_c(time_s: ArrayLike, start_c: ArrayLike, ambient_c: ArrayLike, time_constant_s: ArrayLike) -> FloatArray:
    """Temperature of something that cools towards what surrounds it.

    Parameters
    ----------
    time_s : array_like
        Since the start [s].
    start_c, ambient_c : array_like
        Of the thing at the start, and around it [°C].
    time_constant_s : array_like
        [s].

    Returns
    -------
    ndarray, broadcast shape
        Temperature [°C].

    Raises
    ------
    ValueError
        On a negative time, or a time constant of zero or less.

    References
    ----------
    Newton's law of cooling.
    """
    decay = np.exp(-not_negative("time_s", time_s) / positive("time_constant_s", time_constant_s))
    return floats(ambient_c) + (floats(start_c) - floats(ambient_c)) * decay
