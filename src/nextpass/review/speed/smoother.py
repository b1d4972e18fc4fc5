"""Ground speed from whatever sensors a log has, filtered forwards and smoothed backwards.

The accelerometer drives the filter; its bias is learnt while the car stands, its gain (sensor scale and pitch under
squat) wherever another sensor shows speed. GPS counts only where it is new and at the time that it belongs to: its
lag is a state, taken off the clock and learnt anew until it settles. An undriven axle is trusted always. A driven
one reads high by the slip that its own drive needs, in proportion to the drive while the tyre holds: that proportion
is learnt, and a reading that departs from it is left out.

Without GPS, wheels and accelerometer show only the product of their scales. Were both left free, the filter would
favour the slower car, whose noise is smaller: so the wheels are taken as they are, and the two priors share what the
product departs by. Wheels alone cannot show their own slip either: it is taken from the car file's tyre, and the ± says
what that may miss. Limits: a sensor that drifts within a second, or a car that rolls while it reads zero, is not seen.
"""

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car, StripClocks
from nextpass.log import Log
from nextpass.measure import Absent
from nextpass.physics.strip import ROLLOUT_M
from nextpass.review.attempt import Attempt
from nextpass.review.speed import kalman
from nextpass.review.speed.ground_speed import GroundSpeed, SharedError
from nextpass.review.speed.onset import first_movement
from nextpass.review.speed.problem import (
    GAIN,
    GAIN_SD,
    GPS_LEAST_MPS,
    GPS_NOISE_MPS,
    GROWTH_SD,
    SLIP_SD,
    WHEEL_SCALE_SD,
    Motion,
    Problem,
    first_guess,
    integral,
    slip_place,
    start,
    state_problem,
)
from nextpass.review.speed.radius import rolling_radius
from nextpass.review.speed.rows import measurements, slipping_drive_mps2

FloatArray = NDArray[np.float64]

MOST_ITERATIONS, SETTLED_MPS = 8, 0.004
# What the accelerometer shows beside the acceleration along the road, as a first-order process: pitch, vibration.
DRIFT_SD_MPS2, DRIFT_TIME_S = 0.1, 0.4
# Without an accelerometer the acceleration itself walks: a launch or a shift changes it by this in a second.
WALK_MPS2_PER_SQRT_S = 9.0
# A step this many times the usual is a dropout.
GAP_STEPS = 4.0
# GPS cannot be better than this, and its errors wander over about this long.
GPS_LEAST_NOISE_MPS, GPS_WANDERS_S = 0.03, 1.0
# The distance before a wheel sensor wakes up is known this well, as a part of itself.
BLIND_SD = 0.25
# Speed by carrier shift is true to a few parts in a thousand over a pass (common practice).
GPS_SCALE_SD = 0.002


def ground_speed(
    car: Car, log: Log, attempt: Attempt, rollout_m: float = ROLLOUT_M, clocks: StripClocks | None = None
) -> GroundSpeed | None:
    """Motion of the car over one try.

    Parameters
    ----------
    car : Car
    log : Log
    attempt : Attempt
    rollout_m : float
        Distance at which the clocks start [m].
    clocks : StripClocks, optional
        The strip's clocks of this try, to calibrate the motion by.

    Returns
    -------
    GroundSpeed or None
        None where nothing in the log tells speed.
    """
    problem = state_problem(car, log, attempt, rollout_m, clocks)
    if problem is None:
        return None
    motion = first_guess(problem)
    expected, covariance = start(problem, motion)
    for iteration in range(MOST_ITERATIONS):
        steps = _steps(problem, motion)
        result = kalman.smooth(expected, covariance, steps, measurements(problem, motion, iteration))
        before, motion = motion, _next_motion(problem, motion, result)
        # The first three iterations let the driven wheels in; only then can it settle.
        if iteration > 2 and np.abs(motion.speed_mps - before.speed_mps).max() < SETTLED_MPS:
            break
    return _record(problem, log, motion, result)


def _steps(problem: Problem, motion: Motion) -> kalman.Steps:
    time_s, z = problem.time_s, problem.input_mps2
    dt = np.diff(time_s, prepend=time_s[0])
    before = np.concatenate([z[:1], z[:-1]])
    moving = time_s > problem.rest_until_s
    accelerometer = problem.sensors.accelerometer
    if accelerometer is not None:
        keep = np.exp(-dt / DRIFT_TIME_S)
        drift_variance = DRIFT_SD_MPS2**2 * (1.0 - keep**2)
        speed_variance = (accelerometer.noise_sd * dt) ** 2 + _kink_variance(z, dt, accelerometer.noise_sd)
    else:
        keep = np.ones(time_s.size)
        drift_variance = WALK_MPS2_PER_SQRT_S**2 * dt
        speed_variance = np.zeros(time_s.size)
    return kalman.Steps(
        duration_s=dt,
        impulse_mps=0.5 * (before + z) * dt,
        lever_m=(before / 3.0 + z / 6.0) * dt**2,
        keep=keep,
        speed_variance=speed_variance,
        drift_variance=np.where(moving, drift_variance, 0.0),
        mark=int(np.argmin(np.abs(motion.distance_m - problem.rollout_m))),
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
    # Across a dropout of the accelerometer the acceleration may have walked anywhere.
    usual = float(np.median(dt[1:])) if dt.size > 1 else 0.0
    lost = np.where(dt > GAP_STEPS * usual, WALK_MPS2_PER_SQRT_S**2 * dt**3 / 3.0, 0.0)
    return np.asarray(jump2 * dt**2 / 12.0 + lost)


def _next_motion(problem: Problem, motion: Motion, result: kalman.Smoothed) -> Motion:
    x = result.state
    constants = x[-1]
    speed = x[:, kalman.SPEED]
    gps_lag_s = motion.gps_lag_s + float(constants[kalman.GPS_LAG])
    return Motion(
        speed_mps=speed,
        acceleration_mps2=problem.input_mps2 * x[:, kalman.GAIN] - x[:, kalman.BIAS] + x[:, kalman.DRIFT],
        distance_m=x[:, kalman.DISTANCE],
        wheel_scale=float(constants[kalman.WHEEL_SCALE]),
        growth=float(constants[kalman.GROWTH]),
        slip={axle.name: max(float(constants[slip_place(axle)]), 0.0) for axle in problem.axles},
        gps_lag_s=gps_lag_s,
        gps_noise_mps=_gps_noise(problem, result, gps_lag_s),
    )


def _gps_noise(problem: Problem, result: kalman.Smoothed, lag_s: float) -> float:
    """Noise of GPS as the pass shows it, widened by how much one reading shares with the next [m/s].

    What the smoothed speed does not know is added to what GPS departs from it: departures alone are too small, since
    the smoother leans towards its readings (the maximisation step of EM; Dempster, Laird & Rubin 1977, memory).
    """
    gps = problem.sensors.gps
    if gps is None or not (problem.has_accelerometer or problem.axles):
        return GPS_NOISE_MPS
    use = (gps.values > GPS_LEAST_MPS) & (gps.time_s > problem.rest_until_s)
    if np.count_nonzero(use) < 10:
        return GPS_NOISE_MPS
    at_s = gps.time_s[use] - lag_s
    residual = gps.values[use] - np.interp(at_s, problem.time_s, result.state[:, kalman.SPEED])
    unknown = np.interp(at_s, problem.time_s, result.covariance[:, kalman.SPEED, kalman.SPEED])
    spread = 1.4826 * float(np.median(np.abs(residual)))
    clipped = np.clip(residual, -3.0 * spread, 3.0 * spread)
    variance = spread**2 * _shared_factor(clipped, gps.period_s) + float(np.median(unknown))
    return max(float(np.sqrt(variance)), GPS_LEAST_NOISE_MPS)


def _shared_factor(errors: FloatArray, period_s: float) -> float:
    """How many times more a mean of these errors varies than one of white errors: 1 + 2 sum of autocorrelations.

    References
    ----------
    Bartlett, J. R. Stat. Soc. Suppl. 8 (1946) 27 (memory); summed over the second that a receiver's errors wander in.
    """
    lags = range(1, min(int(GPS_WANDERS_S / period_s) + 1, errors.size // 4))
    power = max(float(np.mean(errors**2)), 1e-12)
    shared = [float(np.mean(errors[lag:] * errors[:-lag])) / power for lag in lags]
    return max(1.0 + 2.0 * float(np.sum(shared)), 1.0)


def _scale(problem: Problem, result: kalman.Smoothed) -> tuple[float, float]:
    """Factor from the smoothed to the true speed where wheels are the scale, and its standard deviation."""
    if problem.has_scale or not problem.axles:
        return 1.0, 0.0
    if not problem.has_accelerometer:
        return 1.0, WHEEL_SCALE_SD
    product = float(result.state[-1, kalman.GAIN])
    gain_variance = GAIN_SD**2 + float(result.covariance[-1, kalman.GAIN, kalman.GAIN])
    weight = WHEEL_SCALE_SD**2 / (WHEEL_SCALE_SD**2 + gain_variance)
    wheel_scale = weight * (product - GAIN) / GAIN
    return 1.0 / (1.0 + wheel_scale), float(np.sqrt(weight * gain_variance))


def _shared_errors(problem: Problem, motion: Motion, scale_sd: float) -> list[SharedError]:
    """Errors that the filter does not carry: the scale of the wheels, and the slip of wheels that nothing checks."""
    errors = [SharedError(speed_mps=motion.speed_mps * scale_sd, distance_m=motion.distance_m * scale_sd)]
    if not problem.has_accelerometer and not problem.has_scale:
        speed = GROWTH_SD * motion.speed_mps * (motion.speed_mps / kalman.GROWN_AT_MPS) ** 2
        errors.append(SharedError(speed_mps=speed, distance_m=integral(problem.time_s, speed)))
    if problem.blind_m > 0.0:
        unseen = np.where(problem.time_s > problem.rest_until_s, BLIND_SD * problem.blind_m, 0.0)
        errors.append(SharedError(speed_mps=np.zeros(unseen.size), distance_m=unseen))
    if problem.is_wheels_alone:
        slip_sd = SLIP_SD * float(np.mean([motion.slip[axle.name] for axle in problem.axles]))
        is_free = problem.free.at(problem.time_s)
        drive = slipping_drive_mps2(problem, motion, problem.time_s, motion.speed_mps, is_free)
        speed = motion.speed_mps * slip_sd * drive
        errors.append(SharedError(speed_mps=speed, distance_m=integral(problem.time_s, speed)))
    return errors


def _record(problem: Problem, log: Log, motion: Motion, result: kalman.Smoothed) -> GroundSpeed:
    factor, scale_sd = _scale(problem, result)
    errors = _shared_errors(problem, motion, scale_sd)
    speed, distance = motion.speed_mps * factor, motion.distance_m * factor
    speed_variance = result.covariance[:, kalman.SPEED, kalman.SPEED] + sum(e.speed_mps**2 for e in errors)
    distance_variance = result.covariance[:, kalman.DISTANCE, kalman.DISTANCE] + sum(e.distance_m**2 for e in errors)
    both = result.covariance[:, kalman.SPEED, kalman.DISTANCE] + sum(e.speed_mps * e.distance_m for e in errors)
    at_rollout = [float(np.interp(problem.rollout_m, distance, e.distance_m)) for e in errors]
    shared = sum(e.distance_m * at for e, at in zip(errors, at_rollout, strict=True))
    speed_sd = np.sqrt(np.maximum(speed_variance, 0.0))
    moved_s, moved_sd_s = first_movement(problem, motion, speed_sd)
    known_sd = GPS_SCALE_SD if problem.has_scale else scale_sd
    wheel_scale = (1.0 + motion.wheel_scale) / factor
    radius = rolling_radius(
        problem.car, log, problem.axles, problem.free, wheel_scale, (problem.time_s, speed), known_sd
    )
    return GroundSpeed(
        time_s=problem.time_s,
        speed_mps=speed,
        distance_m=distance,
        acceleration_mps2=motion.acceleration_mps2 * factor,
        speed_sd_mps=speed_sd,
        distance_sd_m=np.sqrt(np.maximum(distance_variance, 0.0)),
        speed_distance_covariance_m2ps=both,
        shared_errors=tuple(errors),
        moved_s=moved_s,
        moved_sd_s=moved_sd_s,
        rolling_radius_m=problem.car.tyres.rolling_radius_m if isinstance(radius, Absent) else radius.value,
        rolling_radius=radius,
        wheel_scale={axle.name: axle.divided_by * wheel_scale for axle in problem.axles},
        sensors=_sensor_names(problem),
        from_rest=problem.from_rest,
        rollout_m=problem.rollout_m,
        rollout_variance_m2=float(result.covariance[-1, kalman.MARK, kalman.MARK]) + sum(at**2 for at in at_rollout),
        rollout_covariance_m2=result.covariance[:, kalman.DISTANCE, kalman.MARK] + shared,
    )


def _sensor_names(problem: Problem) -> tuple[str, ...]:
    present = {
        "accelerometer": problem.has_accelerometer,
        "gps": problem.sensors.gps is not None,
        "wheels": any(axle.driven for axle in problem.axles),
        "strip": problem.clocks is not None,
        "undriven wheels": any(not axle.driven for axle in problem.axles),
    }
    return tuple(name for name, there in present.items() if there)
