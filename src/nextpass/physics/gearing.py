"""What do gear and radius make of engine speed, and what does an upshift cost?"""

from numpy.typing import ArrayLike

from nextpass.physics.clutch import RADPS_PER_RPM
from nextpass.physics.domain import FloatArray, floats, not_negative, positive


def road_speed_mps(engine_rpm: ArrayLike, overall_ratio: ArrayLike, rolling_radius_m: ArrayLike) -> FloatArray:
    """Road speed of an engine speed, nothing slipping.

    Parameters
    ----------
    engine_rpm : array_like
        [rpm].
    overall_ratio : array_like
        Gear times final drive [-].
    rolling_radius_m : array_like
        [m].

    Returns
    -------
    ndarray, broadcast shape
        Speed [m/s].

    Raises
    ------
    ValueError
        On a ratio or radius of zero or less.

    References
    ----------
    Geometry.
    """
    per_rpm = RADPS_PER_RPM * positive("rolling_radius_m", rolling_radius_m) / positive("overall_ratio", overall_ratio)
    return floats(engine_rpm) * per_rpm


def engine_speed_rpm(speed_mps: ArrayLike, overall_ratio: ArrayLike, rolling_radius_m: ArrayLike) -> FloatArray:
    """Engine speed of a road speed, nothing slipping.

    Parameters
    ----------
    speed_mps : array_like
        Road speed, or a wheel's [m/s].
    overall_ratio : array_like
        Gear times final drive [-].
    rolling_radius_m : array_like
        [m].

    Returns
    -------
    ndarray, broadcast shape
        Engine speed [rpm].

    Raises
    ------
    ValueError
        On a ratio or radius of zero or less.

    References
    ----------
    Geometry.
    """
    per_mps = positive("overall_ratio", overall_ratio) / positive("rolling_radius_m", rolling_radius_m) / RADPS_PER_RPM
    return floats(speed_mps) * per_mps


def rpm_after_shift(engine_rpm: ArrayLike, ratio: ArrayLike, next_ratio: ArrayLike) -> FloatArray:
    """Engine speed after a shift at the same road speed.

    Parameters
    ----------
    engine_rpm : array_like
        Before the shift [rpm].
    ratio, next_ratio : array_like
        Of the gear before and after [-].

    Returns
    -------
    ndarray, broadcast shape
        Engine speed [rpm].

    Raises
    ------
    ValueError
        On a ratio of zero or less.

    References
    ----------
    Geometry.
    """
    return floats(engine_rpm) * positive("next_ratio", next_ratio) / positive("ratio", ratio)


def shift_energy_j(engine_rpm: ArrayLike, next_rpm: ArrayLike, engine_inertia_kgm2: ArrayLike) -> FloatArray:
    """Kinetic energy that the engine gives up in an upshift: to the on-coming clutch and, as a push, to the road.

    Parameters
    ----------
    engine_rpm, next_rpm : array_like
        Engine speed before and after [rpm].
    engine_inertia_kgm2 : array_like
        Of engine and clutch [kg m2].

    Returns
    -------
    ndarray, broadcast shape
        Energy [J]; negative for a downshift.

    Raises
    ------
    ValueError
        On an inertia of zero or less.

    References
    ----------
    Kinetic energy.
    """
    squares = (floats(engine_rpm) ** 2 - floats(next_rpm) ** 2) * RADPS_PER_RPM**2
    return 0.5 * positive("engine_inertia_kgm2", engine_inertia_kgm2) * squares


def torque_hole_speed_mps(acceleration_mps2: ArrayLike, hole_s: ArrayLike) -> FloatArray:
    """Speed that a shift costs while no torque reaches the wheels.

    Parameters
    ----------
    acceleration_mps2 : array_like
        That the car would have kept [m/s2].
    hole_s : array_like
        Length of the hole [s].

    Returns
    -------
    ndarray, broadcast shape
        Speed lost [m/s].

    Raises
    ------
    ValueError
        On a negative length.

    References
    ----------
    Kinematics, the hole taken as full.
    """
    return floats(acceleration_mps2) * not_negative("hole_s", hole_s)


def torque_hole_distance_m(acceleration_mps2: ArrayLike, hole_s: ArrayLike) -> FloatArray:
    """Distance that is lost by the end of a torque hole; the lost speed costs more after it.

    Parameters
    ----------
    acceleration_mps2 : array_like
        That the car would have kept [m/s2].
    hole_s : array_like
        Length of the hole [s].

    Returns
    -------
    ndarray, broadcast shape
        Distance lost [m].

    Raises
    ------
    ValueError
        On a negative length.

    References
    ----------
    Kinematics: a t^2/2.
    """
    return 0.5 * floats(acceleration_mps2) * not_negative("hole_s", hole_s) ** 2
