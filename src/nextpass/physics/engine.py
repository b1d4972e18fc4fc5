"""How much air does the engine swallow, and what torque comes of it?

Speed-density for the air, mean effective pressures for torque, two published correlations for friction, and the line of
torque over manifold pressure that two clean pulls give.
"""

import numpy as np
from numpy.typing import ArrayLike

from nextpass.physics.air import DRY_AIR_JPKGK, KELVIN
from nextpass.physics.domain import FloatArray, floats, not_negative, positive, within

FRICTION_FIT_RPM = (500.0, 8000.0)
"""Engine speeds at which `motoring_friction_kpa` is used [rpm]: its parabola carries a little beyond the data of its
source, which end near 6500 rpm (memory)."""


def air_flow_kgps(
    volumetric_efficiency: ArrayLike,
    displacement_l: ArrayLike,
    engine_rpm: ArrayLike,
    manifold_pressure_kpa: ArrayLike,
    charge_temperature_c: ArrayLike,
) -> FloatArray:
    """Air that a four-stroke engine takes from its manifold.

    Parameters
    ----------
    volumetric_efficiency : array_like
        Filling against displacement at manifold density [ratio].
    displacement_l : array_like
        All cylinders [l].
    engine_rpm : array_like
        Engine speed [rpm].
    manifold_pressure_kpa : array_like
        Absolute [kPa].
    charge_temperature_c : array_like
        In the manifold [°C].

    Returns
    -------
    ndarray, broadcast shape
        Air flow [kg/s].

    Raises
    ------
    ValueError
        On an efficiency, displacement or pressure of zero or less, or a negative speed.

    References
    ----------
    Heywood (1988), eq. 2.27, with the density of dry air in the manifold.
    """
    density = (
        1000.0
        * positive("manifold_pressure_kpa", manifold_pressure_kpa)
        / (DRY_AIR_JPKGK * positive("charge temperature [K]", floats(charge_temperature_c) + KELVIN))
    )
    swept_m3ps = positive("displacement_l", displacement_l) * 1e-3 * not_negative("engine_rpm", engine_rpm) / 120.0
    return positive("volumetric_efficiency", volumetric_efficiency) * swept_m3ps * density


def power_w(torque_nm: ArrayLike, speed_rpm: ArrayLike) -> FloatArray:
    """Power of a torque at a speed.

    Parameters
    ----------
    torque_nm : array_like
        [N m], negative when it brakes.
    speed_rpm : array_like
        Of the shaft [rpm].

    Returns
    -------
    ndarray, broadcast shape
        Power [W].

    References
    ----------
    Definition.
    """
    return floats(torque_nm) * floats(speed_rpm) * (2.0 * np.pi / 60.0)


def mean_effective_pressure_kpa(torque_nm: ArrayLike, displacement_l: ArrayLike) -> FloatArray:
    """Torque of a four-stroke engine as the pressure that would give it over each working stroke.

    Parameters
    ----------
    torque_nm : array_like
        Brake, indicated or friction torque [N m].
    displacement_l : array_like
        All cylinders [l].

    Returns
    -------
    ndarray, broadcast shape
        Mean effective pressure of the same kind [kPa].

    Raises
    ------
    ValueError
        On a displacement of zero or less.

    References
    ----------
    Heywood (1988), eq. 2.20.
    """
    return 4.0 * np.pi * floats(torque_nm) / positive("displacement_l", displacement_l)


def torque_nm(mean_effective_pressure_kpa: ArrayLike, displacement_l: ArrayLike) -> FloatArray:
    """Torque of a four-stroke engine from a mean effective pressure.

    Parameters
    ----------
    mean_effective_pressure_kpa : array_like
        Brake, indicated or friction [kPa].
    displacement_l : array_like
        All cylinders [l].

    Returns
    -------
    ndarray, broadcast shape
        Torque of the same kind [N m].

    Raises
    ------
    ValueError
        On a displacement of zero or less.

    References
    ----------
    Heywood (1988), eq. 2.20.
    """
    return floats(mean_effective_pressure_kpa) * positive("displacement_l", displacement_l) / (4.0 * np.pi)


def motoring_friction_kpa(engine_rpm: ArrayLike) -> FloatArray:
    """Total motoring mean effective pressure of a spark-ignition engine: rubbing, pumping and auxiliaries.

    Parameters
    ----------
    engine_rpm : array_like, any shape
        Engine speed [rpm].

    Returns
    -------
    ndarray, same shape
        Mean effective pressure [kPa]; nan outside `FRICTION_FIT_RPM`.

    References
    ----------
    Heywood (1988), eq. 13.6 (memory): engines of 845 to 2,000 cc, naturally aspirated, wide open, motored. At high
    boost the real friction is higher.
    """
    thousand_rpm = within(FRICTION_FIT_RPM, engine_rpm) / 1000.0
    return 97.0 + 15.0 * thousand_rpm + 5.0 * thousand_rpm**2


def mean_piston_speed_mps(stroke_m: ArrayLike, engine_rpm: ArrayLike) -> FloatArray:
    """Mean speed of the piston.

    Parameters
    ----------
    stroke_m : array_like
        Stroke [m].
    engine_rpm : array_like
        Engine speed [rpm].

    Returns
    -------
    ndarray, broadcast shape
        Mean piston speed [m/s].

    Raises
    ------
    ValueError
        On a stroke of zero or less, or a negative speed.

    References
    ----------
    Heywood (1988), eq. 2.9.
    """
    return positive("stroke_m", stroke_m) * not_negative("engine_rpm", engine_rpm) / 30.0


def fired_friction_kpa(
    peak_cylinder_pressure_kpa: ArrayLike,
    piston_speed_mps: ArrayLike,
    constant_kpa: float = 40.0,
    per_peak_pressure: float = 0.005,
    per_speed_kpa: float = 9.0,
    per_speed_squared_kpa: float = 0.09,
) -> FloatArray:
    """Friction mean effective pressure of a running engine, which grows with its cylinder pressure.

    Parameters
    ----------
    peak_cylinder_pressure_kpa : array_like
        Highest pressure of the cycle [kPa].
    piston_speed_mps : array_like
        Mean piston speed [m/s].
    constant_kpa, per_peak_pressure, per_speed_kpa, per_speed_squared_kpa : float
        Coefficients of 1, of the peak pressure, of the speed and of its square [kPa, -, kPa s/m, kPa s2/m2].

    Returns
    -------
    ndarray, broadcast shape
        Mean effective pressure [kPa].

    Raises
    ------
    ValueError
        On a negative argument.

    References
    ----------
    Chen and Flynn, SAE 650733 (1965); the default coefficients are typical of simulation practice (memory).
    """
    speed = not_negative("piston_speed_mps", piston_speed_mps)
    pressure = not_negative("peak_cylinder_pressure_kpa", peak_cylinder_pressure_kpa)
    return constant_kpa + per_peak_pressure * pressure + per_speed_kpa * speed + per_speed_squared_kpa * speed**2


def torque_line(manifold_pressure_kpa: ArrayLike, brake_torque_nm: ArrayLike) -> tuple[float, float]:
    """Line of torque over manifold pressure through pulls at the same rpm, lambda and spark.

    Parameters
    ----------
    manifold_pressure_kpa : array_like, shape (n,)
        Absolute, at least two that differ [kPa].
    brake_torque_nm : array_like, shape (n,)
        Torque at each [N m].

    Returns
    -------
    tuple of float
        Slope [N m/kPa] and torque at zero pressure [N m], which friction makes negative: the line is not to be forced
        through zero.

    Raises
    ------
    ValueError
        On fewer than two different pressures.

    References
    ----------
    Least squares; that brake torque is close to affine in pressure: Heywood (1988), chapters 2 and 15.
    """
    pressure, torque = floats(manifold_pressure_kpa), floats(brake_torque_nm)
    spread = pressure - np.mean(pressure)
    if pressure.size < 2 or not np.any(spread):
        raise ValueError("a line of torque over pressure needs pulls at two different pressures")
    slope = float(np.sum(spread * torque) / np.sum(spread**2))
    return slope, float(np.mean(torque) - slope * np.mean(pressure))
