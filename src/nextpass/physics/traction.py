"""How is the weight shared while the car accelerates, and how hard can each layout pull?

A rigid car on two axles: acceleration moves load to the rear by m a h/L. The limits leave drag out and take one peak
friction for all tyres, so they are ceilings. Independent axles: the side-to-side shift of a solid axle is left out.
"""

import numpy as np
from numpy.typing import ArrayLike

from nextpass.physics.atmosphere import GRAVITY_MPS2
from nextpass.physics.domain import FloatArray, floats, not_negative, positive, share


def load_transfer_n(
    mass_kg: ArrayLike, acceleration_mps2: ArrayLike, cg_height_m: ArrayLike, wheelbase_m: ArrayLike
) -> FloatArray:
    """Load that acceleration moves from the front axle to the rear.

    Parameters
    ----------
    mass_kg : array_like
        Of the car [kg].
    acceleration_mps2 : array_like
        Along the car, negative when it brakes [m/s2].
    cg_height_m, wheelbase_m : array_like
        Height of the centre of gravity and distance of the axles [m].

    Returns
    -------
    ndarray, broadcast shape
        Load [N].

    Raises
    ------
    ValueError
        On a mass or wheelbase of zero or less, or a negative height.

    References
    ----------
    Gillespie (1992), eq. 1-6 (memory).
    """
    lever = not_negative("cg_height_m", cg_height_m) / positive("wheelbase_m", wheelbase_m)
    return positive("mass_kg", mass_kg) * floats(acceleration_mps2) * lever


def axle_loads_n(
    mass_kg: ArrayLike,
    acceleration_mps2: ArrayLike,
    front_weight_share: ArrayLike,
    cg_height_m: ArrayLike,
    wheelbase_m: ArrayLike,
) -> tuple[FloatArray, FloatArray]:
    """Load on the front and on the rear axle.

    Parameters
    ----------
    mass_kg : array_like
        Of the car [kg].
    acceleration_mps2 : array_like
        Along the car, negative when it brakes [m/s2].
    front_weight_share : array_like
        Static [0..1].
    cg_height_m, wheelbase_m : array_like
        Height of the centre of gravity and distance of the axles [m].

    Returns
    -------
    tuple of ndarray, broadcast shape
        Front and rear load [N]; an axle that lifts carries 0 and the other everything.

    Raises
    ------
    ValueError
        On a mass or wheelbase of zero or less, a negative height, or a share outside 0..1.

    References
    ----------
    Gillespie (1992), eq. 1-6 and 1-7 (memory), without drag's own moment.
    """
    weight_n = positive("mass_kg", mass_kg) * GRAVITY_MPS2
    moved_n = load_transfer_n(mass_kg, acceleration_mps2, cg_height_m, wheelbase_m)
    front_n = np.clip(share("front_weight_share", front_weight_share) * weight_n - moved_n, 0.0, weight_n)
    return front_n, weight_n - front_n


def split_traction_limit_n(
    mass_kg: ArrayLike,
    friction: ArrayLike,
    front_drive_share: ArrayLike,
    front_weight_share: ArrayLike,
    cg_height_m: ArrayLike,
    wheelbase_m: ArrayLike,
) -> FloatArray:
    """Greatest pull of a car that splits its torque in a fixed ratio.

    Parameters
    ----------
    mass_kg : array_like
        Of the car [kg].
    friction : array_like
        Peak of pull over load of the tyres [-].
    front_drive_share : array_like
        Of the torque: 0 rear drive, 1 front drive [0..1].
    front_weight_share : array_like
        Static [0..1].
    cg_height_m, wheelbase_m : array_like
        Height of the centre of gravity and distance of the axles [m].

    Returns
    -------
    ndarray, broadcast shape
        Pull [N] at which the first of the driven axles reaches its peak; never above all wheels' `friction` times
        weight.

    Raises
    ------
    ValueError
        On a mass, friction or wheelbase of zero or less, a negative height, or a share outside 0..1.

    References
    ----------
    Gillespie (1992), eq. 2-17 and 2-18 (memory) with a part of the torque at each end:
    front mu W_f0/(s + mu h/L), rear mu W_r0/((1 - s) - mu h/L).
    """
    mu, weight_n = positive("friction", friction), positive("mass_kg", mass_kg) * GRAVITY_MPS2
    to_front, on_front = share("front_drive_share", front_drive_share), share("front_weight_share", front_weight_share)
    lever = mu * not_negative("cg_height_m", cg_height_m) / positive("wheelbase_m", wheelbase_m)
    front_n = _axle_limit_n(mu * weight_n, on_front, to_front, to_front + lever)
    # Where the rear gains load faster than torque it never spins, and only the front or the weight binds.
    rear_n = _axle_limit_n(mu * weight_n, 1.0 - on_front, 1.0 - to_front, 1.0 - to_front - lever)
    return np.minimum(front_n, rear_n)


def ideal_front_drive_share(
    friction: ArrayLike, front_weight_share: ArrayLike, cg_height_m: ArrayLike, wheelbase_m: ArrayLike
) -> FloatArray:
    """Split of the torque at which both axles reach their peak together.

    Parameters
    ----------
    friction : array_like
        Peak of pull over load of the tyres [-].
    front_weight_share : array_like
        Static [0..1].
    cg_height_m, wheelbase_m : array_like
        Height of the centre of gravity and distance of the axles [m].

    Returns
    -------
    ndarray, broadcast shape
        Share of the front [0..1].

    Raises
    ------
    ValueError
        On a friction or wheelbase of zero or less, a negative height, or a share outside 0..1.

    References
    ----------
    Torque in the ratio of the axle loads at the limit.
    """
    lever = not_negative("cg_height_m", cg_height_m) / positive("wheelbase_m", wheelbase_m)
    return np.clip(share("front_weight_share", front_weight_share) - positive("friction", friction) * lever, 0.0, 1.0)


def _axle_limit_n(
    ceiling_n: FloatArray, weight_share: FloatArray, drive_share: FloatArray, torque_less_load: FloatArray
) -> FloatArray:
    """Pull of the whole car at which one axle spins; the ceiling for an undriven axle, or one that never does."""
    spins = (drive_share > 0.0) & (torque_less_load > weight_share)
    return ceiling_n * np.where(spins, weight_share / np.where(spins, torque_less_load, 1.0), 1.0)
