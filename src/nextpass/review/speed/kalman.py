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
STRIP_START = 11  # s, by which the strip's clock started after the assumed rollout
MARK = 12  # m, the distance at the marked step
SIZE = 13

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
    count = steps.duration_s.size
    states, covariances = np.empty((count, SIZE)), np.empty((count, SIZE, SIZE))
    gains = np.empty((measurements.values.size, SIZE))
    taken = np.stack([measurements.values, measurements.variances], axis=1)
    first = np.searchsorted(measurements.step, np.arange(count + 1)).astype(np.int64)
    moves = np.stack(
        [
            steps.duration_s,
            steps.impulse_mps,
            steps.lever_m,
            steps.keep,
            steps.speed_variance,
            steps.drift_variance,
        ],
        axis=1,
    )
    x, p = start.astype(np.float64).reshape(SIZE, 1), start_covariance.astype(np.float64)
    shared = (moves, steps.mark, first, measurements.rows, taken, gains, states, covariances)
    log_likelihood = _forwards(x, p, *shared)
    _backwards(np.zeros((SIZE, 1)), np.zeros((SIZE, SIZE)), *shared)
    return Smoothed(state=states, covariance=covariances, log_likelihood=float(log_likelihood))


# Plain loops below, over lengths that are not known before they run: unrolled, they take four times as long to compile.


@njit(cache=True)
def _advance(m: FloatArray, duration_s: float, impulse_mps: float, lever_m: float, keep: float) -> None:
    """Rows of F m, in place: the state (as one column) or a covariance moved over a step."""
    for c in range(m.shape[1]):
        m[DISTANCE, c] += (
            duration_s * m[SPEED, c] + 0.5 * duration_s**2 * (m[DRIFT, c] - m[BIAS, c]) + lever_m * m[GAIN, c]
        )
        m[SPEED, c] += duration_s * (m[DRIFT, c] - m[BIAS, c]) + impulse_mps * m[GAIN, c]
        m[DRIFT, c] *= keep


@njit(cache=True)
def _retreat(m: FloatArray, duration_s: float, impulse_mps: float, lever_m: float, keep: float) -> None:
    """Rows of F' m, in place: what later measurements pull on, moved back over a step."""
    for c in range(m.shape[1]):
        distance, speed = m[DISTANCE, c], m[SPEED, c]
        m[SPEED, c] += duration_s * distance
        m[DRIFT, c] = keep * m[DRIFT, c] + 0.5 * duration_s**2 * distance + duration_s * speed
        m[BIAS, c] -= 0.5 * duration_s**2 * distance + duration_s * speed
        m[GAIN, c] += lever_m * distance + impulse_mps * speed


@njit(cache=True)
def _transpose(m: FloatArray) -> None:
    for r in range(m.shape[0]):
        for c in range(r):
            m[r, c], m[c, r] = m[c, r], m[r, c]


@njit(cache=True)
def _update(
    x: FloatArray, p: FloatArray, rows: FloatArray, m: int, value: float, variance: float, gains: FloatArray
) -> tuple[float, float]:
    """Scalar measurement `m` taken in; gives its innovation and that one's variance, and fills its row of `gains`."""
    innovation, innovation_variance = value, variance
    size = x.shape[0]
    for r in range(size):
        total = 0.0
        for c in range(size):
            total += p[r, c] * rows[m, c]
        gains[m, r] = total
        innovation -= rows[m, r] * x[r, 0]
    for r in range(size):
        innovation_variance += rows[m, r] * gains[m, r]
    for r in range(size):
        x[r, 0] += gains[m, r] / innovation_variance * innovation
        for c in range(size):
            p[r, c] -= gains[m, r] * gains[m, c] / innovation_variance
    for r in range(size):
        gains[m, r] /= innovation_variance
    return innovation, innovation_variance


@njit(cache=True)
def _take_back(
    pull: FloatArray,
    stiffness: FloatArray,
    rows: FloatArray,
    m: int,
    gains: FloatArray,
    innovation: float,
    variance: float,
) -> None:
    """The adjoint of one measurement: pull and stiffness as they were before it."""
    size = pull.shape[0]
    across = np.zeros(size)
    along, pulled = 1.0 / variance, innovation / variance
    for r in range(size):
        for c in range(size):
            across[r] += stiffness[r, c] * gains[m, c]
        pulled += gains[m, r] * pull[r, 0]
    for r in range(size):
        along += gains[m, r] * across[r]
    for r in range(size):
        pull[r, 0] -= rows[m, r] * pulled
        for c in range(size):
            stiffness[r, c] += along * rows[m, r] * rows[m, c] - rows[m, r] * across[c] - across[r] * rows[m, c]


@njit(cache=True)
def _mark(x: FloatArray, p: FloatArray) -> None:
    """The distance copied into its mark."""
    x[MARK, 0] = x[DISTANCE, 0]
    size = x.shape[0]
    for c in range(size):
        p[MARK, c] = p[DISTANCE, c]
    for r in range(size):
        p[r, MARK] = p[r, DISTANCE]


@njit(cache=True)
def _unmark(pull: FloatArray, stiffness: FloatArray) -> None:
    """What pulled on the mark pulls on the distance before it was copied."""
    pull[DISTANCE, 0] += pull[MARK, 0]
    pull[MARK, 0] = 0.0
    size = pull.shape[0]
    for c in range(size):
        stiffness[DISTANCE, c] += stiffness[MARK, c]
        stiffness[MARK, c] = 0.0
    for r in range(size):
        stiffness[r, DISTANCE] += stiffness[r, MARK]
        stiffness[r, MARK] = 0.0


@njit(cache=True)
def _correct(states: FloatArray, covariances: FloatArray, k: int, pull: FloatArray, stiffness: FloatArray) -> None:
    """State and covariance of step `k` made from filtered into smoothed ones: x - P pull, P - P stiffness P."""
    size = pull.shape[0]
    product, before = np.zeros((size, size)), np.zeros((size, size))
    for r in range(size):
        for c in range(size):
            before[r, c] = covariances[k, r, c]
            states[k, r] -= before[r, c] * pull[c, 0]
            for i in range(size):
                product[r, c] += covariances[k, r, i] * stiffness[i, c]
    for r in range(size):
        for c in range(size):
            for i in range(size):
                covariances[k, r, c] -= product[r, i] * before[i, c]


@njit(cache=True)
def _keep(states: FloatArray, covariances: FloatArray, k: int, x: FloatArray, p: FloatArray) -> None:
    size = x.shape[0]
    for r in range(size):
        states[k, r] = x[r, 0]
        for c in range(size):
            covariances[k, r, c] = p[r, c]


@njit(cache=True)
def _add_noise(p: FloatArray, duration_s: float, speed_variance: float, drift_variance: float) -> None:
    """White noise on the acceleration within a step (memory of the continuous white-noise model)."""
    p[SPEED, SPEED] += speed_variance
    p[DISTANCE, SPEED] += 0.5 * duration_s * speed_variance
    p[SPEED, DISTANCE] += 0.5 * duration_s * speed_variance
    p[DISTANCE, DISTANCE] += duration_s**2 * speed_variance / 3.0
    p[DRIFT, DRIFT] += drift_variance


@njit(cache=True)
def _forwards(
    x: FloatArray,
    p: FloatArray,
    steps: FloatArray,
    mark: int,
    first: IntArray,
    rows: FloatArray,
    taken: FloatArray,
    gains: FloatArray,
    states: FloatArray,
    covariances: FloatArray,
) -> float:
    """Filter; `steps` has a row a step, `taken` holds value and variance, and then innovation and its variance."""
    log_likelihood = 0.0
    for k in range(steps.shape[0]):
        if k > 0:
            _advance(x, steps[k, 0], steps[k, 1], steps[k, 2], steps[k, 3])
            for _ in range(2):
                # F P, turned over, and F again: F (F P)' = F P F'.
                _advance(p, steps[k, 0], steps[k, 1], steps[k, 2], steps[k, 3])
                _transpose(p)
            _add_noise(p, steps[k, 0], steps[k, 4], steps[k, 5])
        for m in range(first[k], first[k + 1]):
            y, s = _update(x, p, rows, m, taken[m, 0], taken[m, 1], gains)
            taken[m, 0], taken[m, 1] = y, s
            log_likelihood -= 0.5 * (np.log(s) + y * y / s)
        if k == mark:
            _mark(x, p)
        _keep(states, covariances, k, x, p)
    return log_likelihood


@njit(cache=True)
def _backwards(
    pull: FloatArray,
    stiffness: FloatArray,
    steps: FloatArray,
    mark: int,
    first: IntArray,
    rows: FloatArray,
    taken: FloatArray,
    gains: FloatArray,
    states: FloatArray,
    covariances: FloatArray,
) -> None:
    for k in range(steps.shape[0] - 1, -1, -1):
        _correct(states, covariances, k, pull, stiffness)
        if k == mark:
            _unmark(pull, stiffness)
        for m in range(first[k + 1] - 1, first[k] - 1, -1):
            _take_back(pull, stiffness, rows, m, gains, taken[m, 0], taken[m, 1])
        if k > 0:
            _retreat(pull, steps[k, 0], steps[k, 1], steps[k, 2], steps[k, 3])
            for _ in range(2):
                _retreat(stiffness, steps[k, 0], steps[k, 1], steps[k, 2], steps[k, 3])
                _transpose(stiffness)
