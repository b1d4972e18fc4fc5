"""What motion and what unknown constants fit a run of measurements best: filter forwards, smooth backwards.

A linear Kalman filter whose input is the accelerometer itself: speed grows by the measured impulse, so that the
accelerometer's bias and scale enter linearly and can be states. The backward pass is the modified Bryson-Frazier
smoother, which needs no inverse of a covariance and so bears states that are known exactly. One state is a copy of
the distance taken at a chosen step: it carries the correlation between the distance at the rollout and at each beam.

References
----------
Kalman, J. Basic Eng. 82 (1960) 35; Bierman, *Factorization Methods for Discrete Sequential Estimation* (1977),
ch. X (modified Bryson-Frazier form); scalar updates one after the other (memory).
"""

from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

# Places in the state.
DISTANCE = 0  # m from standstill
SPEED = 1  # m/s along the ground
DRIFT = 2  # m/s2 of acceleration that the accelerometer does not show
BIAS = 3  # m/s2 at rest, in true acceleration
GAIN = 4  # true acceleration over measured: sensor scale and pitch under squat
WHEEL_SCALE = 5  # indicated over true speed of a free-rolling wheel, less one
SLIP_FRONT = 6  # slip ratio of the front axle per m/s2 of drive
SLIP_REAR = 7
GPS_LAG = 8  # s, beyond the lag already taken off the clock
WHEEL_LAG = 9  # s, of the wheel speeds behind the accelerometer
GROWTH = 10  # of the rolling radius at `GROWN_AT_MPS`, as a ratio
MARK = 11  # m, the distance at the marked step
SIZE = 12

GROWN_AT_MPS = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """The input over the steps between base times; element k leads to base time k, element 0 is unused.

    Parameters
    ----------
    duration_s, impulse_mps, lever_m : ndarray, shape (n,)
        Length of the step, and the measured acceleration integrated once and twice over it.
    keep : ndarray, shape (n,)
        Factor of the drift over the step, 0..1.
    speed_variance, drift_variance : ndarray, shape (n,)
        Noise that enters speed [m2/s2] and drift [m2/s4] over the step.
    mark : int
        Step at which the distance is copied into `MARK`.
    """

    duration_s: FloatArray
    impulse_mps: FloatArray
    lever_m: FloatArray
    keep: FloatArray
    speed_variance: FloatArray
    drift_variance: FloatArray
    mark: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Measurements:
    """Linear measurements `values = rows @ state + noise`, in the order of their steps.

    Parameters
    ----------
    step : ndarray of int, shape (m,)
        Base time at which each is taken.
    rows : ndarray, shape (m, SIZE)
    values, variances : ndarray, shape (m,)
    """

    step: IntArray
    rows: FloatArray
    values: FloatArray
    variances: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Smoothed:
    """State and covariance at every base time given all measurements, and how likely the measurements were.

    Parameters
    ----------
    state : ndarray, shape (n, SIZE)
    covariance : ndarray, shape (n, SIZE, SIZE)
    log_likelihood : float
        Of the innovations, up to a constant.
    """

    state: FloatArray
    covariance: FloatArray
    log_likelihood: float


def smooth(start: FloatArray, start_covariance: FloatArray, steps: Steps, measurements: Measurements) -> Smoothed:
    """State at every base time given all measurements.

    Parameters
    ----------
    start : ndarray, shape (SIZE,)
        Expected state at the first base time, before its measurements.
    start_covariance : ndarray, shape (SIZE, SIZE)
    steps : Steps
        Input and noise of every step.
    measurements : Measurements
        Sorted by step.

    Returns
    -------
    Smoothed
    """
    state, covariance, log_likelihood = _smooth(
        np.ascontiguousarray(start, dtype=np.float64),
        np.ascontiguousarray(start_covariance, dtype=np.float64),
        steps.duration_s,
        steps.impulse_mps,
        steps.lever_m,
        steps.keep,
        steps.speed_variance,
        steps.drift_variance,
        steps.mark,
        np.searchsorted(measurements.step, np.arange(steps.duration_s.size + 1)).astype(np.int64),
        measurements.rows,
        measurements.values,
        measurements.variances,
    )
    return Smoothed(state=state, covariance=covariance, log_likelihood=float(log_likelihood))


@njit(cache=True)
def _transition(duration_s: float, impulse_mps: float, lever_m: float, keep: float) -> FloatArray:
    matrix = np.eye(SIZE)
    matrix[DISTANCE, SPEED] = duration_s
    matrix[DISTANCE, DRIFT] = 0.5 * duration_s**2
    matrix[DISTANCE, BIAS] = -0.5 * duration_s**2
    matrix[DISTANCE, GAIN] = lever_m
    matrix[SPEED, DRIFT] = duration_s
    matrix[SPEED, BIAS] = -duration_s
    matrix[SPEED, GAIN] = impulse_mps
    matrix[DRIFT, DRIFT] = keep
    return matrix


@njit(cache=True)
def _smooth(
    start: FloatArray,
    start_covariance: FloatArray,
    duration_s: FloatArray,
    impulse_mps: FloatArray,
    lever_m: FloatArray,
    keep: FloatArray,
    speed_variance: FloatArray,
    drift_variance: FloatArray,
    mark: int,
    first: IntArray,
    rows: FloatArray,
    values: FloatArray,
    variances: FloatArray,
) -> tuple[FloatArray, FloatArray, float]:
    count = duration_s.size
    states = np.empty((count, SIZE))
    covariances = np.empty((count, SIZE, SIZE))
    gains = np.empty((values.size, SIZE))
    innovations = np.empty(values.size)
    innovation_variances = np.empty(values.size)
    log_likelihood = 0.0
    x = start.copy()
    p = start_covariance.copy()
    for k in range(count):
        if k > 0:
            f = _transition(duration_s[k], impulse_mps[k], lever_m[k], keep[k])
            x = f @ x
            p = f @ p @ f.T
            # White noise on the acceleration within the step (memory of the continuous white-noise model).
            p[SPEED, SPEED] += speed_variance[k]
            p[DISTANCE, SPEED] += 0.5 * duration_s[k] * speed_variance[k]
            p[SPEED, DISTANCE] += 0.5 * duration_s[k] * speed_variance[k]
            p[DISTANCE, DISTANCE] += duration_s[k] ** 2 * speed_variance[k] / 3.0
            p[DRIFT, DRIFT] += drift_variance[k]
        for m in range(first[k], first[k + 1]):
            h = rows[m]
            ph = p @ h
            s = h @ ph + variances[m]
            y = values[m] - h @ x
            gain = ph / s
            x = x + gain * y
            p = p - np.outer(gain, ph)
            gains[m] = gain
            innovations[m] = y
            innovation_variances[m] = s
            log_likelihood -= 0.5 * (np.log(s) + y * y / s)
        if k == mark:
            x[MARK] = x[DISTANCE]
            p[MARK, :] = p[DISTANCE, :]
            p[:, MARK] = p[:, DISTANCE]
            p[MARK, MARK] = p[DISTANCE, DISTANCE]
        states[k] = x
        covariances[k] = p

    pull = np.zeros(SIZE)
    stiffness = np.zeros((SIZE, SIZE))
    for k in range(count - 1, -1, -1):
        p = covariances[k]
        states[k] -= p @ pull
        covariances[k] = p - p @ stiffness @ p
        if k == mark:
            pull[DISTANCE] += pull[MARK]
            pull[MARK] = 0.0
            stiffness[DISTANCE, :] += stiffness[MARK, :]
            stiffness[MARK, :] = 0.0
            stiffness[:, DISTANCE] += stiffness[:, MARK]
            stiffness[:, MARK] = 0.0
        for m in range(first[k + 1] - 1, first[k] - 1, -1):
            h = rows[m]
            gain = gains[m]
            across = stiffness @ gain
            along = gain @ across + 1.0 / innovation_variances[m]
            stiffness = stiffness - np.outer(h, across) - np.outer(across, h) + along * np.outer(h, h)
            pull = pull - h * (gain @ pull) - h * (innovations[m] / innovation_variances[m])
        if k > 0:
            f = _transition(duration_s[k], impulse_mps[k], lever_m[k], keep[k])
            pull = f.T @ pull
            stiffness = f.T @ stiffness @ f
    return states, covariances, log_likelihood
