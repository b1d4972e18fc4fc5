"""Ground speed from whatever sensors a log has, filtered forwards and smoothed backwards.

The accelerometer drives the filter; its bias is learnt while the car stands, its gain (sensor scale and pitch under
squat) wherever another sensor shows speed. GPS counts only where it is new and at the time that it belongs to: its
lag is a state, taken off the clock and learnt anew until it settles. An undriven axle is trusted always. A driven
one reads high by the slip that its own drive needs, in proportion to the drive while the tyre holds: that proportion
is learnt, and a reading that departs from it is left out. Limits: a sensor that drifts within a second, or a car that
rolls before the first second of rest is over, is not seen.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car
from nextpass.log import Log
from nextpass.review.attempt import Attempt
from nextpass.review.speed import kalman
from nextpass.review.speed.ground_speed import GroundSpeed
from nextpass.review.speed.sensors import Axle, Reading, Sensors, gather
from nextpass.review.speed.wheels import TorqueFree, even_axles, slip_per_drive, torque_free

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

ROLLOUT_M = 0.3048
# Prior of the accelerometer: bias of a few hundredths of g, gain below one by the pitch under squat (common practice:
# 1 to 2 degrees a g).
BIAS_SD_MPS2 = 0.6
GAIN, GAIN_SD = 0.985, 0.02
# What the accelerometer shows beside the acceleration along the road, as a first-order process: pitch, vibration.
DRIFT_SD_MPS2, DRIFT_TIME_S = 0.08, 0.4
# Without an accelerometer the acceleration itself walks: a launch or a shift changes it by this in a second.
WALK_MPS2_PER_SQRT_S = 9.0
GRID_HZ = 50.0
# Tyres differ from the car file's radius by about a percent with wear, heat and pressure (common practice).
WHEEL_SCALE_SD = 0.007
WHEEL_LAG_SD_S = 0.02
WHEEL_LEAST_MPS = 0.25
GPS_LAG_SD_S = 0.15
GPS_LONGEST_LAG_S = 0.6
GPS_NOISE_MPS = 0.12
GPS_LEAST_MPS = 2.0
ITERATIONS = 6
# The slip of a driven wheel beside the learnt proportion: a part of it, correlated over a third of a second.
SLIP_SPREAD = 0.3
SLIP_MEMORY_S = 0.3
OUTLIER_SD = 3.0
REST_SD_MPS = 0.003


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """Speed and acceleration of the last iteration, which the next one is linear about, and what it has learnt."""

    speed_mps: FloatArray
    acceleration_mps2: FloatArray
    distance_m: FloatArray
    wheel_scale: float
    slip: dict[str, float]
    gps_lag_s: float
    gps_noise_mps: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """What stays the same from iteration to iteration."""

    car: Car
    sensors: Sensors
    axles: tuple[Axle, ...]
    free: TorqueFree
    time_s: FloatArray
    input_mps2: FloatArray
    rest_until_s: float

    @property
    def has_accelerometer(self) -> bool:
        """Whether the filter has the acceleration to run on."""
        return self.sensors.accelerometer is not None

    @property
    def is_wheels_alone(self) -> bool:
        """Whether driven wheels are all that tells speed."""
        return not self.has_accelerometer and self.sensors.gps is None and all(a.driven for a in self.axles)


def ground_speed(car: Car, log: Log, attempt: Attempt, rollout_m: float = ROLLOUT_M) -> GroundSpeed | None:
    """Motion of the car over one try.

    Parameters
    ----------
    car : Car
    log : Log
    attempt : Attempt
    rollout_m : float
        Distance at which the clocks start [m].

    Returns
    -------
    GroundSpeed or None
        None where nothing in the log tells speed.
    """
    problem = _problem(car, log, attempt)
    if problem is None:
        return None
    motion = _first_guess(problem)
    start, covariance = _start(problem)
    result: kalman.Smoothed | None = None
    for iteration in range(ITERATIONS):
        steps = _steps(problem, motion, rollout_m)
        result = kalman.smooth(start, covariance, steps, _measurements(problem, motion, iteration))
        motion = _next_motion(problem, motion, result)
    assert result is not None
    return _record(problem, motion, result, rollout_m, _scale(problem, result))


def _problem(car: Car, log: Log, attempt: Attempt) -> Problem | None:
    sensors = gather(car, log, attempt.start_s, attempt.end_s)
    if sensors.gps is None and not sensors.axles:
        return None
    free = torque_free(log)
    accelerometer = sensors.accelerometer
    if accelerometer is None:
        time_s = np.arange(attempt.start_s, attempt.end_s, 1.0 / GRID_HZ)
        input_mps2 = np.zeros(time_s.size)
    else:
        time_s, input_mps2 = accelerometer.time_s, accelerometer.values
    return Problem(
        car=car,
        sensors=sensors,
        axles=even_axles(sensors, free),
        free=free,
        time_s=time_s,
        input_mps2=input_mps2,
        rest_until_s=_rest_until(sensors, attempt),
    )


def _rest_until(sensors: Sensors, attempt: Attempt) -> float:
    """Last time at which every sensor surely still shows the car at rest."""
    onsets = [_wheel_onset(axle.reading, attempt) for axle in sensors.axles]
    if sensors.accelerometer is not None:
        onsets.append(_accelerometer_onset(sensors.accelerometer, attempt))
    if not onsets:
        onsets.append(attempt.leaves_s - 0.5)
    return max(min(onsets), attempt.start_s + 0.05)


def _wheel_onset(reading: Reading, attempt: Attempt) -> float:
    still = (reading.time_s <= attempt.leaves_s) & (reading.values < 0.05)
    return float(reading.time_s[still][-1]) if still.any() else attempt.leaves_s


def _accelerometer_onset(reading: Reading, attempt: Attempt) -> float:
    """Two samples before the reading leaves its mean at rest for good."""
    at_rest = reading.time_s < attempt.leaves_s - 0.5
    if np.count_nonzero(at_rest) < 5:
        return attempt.leaves_s
    mean, spread = float(np.mean(reading.values[at_rest])), float(np.std(reading.values[at_rest]))
    above = reading.values - mean > max(4.0 * spread, 0.3)
    near = (reading.time_s > attempt.leaves_s - 0.6) & (reading.time_s < attempt.leaves_s + 0.5)
    both = np.flatnonzero(above[:-1] & above[1:] & near[:-1])
    if both.size == 0:
        return attempt.leaves_s
    return float(reading.time_s[max(both[0] - 2, 0)])


def _first_guess(problem: Problem) -> Motion:
    """Speed from the accelerometer alone, else from the least wheel speed, else from GPS."""
    time_s = problem.time_s
    moving = time_s > problem.rest_until_s
    if problem.has_accelerometer:
        bias = float(np.mean(problem.input_mps2[~moving])) if (~moving).any() else 0.0
        acceleration = np.where(moving, GAIN * (problem.input_mps2 - bias), 0.0)
        speed = _integral(time_s, acceleration)
    else:
        gps = problem.sensors.gps
        readings = [axle.reading for axle in problem.axles] or ([gps] if gps is not None else [])
        speed = np.min([np.interp(time_s, r.time_s, r.values) for r in readings], axis=0)
        speed = np.convolve(np.pad(speed, 3, mode="edge"), np.ones(7) / 7.0, mode="valid")
        acceleration = np.gradient(speed, time_s)
    slip = {axle.name: slip_per_drive(problem.car) if axle.driven else 0.0 for axle in problem.axles}
    return Motion(
        speed_mps=speed,
        acceleration_mps2=acceleration,
        distance_m=_integral(time_s, speed),
        wheel_scale=0.0,
        slip=slip,
        gps_lag_s=_gps_lag(problem, time_s, speed),
        gps_noise_mps=GPS_NOISE_MPS,
    )


def _gps_lag(problem: Problem, time_s: FloatArray, speed_mps: FloatArray) -> float:
    """Lag at which GPS follows the first guess best [s]; 0 where GPS is all there is: lag then shifts all."""
    gps = problem.sensors.gps
    if gps is None or (not problem.has_accelerometer and not problem.axles):
        return 0.0
    use = (gps.values > GPS_LEAST_MPS) & (gps.time_s > problem.rest_until_s)
    if np.count_nonzero(use) < 5:
        return 0.0
    lags = np.arange(0.0, GPS_LONGEST_LAG_S, 0.01)
    misfit = [np.median(np.abs(gps.values[use] - np.interp(gps.time_s[use] - lag, time_s, speed_mps))) for lag in lags]
    return float(lags[int(np.argmin(misfit))])


def _integral(time_s: FloatArray, values: FloatArray) -> FloatArray:
    steps = 0.5 * (values[1:] + values[:-1]) * np.diff(time_s)
    return np.concatenate([[0.0], np.cumsum(steps)])


def _steps(problem: Problem, motion: Motion, rollout_m: float) -> kalman.Steps:
    time_s, z = problem.time_s, problem.input_mps2
    dt = np.concatenate([[0.0], np.diff(time_s)])
    before = np.concatenate([z[:1], z[:-1]])
    moving = time_s > problem.rest_until_s
    if problem.sensors.accelerometer is not None:
        noise_sd = problem.sensors.accelerometer.noise_sd
        keep = np.exp(-dt / DRIFT_TIME_S)
        drift_variance = np.where(moving, DRIFT_SD_MPS2**2 * (1.0 - keep**2), 0.0)
        speed_variance = (noise_sd * dt) ** 2 + _kink_variance(z, dt, noise_sd)
    else:
        keep = np.ones(time_s.size)
        drift_variance = np.where(moving, WALK_MPS2_PER_SQRT_S**2 * dt, 0.0)
        speed_variance = np.zeros(time_s.size)
    return kalman.Steps(
        duration_s=dt,
        impulse_mps=0.5 * (before + z) * dt,
        lever_m=(before / 3.0 + z / 6.0) * dt**2,
        keep=keep,
        speed_variance=speed_variance,
        drift_variance=drift_variance,
        mark=int(np.argmin(np.abs(motion.distance_m - rollout_m))),
    )


def _kink_variance(z: FloatArray, dt: FloatArray, noise_sd: float) -> FloatArray:
    """Variance of speed from not knowing where within a step the acceleration turned [m2/s2].

    A jump somewhere between two samples leaves the trapezium wrong by up to half of jump x step, evenly spread
    (JCGM 100, 4.3.7). A second difference shows the jump; that of noise alone is taken off first.
    """
    second = np.zeros(z.size)
    second[1:-1] = np.diff(z, 2)
    jump2 = np.maximum(second**2 - 6.0 * noise_sd**2, 0.0)
    jump2 = np.maximum(jump2, np.concatenate([[0.0], jump2[:-1]]))
    return np.asarray(jump2 * dt**2 / 12.0)


def _start(problem: Problem) -> tuple[FloatArray, FloatArray]:
    x = np.zeros(kalman.SIZE)
    sd = np.zeros(kalman.SIZE)
    sd[kalman.SPEED] = 0.01
    if problem.has_accelerometer:
        x[kalman.GAIN] = GAIN
        sd[kalman.GAIN] = GAIN_SD if problem.sensors.gps is not None else np.hypot(GAIN_SD, WHEEL_SCALE_SD)
        sd[kalman.BIAS] = BIAS_SD_MPS2
        sd[kalman.WHEEL_LAG] = WHEEL_LAG_SD_S
    # Without GPS the wheels are the scale: see `_scale`.
    sd[kalman.WHEEL_SCALE] = WHEEL_SCALE_SD if problem.sensors.gps is not None else 0.0
    x[[kalman.SLIP_FRONT, kalman.SLIP_REAR]] = slip_per_drive(problem.car)
    sd[[kalman.SLIP_FRONT, kalman.SLIP_REAR]] = 0.6 * slip_per_drive(problem.car)
    sd[kalman.GPS_LAG] = GPS_LAG_SD_S
    return x, np.diag(sd**2)


def _measurements(problem: Problem, motion: Motion, iteration: int) -> kalman.Measurements:
    parts = [_rest_rows(problem)]
    if problem.sensors.gps is not None:
        parts.append(_gps_rows(problem, motion, iteration))
    for axle in problem.axles:
        parts.append(_axle_rows(problem, motion, axle, iteration))
    step, rows, values, variances = (np.concatenate(column) for column in zip(*parts, strict=True))
    order = np.argsort(step, kind="stable")
    return kalman.Measurements(
        step=step[order], rows=np.ascontiguousarray(rows[order]), values=values[order], variances=variances[order]
    )


Rows = tuple[NDArray[np.int64], FloatArray, FloatArray, FloatArray]


def _rest_rows(problem: Problem) -> Rows:
    step = np.flatnonzero(problem.time_s <= problem.rest_until_s).astype(np.int64)
    rows = np.zeros((step.size, kalman.SIZE))
    rows[:, kalman.SPEED] = 1.0
    return step, rows, np.zeros(step.size), np.full(step.size, REST_SD_MPS**2)


def _speed_rows(problem: Problem, time_s: FloatArray) -> tuple[NDArray[np.int64], FloatArray]:
    """Step and row of ground speed at times within the steps that end there."""
    base = problem.time_s
    step = np.clip(np.searchsorted(base, time_s, side="left"), 1, base.size - 1)
    back = base[step] - time_s
    z = np.interp(0.5 * (time_s + base[step]), base, problem.input_mps2)
    rows = np.zeros((time_s.size, kalman.SIZE))
    rows[:, kalman.SPEED] = 1.0
    rows[:, kalman.DRIFT] = -back
    rows[:, kalman.BIAS] = back
    rows[:, kalman.GAIN] = -z * back
    return step.astype(np.int64), rows


def _gps_rows(problem: Problem, motion: Motion, iteration: int) -> Rows:
    gps = problem.sensors.gps
    assert gps is not None
    use = (gps.values > GPS_LEAST_MPS) & (gps.time_s > problem.rest_until_s)
    use &= gps.time_s - motion.gps_lag_s < problem.time_s[-1]
    time_s = gps.time_s[use] - motion.gps_lag_s
    values = gps.values[use]
    step, rows = _speed_rows(problem, time_s)
    acceleration = np.interp(time_s, problem.time_s, motion.acceleration_mps2)
    rows[:, kalman.GPS_LAG] = -acceleration if (problem.has_accelerometer or problem.axles) else 0.0
    held_s = problem.sensors.row_period_s / np.sqrt(12.0)
    variances = motion.gps_noise_mps**2 + (acceleration * held_s) ** 2
    residual = values - np.interp(time_s, problem.time_s, motion.speed_mps)
    if iteration > 0:
        variances = _with_outliers(variances, residual)
    return step, rows, values, variances


def _axle_rows(problem: Problem, motion: Motion, axle: Axle, iteration: int) -> Rows:
    reading = axle.reading
    base = problem.time_s
    use = (reading.time_s > problem.rest_until_s) & (reading.values > WHEEL_LEAST_MPS) & (reading.time_s <= base[-1])
    time_s, values = reading.time_s[use], reading.values[use]
    speed = np.interp(time_s, base, motion.speed_mps)
    acceleration = np.interp(time_s, base, motion.acceleration_mps2)
    free = problem.free.at(time_s) | (not axle.driven)
    drive = np.where(free, 0.0, np.maximum(acceleration + _road_load(problem.car, speed), 0.0))
    slip = motion.slip[axle.name]
    step, rows = _speed_rows(problem, time_s)
    factor = 1.0 + motion.wheel_scale + slip * drive
    rows *= factor[:, None]
    rows[:, kalman.WHEEL_SCALE] = speed
    rows[:, kalman.SLIP_FRONT if axle.name == "front" else kalman.SLIP_REAR] = speed * drive
    rows[:, kalman.WHEEL_LAG] = -acceleration
    expected = speed * factor
    linear = values + speed * (factor - 1.0)
    per_memory = max(SLIP_MEMORY_S / reading.period_s, 1.0)
    variances = (
        reading.noise_sd**2 + 0.03**2 + (0.002 * speed) ** 2 + per_memory * (SLIP_SPREAD * slip * drive * speed) ** 2
    )
    residual = values - expected
    if problem.is_wheels_alone:
        keep = np.ones(values.size, dtype=np.bool_)
    elif iteration == 0:
        keep = free
    else:
        spread = np.sqrt(variances + (0.02 * speed + 0.3) ** 2 / iteration**2)
        keep = free | (np.abs(residual) < OUTLIER_SD * spread)
        variances = _with_outliers(variances, residual)
    return step[keep], rows[keep], linear[keep], variances[keep]


def _road_load(car: Car, speed_mps: FloatArray) -> FloatArray:
    chassis = car.chassis
    return np.asarray(
        chassis.rolling_resistance * 9.81 + 0.5 * 1.2 * chassis.drag_area_m2 * speed_mps**2 / chassis.mass_kg
    )


def _with_outliers(variances: FloatArray, residual: FloatArray) -> FloatArray:
    """Variances widened where a reading departs, as a Student distribution of five degrees of freedom would."""
    return np.asarray(variances * np.maximum(1.0, (5.0 + residual**2 / variances) / 6.0))


def _next_motion(problem: Problem, motion: Motion, result: kalman.Smoothed) -> Motion:
    x = result.state
    constants = x[-1]
    z = problem.input_mps2
    acceleration = z * x[:, kalman.GAIN] - x[:, kalman.BIAS] + x[:, kalman.DRIFT]
    speed = x[:, kalman.SPEED]
    gps_lag = motion.gps_lag_s + float(constants[kalman.GPS_LAG])
    slip = {}
    for axle in problem.axles:
        place = kalman.SLIP_FRONT if axle.name == "front" else kalman.SLIP_REAR
        slip[axle.name] = float(max(constants[place], 0.0)) if axle.driven else 0.0
    return Motion(
        speed_mps=speed,
        acceleration_mps2=acceleration,
        distance_m=x[:, kalman.DISTANCE],
        wheel_scale=float(constants[kalman.WHEEL_SCALE]),
        slip=slip,
        gps_lag_s=gps_lag,
        gps_noise_mps=_gps_noise(problem, speed, gps_lag),
    )


def _gps_noise(problem: Problem, speed_mps: FloatArray, lag_s: float) -> float:
    """Noise of GPS as the pass shows it, widened by how much one reading shares with the next [m/s]."""
    gps = problem.sensors.gps
    if gps is None:
        return GPS_NOISE_MPS
    use = (gps.values > GPS_LEAST_MPS) & (gps.time_s > problem.rest_until_s)
    if np.count_nonzero(use) < 10:
        return GPS_NOISE_MPS
    residual = gps.values[use] - np.interp(gps.time_s[use] - lag_s, problem.time_s, speed_mps)
    spread = 1.4826 * float(np.median(np.abs(residual)))
    clipped = np.clip(residual, -3.0 * spread, 3.0 * spread)
    shared = float(np.mean(clipped[1:] * clipped[:-1])) / max(float(np.mean(clipped**2)), 1e-12)
    shared = min(max(shared, 0.0), 0.8)
    return max(spread * float(np.sqrt((1.0 + shared) / (1.0 - shared))), 0.03)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Factor from the smoothed speed to the true one, and its standard deviation beside the filter's own."""

    factor: float
    sd: float


def _scale(problem: Problem, result: kalman.Smoothed) -> Scale:
    """Scale of the ground where no GPS tells it.

    Wheels and accelerometer then show only the product of their scales. Were both left free, the filter would favour
    the slower car, whose noise is smaller: so the wheels are taken as they are, and the two priors share what the
    product departs by.
    """
    if problem.sensors.gps is not None:
        return Scale(factor=1.0, sd=0.0)
    if not problem.has_accelerometer:
        return Scale(factor=1.0, sd=WHEEL_SCALE_SD)
    product = float(result.state[-1, kalman.GAIN])
    product_variance = float(result.covariance[-1, kalman.GAIN, kalman.GAIN])
    gain_variance = GAIN_SD**2 + product_variance
    weight = WHEEL_SCALE_SD**2 / (WHEEL_SCALE_SD**2 + gain_variance)
    wheel_scale = weight * (product - GAIN) / GAIN
    return Scale(factor=1.0 / (1.0 + wheel_scale), sd=float(np.sqrt(weight * gain_variance)))


def _record(problem: Problem, motion: Motion, result: kalman.Smoothed, rollout_m: float, scale: Scale) -> GroundSpeed:
    variance = np.maximum(np.einsum("nii->ni", result.covariance), 0.0)
    speed, distance = motion.speed_mps * scale.factor, motion.distance_m * scale.factor
    moved_s, moved_sd_s = _moved(problem, motion)
    sensors = []
    if problem.has_accelerometer:
        sensors.append("accelerometer")
    if problem.sensors.gps is not None:
        sensors.append("gps")
    if any(a.driven for a in problem.axles):
        sensors.append("wheels")
    if any(not a.driven for a in problem.axles):
        sensors.append("undriven wheels")
    return GroundSpeed(
        time_s=problem.time_s,
        speed_mps=speed,
        distance_m=distance,
        acceleration_mps2=motion.acceleration_mps2 * scale.factor,
        speed_sd_mps=np.sqrt(variance[:, kalman.SPEED] + (speed * scale.sd) ** 2),
        distance_sd_m=np.sqrt(variance[:, kalman.DISTANCE] + (distance * scale.sd) ** 2),
        moved_s=moved_s,
        moved_sd_s=moved_sd_s,
        rolling_radius_m=problem.car.tyres.rolling_radius_m,
        sensors=tuple(sensors),
        rollout_m=rollout_m,
        rollout_variance_m2=float(variance[-1, kalman.MARK]) + (rollout_m * scale.sd) ** 2,
        rollout_covariance_m2=result.covariance[:, kalman.DISTANCE, kalman.MARK] + distance * rollout_m * scale.sd**2,
    )


def _moved(problem: Problem, motion: Motion) -> tuple[float, float]:
    """When the car began to move, from the straight line through its first speeds, and the standard deviation."""
    time_s, speed = problem.time_s, motion.speed_mps
    low = int(np.argmax((speed > 0.15) & (time_s > problem.rest_until_s)))
    high = int(np.argmax((speed > 0.6) & (time_s > problem.rest_until_s)))
    high = max(high, low + 1)
    slope = (speed[high] - speed[low]) / (time_s[high] - time_s[low])
    period = float(np.median(np.diff(time_s)))
    return float(time_s[low] - speed[low] / max(slope, 0.3)), period / np.sqrt(12.0)
