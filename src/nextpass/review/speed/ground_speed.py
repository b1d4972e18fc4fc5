"""Ground speed of one attempt, as the sensors together show it."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nextpass.measure import Measured

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedError:
    """An error that all samples of a try share, at its one standard deviation: a scale that is off, a slip unseen.

    Parameters
    ----------
    speed_mps, distance_m : ndarray, shape (n,)
        Signed.
    """

    speed_mps: FloatArray
    distance_m: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundSpeed:
    """Smoothed motion of the car over one attempt.

    Parameters
    ----------
    time_s : ndarray, shape (n,)
        On the log's clock [s], from before the car moves to the end of the attempt.
    speed_mps, distance_m, acceleration_mps2 : ndarray, shape (n,)
        Along the strip; distance counts from standstill.
    speed_sd_mps, distance_sd_m : ndarray, shape (n,)
        Standard deviations, shared errors included.
    speed_distance_covariance_m2ps : ndarray, shape (n,)
        Covariance of speed and distance at the same time [m2/s]: a car that is further than thought is faster, too.
    shared_errors : tuple of SharedError
        Independent of each other and of the rest.
    moved_s : float
        When the car began to move [s].
    moved_sd_s : float
        Its standard deviation [s].
    rolling_radius_m : float
        As the pass itself shows it, else the car file's [m].
    rolling_radius : Measured
        With its ±, or why the pass does not show it.
    wheel_scale : Mapping of str to float
        Logged over true speed of each axle ("front", "rear"; "all" where single wheels are not logged) when it rolls
        freely.
    sensors : tuple of str
        What it rests on: any of ``accelerometer``, ``gps``, ``wheels``, ``undriven wheels``,
        ``strip``.
    from_rest : bool
        Whether the log shows the car at rest before; without that, distances count from an unknown place.
    rollout_m : float
        Distance at which the clocks start [m].
    rollout_variance_m2 : float
        Variance of the distance at the time of the rollout [m2].
    rollout_covariance_m2 : ndarray, shape (n,)
        Covariance of the distance at each time with the distance at the rollout [m2].
    """

    time_s: FloatArray
    speed_mps: FloatArray
    distance_m: FloatArray
    acceleration_mps2: FloatArray
    speed_sd_mps: FloatArray
    distance_sd_m: FloatArray
    speed_distance_covariance_m2ps: FloatArray
    shared_errors: tuple[SharedError, ...]
    moved_s: float
    moved_sd_s: float
    rolling_radius_m: float
    rolling_radius: Measured
    wheel_scale: Mapping[str, float]
    sensors: tuple[str, ...]
    from_rest: bool
    rollout_m: float
    rollout_variance_m2: float
    rollout_covariance_m2: FloatArray
