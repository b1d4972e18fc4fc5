"""What the smoother of one try rests on: its sensors, when the car surely stood, a first guess, and the priors."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car, StripClocks
from nextpass.log import Log
from nextpass.physics.strip import ROLLOUT_M
from nextpass.review.attempt import Attempt
from nextpass.review.speed import kalman
from nextpass.review.speed.engine_pull import engine_pull_mps2
from nextpass.review.speed.radius import driven_reading, indicated_excess
from nextpass.review.speed.sensors import Axle, Reading, Sensors, gather
from nextpass.review.speed.squat import SQUAT, SQUAT_SD, with_pitch_at_once
from nextpass.review.speed.wheels import (
    TorqueFree,
    even_axles,
    most_acceleration_mps2,
    reachable_speed,
    slip_per_drive,
    torque_free,
)

FloatArray = NDArray[np.float64]

# Prior of the accelerometer: bias of a few hundredths of g, a scale that is true to a percent (common practice), gain
# below one by what squat makes it feel.
BIAS_SD_MPS2 = 0.6
SCALE_SD = 0.01
GAIN, GAIN_SD = 1.0 / (1.0 + SQUAT), float(np.hypot(SCALE_SD, SQUAT_SD))
WHEEL_LAG_SD_S = 0.02
# Tyres differ from the car file's radius by up to a percent either way with wear, heat and pressure (common practice);
# anywhere within it alike, that is a standard deviation of 1/sqrt(3) (JCGM 100, 4.3.7).
WHEEL_SCALE_SD = 0.01 / np.sqrt(3.0)
# Tread stretches as it spins: a road radial grows by 0.5 to 1 % at 200 km/h (common practice), with speed squared.
GROWTH, GROWTH_SD = 0.007, 0.004
# Staging depth and tyre move the true rollout by some centimetres, at about 2 m/s (common practice).
STRIP_START_SD_S = 0.03
GPS_LAG_SD_S = 0.15
GPS_LONGEST_LAG_S = 0.6
GPS_LEAST_MPS = 2.0
GPS_NOISE_MPS = 0.12
GPS_STIRS_MPS = 0.1
BLIND_LOOK_S = 0.35
SLIP_SD = 0.5  # of the slip that the car file's tyre would need
# Base times of a log without accelerometer.
GRID_HZ = 50.0
# An accelerometer has left rest for good when two samples stand this far above it; the car stirred before that.
ONSET_SD, ONSET_LEAST_MPS2, STIRS_S = 4.0, 0.3, 0.12


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """What stays the same from iteration to iteration.

    Parameters
    ----------
    time_s, input_mps2 : ndarray, shape (n,)
        Base times of the filter and the measured acceleration there; zeros where the log has no accelerometer.
    rest_until_s : float
        Last time at which the car surely stood; before the first base time for a rolling try.
    wheel_scale : float
        Expected excess of the indicated speed of a free-rolling wheel over the true one.
    blind_m : float
        Distance that the car had covered before a wheel sensor showed it, where that must be inferred [m].
    limit_mps2 : ndarray, shape (n,)
        What tyres and engine can have given the car at the base times [m/s2].
    """

    car: Car
    sensors: Sensors
    axles: tuple[Axle, ...]
    free: TorqueFree
    time_s: FloatArray
    input_mps2: FloatArray
    rest_until_s: float
    from_rest: bool
    wheel_scale: float
    blind_m: float
    rollout_m: float
    clocks: StripClocks | None
    limit_mps2: FloatArray

    @property
    def has_accelerometer(self) -> bool:
        """Whether the filter has the acceleration to run on."""
        return self.sensors.accelerometer is not None

    @property
    def has_scale(self) -> bool:
        """Whether GPS or the strip's clocks tell true speed, so that wheels need not."""
        return self.sensors.gps is not None or self.clocks is not None

    @property
    def is_wheels_alone(self) -> bool:
        """Whether driven wheels are all that tells speed."""
        return not self.has_accelerometer and not self.has_scale and all(a.driven for a in self.axles)

    def most_mps2(self, time_s: FloatArray) -> FloatArray:
        """What tyres and engine can have given the car at some times [m/s2]."""
        return np.interp(time_s, self.time_s, self.limit_mps2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """Motion of the last iteration, which the next one is linear about, and the constants that it has learnt."""

    speed_mps: FloatArray
    acceleration_mps2: FloatArray
    distance_m: FloatArray
    wheel_scale: float
    growth: float
    slip: dict[str, float]
    gps_lag_s: float
    gps_noise_mps: float


def state_problem(
    car: Car, log: Log, attempt: Attempt, rollout_m: float = ROLLOUT_M, clocks: StripClocks | None = None
) -> Problem | None:
    """What is known of a try before anything is smoothed; None where the log has no sensor of speed.

    Parameters
    ----------
    car : Car
    log : Log
    attempt : Attempt
    rollout_m : float
        Distance at which the clocks start [m].
    clocks : StripClocks, optional
        Of this try, to calibrate it by.

    Returns
    -------
    Problem or None
    """
    sensors = gather(car, log, attempt.start_s, attempt.end_s)
    accelerometer = sensors.accelerometer
    if accelerometer is None and sensors.gps is None and not sensors.axles:
        return None
    free = torque_free(log)
    if accelerometer is None:
        time_s = np.arange(attempt.start_s, attempt.end_s, 1.0 / GRID_HZ)
        input_mps2 = np.zeros(time_s.size)
    else:
        time_s = accelerometer.time_s
        input_mps2 = with_pitch_at_once(time_s, accelerometer.values)
    axles = even_axles(sensors, free)
    return Problem(
        car=car,
        sensors=sensors,
        axles=axles,
        free=free,
        time_s=time_s,
        input_mps2=input_mps2,
        rest_until_s=_rest_until(sensors, attempt) if attempt.from_rest else float(time_s[0]) - 1.0,
        from_rest=attempt.from_rest,
        wheel_scale=indicated_excess(car, log, axles, free),
        blind_m=_blind_m(sensors, attempt) if attempt.from_rest else 0.0,
        rollout_m=rollout_m,
        clocks=clocks if attempt.from_rest else None,
        limit_mps2=_limit_mps2(car, log, axles, time_s),
    )


def start(problem: Problem, motion: Motion) -> tuple[FloatArray, FloatArray]:
    """Expected state at the first base time, shape (SIZE,), and its covariance.

    Parameters
    ----------
    problem : Problem
    motion : Motion
        First guess, for the speed of a rolling start.

    Returns
    -------
    tuple of ndarray
    """
    x = np.zeros(kalman.SIZE)
    sd = np.zeros(kalman.SIZE)
    if problem.from_rest:
        sd[kalman.SPEED] = 0.01
    else:
        x[kalman.SPEED], sd[kalman.SPEED] = motion.speed_mps[0], 5.0
    has_gps, has_scale = problem.sensors.gps is not None, problem.has_scale
    sd[kalman.STRIP_START] = STRIP_START_SD_S if problem.clocks is not None else 0.0
    if problem.has_accelerometer:
        sd[kalman.BIAS] = BIAS_SD_MPS2
        sd[kalman.WHEEL_LAG] = WHEEL_LAG_SD_S
        # Where the wheels are the scale (see `smoother`), the gain takes up their departure too.
        x[kalman.GAIN] = GAIN
        sd[kalman.GAIN] = GAIN_SD if has_scale or not problem.axles else np.hypot(GAIN_SD, WHEEL_SCALE_SD)
    x[kalman.WHEEL_SCALE] = problem.wheel_scale
    sd[kalman.WHEEL_SCALE] = WHEEL_SCALE_SD if has_scale else 0.0
    # Wheels that nothing checks cannot show their own growth and slip: see `smoother`.
    x[kalman.GROWTH] = GROWTH
    sd[kalman.GROWTH] = GROWTH_SD if problem.has_accelerometer or has_scale else 0.0
    for axle in problem.axles:
        slip = slip_per_drive(problem.car, axle.name)
        x[slip_place(axle)], sd[slip_place(axle)] = slip, 0.0 if problem.is_wheels_alone else SLIP_SD * slip
    sd[kalman.GPS_LAG] = GPS_LAG_SD_S if has_gps and (problem.has_accelerometer or problem.axles) else 0.0
    return x, np.diag(sd**2)


def first_guess(problem: Problem) -> Motion:
    """Motion by the accelerometer alone, else by the slowest axle, else by GPS.

    Parameters
    ----------
    problem : Problem

    Returns
    -------
    Motion
    """
    time_s = problem.time_s
    gps = problem.sensors.gps
    readings = [axle.reading for axle in problem.axles] or ([gps] if gps is not None else [])
    if problem.has_accelerometer and (problem.from_rest or not readings):
        moving = time_s > problem.rest_until_s
        bias = float(np.mean(problem.input_mps2[~moving])) if (~moving).any() else 0.0
        acceleration = np.where(moving, GAIN * (problem.input_mps2 - bias), 0.0)
        speed = integral(time_s, acceleration)
    else:
        speed = np.min([np.interp(time_s, r.time_s, r.values) for r in readings], axis=0)
        if problem.is_wheels_alone:
            speed = reachable_speed(time_s, speed, problem.most_mps2(time_s), ~problem.free.at(time_s))
        speed = np.convolve(np.pad(speed, 3, mode="edge"), np.ones(7) / 7.0, mode="valid")
        acceleration = np.gradient(speed, time_s)
    return Motion(
        speed_mps=speed,
        acceleration_mps2=acceleration,
        distance_m=integral(time_s, speed),
        wheel_scale=problem.wheel_scale,
        growth=GROWTH,
        slip={axle.name: slip_per_drive(problem.car, axle.name) for axle in problem.axles},
        gps_lag_s=_gps_lag(problem, speed),
        gps_noise_mps=GPS_NOISE_MPS,
    )


def slip_place(axle: Axle) -> int:
    """Place in the state of the slip of an axle."""
    return kalman.SLIP_FRONT if axle.name == "front" else kalman.SLIP_REAR


def _limit_mps2(car: Car, log: Log, axles: tuple[Axle, ...], time_s: FloatArray) -> FloatArray:
    """The lesser of what the tyres can hold and what the engine can give."""
    tyres = np.full(time_s.size, most_acceleration_mps2(car))
    driven = driven_reading(car, axles)
    if driven is None:
        return tyres
    engine = engine_pull_mps2(car, log, time_s, np.interp(time_s, *driven))
    return tyres if engine is None else np.minimum(tyres, engine)


def integral(time_s: FloatArray, values: FloatArray) -> FloatArray:
    """Running integral by the trapezium rule, 0 at the first time."""
    steps = 0.5 * (values[1:] + values[:-1]) * np.diff(time_s)
    return np.concatenate([[0.0], np.cumsum(steps)])


def _rest_until(sensors: Sensors, attempt: Attempt) -> float:
    """Last time at which every sensor surely still shows the car at rest."""
    onsets = [_wheel_onset(axle.reading, attempt) for axle in sensors.axles]
    if sensors.accelerometer is not None:
        onsets.append(_accelerometer_onset(sensors.accelerometer, attempt))
    elif sensors.axles:
        onsets = [onset - _blind(axle.reading, onset)[0] for axle, onset in zip(sensors.axles, onsets, strict=True)]
    if not onsets and sensors.gps is not None:
        # Repeats of zero are no updates: the car stood one update before the first that shows it moving.
        stirring = sensors.gps.time_s[
            (sensors.gps.values > GPS_STIRS_MPS) & (sensors.gps.time_s > attempt.leaves_s - 1.0)
        ]
        onsets.append((float(stirring[0]) if stirring.size else attempt.leaves_s) - 1.5 * sensors.gps.period_s)
    return max(min(onsets), attempt.start_s + 0.05)


def _wheel_onset(reading: Reading, attempt: Attempt) -> float:
    still = (reading.time_s <= attempt.leaves_s) & (reading.values < 0.05)
    return float(reading.time_s[still][-1]) if still.any() else attempt.leaves_s


def _blind_m(sensors: Sensors, attempt: Attempt) -> float:
    if sensors.accelerometer is not None or not sensors.axles:
        return 0.0
    blind = [_blind(axle.reading, _wheel_onset(axle.reading, attempt)) for axle in sensors.axles]
    return max(0.5 * duration_s * speed_mps for duration_s, speed_mps in blind)


def _blind(reading: Reading, onset_s: float) -> tuple[float, float]:
    """How long the car had moved before a wheel sensor, blind at a crawl, showed it, and its speed then [s], [m/s].

    From the first speed and the acceleration just after: between v/a of a car let in at once and 2 v/a of one whose
    acceleration still grows.
    """
    after = np.flatnonzero((reading.time_s > onset_s) & (reading.time_s < onset_s + BLIND_LOOK_S))
    if after.size < 3:
        return 0.0, 0.0
    slope = float(np.polyfit(reading.time_s[after], reading.values[after], 1)[0])
    # The second sample: in the first, one wheel of the axle may still be blind.
    first_s, first_mps = float(reading.time_s[after[1]]) - onset_s, float(reading.values[after[1]])
    return max(1.5 * first_mps / max(slope, 1.0) - first_s, 0.0), first_mps


def _accelerometer_onset(reading: Reading, attempt: Attempt) -> float:
    """A moment before the reading leaves its mean at rest for good."""
    at_rest = reading.time_s < attempt.leaves_s - 0.5
    if np.count_nonzero(at_rest) < 5:
        return attempt.leaves_s
    mean, spread = float(np.mean(reading.values[at_rest])), float(np.std(reading.values[at_rest]))
    above = reading.values - mean > max(ONSET_SD * spread, ONSET_LEAST_MPS2)
    near = (reading.time_s > attempt.leaves_s - 0.6) & (reading.time_s < attempt.leaves_s + 0.5)
    both = np.flatnonzero(above[:-1] & above[1:] & near[:-1])
    return attempt.leaves_s if both.size == 0 else float(reading.time_s[max(both[0] - 1, 0)]) - STIRS_S


def _gps_lag(problem: Problem, speed_mps: FloatArray) -> float:
    """Lag at which GPS follows the first guess best [s]; 0 where GPS is all there is: lag then shifts all."""
    gps = problem.sensors.gps
    if gps is None or not (problem.has_accelerometer or problem.axles):
        return 0.0
    use = (gps.values > GPS_LEAST_MPS) & (gps.time_s > problem.rest_until_s)
    if np.count_nonzero(use) < 5:
        return 0.0
    lags = np.arange(0.0, GPS_LONGEST_LAG_S, 0.01)
    shifted = [np.interp(gps.time_s[use] - lag, problem.time_s, speed_mps) for lag in lags]
    return float(lags[int(np.argmin([np.median(np.abs(gps.values[use] - s)) for s in shifted]))])
