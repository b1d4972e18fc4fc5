"""Each measurement of a try as a linear row over the state, with the variance that it deserves."""

import numpy as np
from numpy.typing import NDArray

from nextpass.car import StripClocks
from nextpass.physics.strip import (
    BEAM_60FT_M,
    BEAM_330FT_M,
    BEAM_660FT_M,
    BEAM_1000FT_M,
    BEAM_1320FT_M,
    TRAP_LENGTH_M,
)
from nextpass.review.speed import kalman
from nextpass.review.speed.problem import GPS_LEAST_MPS, Motion, Problem, slip_place
from nextpass.review.speed.sensors import Axle
from nextpass.review.speed.wheels import reachable_speed, road_load_mps2

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
Rows = tuple[IntArray, FloatArray, FloatArray, FloatArray]

REST_SD_MPS = 0.003
# Alone, GPS must do for the start too.
GPS_CRAWL_MPS = 0.3
# A receiver filters its speed: where the pull changes, a fixed lag is right to some milliseconds only, and what it is
# wrong by lasts as long as the pull.
GPS_LAG_WANDER_S, GPS_SMEARS_S = 0.006, 0.5
# A wheel sensor reads zero below a crawl: such samples say nothing.
WHEEL_LEAST_MPS = 0.25
# A driven wheel that starts the car slips by more than its drive explains; accelerometer or free wheel know better.
DRIVEN_LEAST_MPS = 3.0
WHEEL_SD_MPS, WHEEL_SD_RATIO = 0.03, 0.002
# The slip of a driven wheel beside the learnt proportion: a part of it, correlated over a third of a second.
SLIP_SPREAD, SLIP_MEMORY_S = 0.3, 0.3
# With nothing to check it, a wheel that reads above what tyres and engine can do tells that much, give or take half of
# the excess, for as long as a spin lasts.
SPUN_SPREAD, SPUN_MEMORY_S = 0.5, 1.0
OUTLIER_SD = 3.0
# A beam is crossed by one part of the tyre or another; the clock itself resolves a thousandth.
BEAM_SD_S, CLOCK_SD_S = 0.003, 0.0005
BEAMS = (
    ("t60ft_s", BEAM_60FT_M, ""),
    ("t330ft_s", BEAM_330FT_M, ""),
    ("t660ft_s", BEAM_660FT_M, "v660ft_mps"),
    ("t1000ft_s", BEAM_1000FT_M, ""),
    ("et_s", BEAM_1320FT_M, "trap_mps"),
)
# Driven wheels that depart from the first iterations' motion are let in as it settles.
DOUBT_RATIO, DOUBT_MPS = 0.02, 0.3
STUDENT_FREEDOM = 5.0


def measurements(problem: Problem, motion: Motion, iteration: int) -> kalman.Measurements:
    """All measurements of a try, linear about the motion of the last iteration.

    Parameters
    ----------
    problem : Problem
    motion : Motion
    iteration : int
        From 0: the first one takes only what can be trusted without knowing the motion.

    Returns
    -------
    kalman.Measurements
    """
    parts = [_rest_rows(problem)]
    if problem.sensors.gps is not None:
        parts.append(_gps_rows(problem, motion, iteration))
    if problem.clocks is not None:
        parts.append(_strip_rows(problem, motion, problem.clocks))
    parts.extend(_axle_rows(problem, motion, axle, iteration) for axle in problem.axles)
    step, rows, values, variances = (np.concatenate(column) for column in zip(*parts, strict=True))
    order = np.argsort(step, kind="stable")
    return kalman.Measurements(
        step=step[order], rows=np.ascontiguousarray(rows[order]), values=values[order], variances=variances[order]
    )


def _rest_rows(problem: Problem) -> Rows:
    step = np.flatnonzero(problem.time_s <= problem.rest_until_s).astype(np.int64)
    rows = np.zeros((step.size, kalman.SIZE))
    rows[:, kalman.SPEED] = 1.0
    return step, rows, np.zeros(step.size), np.full(step.size, REST_SD_MPS**2)


def _speed_rows(problem: Problem, time_s: FloatArray) -> tuple[IntArray, FloatArray]:
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


def _strip_rows(problem: Problem, motion: Motion, clocks: StripClocks) -> Rows:
    """The strip's times as distances, its trap speeds as speeds, from the rollout that the last motion shows."""
    base = problem.time_s
    started_s = float(np.interp(problem.rollout_m, motion.distance_m, base))
    parts: list[Rows] = []
    for name, beam_m, trap in BEAMS:
        clock_s = getattr(clocks, name)
        if clock_s is None or started_s + clock_s >= base[-1]:
            continue
        at_s = np.array([started_s + clock_s])
        speed = float(np.interp(at_s[0], base, motion.speed_mps))
        step, rows = _speed_rows(problem, at_s)
        back = float(base[step[0]] - at_s[0])
        rows[:] = 0.0
        rows[0, [kalman.DISTANCE, kalman.SPEED, kalman.STRIP_START]] = 1.0, -back, speed
        parts.append((step, rows, np.array([beam_m]), np.array([(BEAM_SD_S * speed) ** 2])))
        trap_mps = getattr(clocks, trap) if trap else None
        if trap_mps is not None:
            middle_s = at_s - 0.5 * TRAP_LENGTH_M / max(speed, 1.0)
            step, rows = _speed_rows(problem, middle_s)
            # The trap's two beams each have the resolution of the clock.
            sd = np.sqrt(2.0) * CLOCK_SD_S * speed**2 / TRAP_LENGTH_M
            parts.append((step, rows, np.array([trap_mps]), np.array([sd**2])))
    if not parts:
        return np.empty(0, dtype=np.int64), np.empty((0, kalman.SIZE)), np.empty(0), np.empty(0)
    step, rows, values, variances = (np.concatenate(column) for column in zip(*parts, strict=True))
    return step, rows, values, variances


def _gps_rows(problem: Problem, motion: Motion, iteration: int) -> Rows:
    gps = problem.sensors.gps
    assert gps is not None
    time_s = gps.time_s - motion.gps_lag_s
    is_alone = not (problem.has_accelerometer or problem.axles)
    least_mps = GPS_CRAWL_MPS if is_alone else GPS_LEAST_MPS
    use = (gps.values > least_mps) & (time_s > problem.rest_until_s) & (time_s < problem.time_s[-1])
    use &= time_s > problem.time_s[0]
    time_s, values = time_s[use], gps.values[use]
    step, rows = _speed_rows(problem, time_s)
    acceleration = np.interp(time_s, problem.time_s, motion.acceleration_mps2)
    rows[:, kalman.GPS_LAG] = -acceleration
    # Held between its own updates, a new value shows anywhere within one row of the log (JCGM 100, 4.3.7).
    held_s = problem.sensors.row_period_s / np.sqrt(12.0)
    per_memory = max(GPS_SMEARS_S / gps.period_s, 1.0)
    variances = motion.gps_noise_mps**2 + (acceleration * held_s) ** 2
    variances = variances + per_memory * (acceleration * GPS_LAG_WANDER_S) ** 2
    residual = values - np.interp(time_s, problem.time_s, motion.speed_mps)
    if iteration > 0:
        variances = _with_outliers(variances, residual)
    return step, rows, values, variances


def _axle_rows(problem: Problem, motion: Motion, axle: Axle, iteration: int) -> Rows:
    reading, base = axle.reading, problem.time_s
    use = (reading.time_s > problem.rest_until_s) & (reading.values > WHEEL_LEAST_MPS) & (reading.time_s <= base[-1])
    time_s, values = reading.time_s[use], reading.values[use]
    speed = np.interp(time_s, base, motion.speed_mps)
    acceleration = np.interp(time_s, base, motion.acceleration_mps2)
    free = problem.free.at(time_s) | (not axle.driven)
    drive = slipping_drive_mps2(problem, motion, time_s, speed, free)
    slip = motion.slip[axle.name]
    grown = (speed / kalman.GROWN_AT_MPS) ** 2
    factor = 1.0 + motion.wheel_scale - motion.growth * grown + slip * drive
    step, rows = _speed_rows(problem, time_s)
    rows *= factor[:, None]
    rows[:, kalman.WHEEL_SCALE] = speed
    rows[:, kalman.GROWTH] = -speed * grown
    rows[:, slip_place(axle)] = speed * drive
    rows[:, kalman.WHEEL_LAG] = -acceleration
    per_memory = max(SLIP_MEMORY_S / reading.period_s, 1.0)
    variances = reading.noise_sd**2 + WHEEL_SD_MPS**2 + (WHEEL_SD_RATIO * speed) ** 2
    variances = variances + per_memory * (SLIP_SPREAD * slip * drive * speed) ** 2
    if problem.is_wheels_alone:
        reached = reachable_speed(time_s, values, problem.most_mps2(time_s), ~problem.free.at(time_s))
        per_spin = max(SPUN_MEMORY_S / reading.period_s, 1.0)
        variances = variances + per_spin * (SPUN_SPREAD * (values - reached)) ** 2
        values, keep = reached, np.ones(values.size, dtype=np.bool_)
    else:
        residual = values - speed * factor
        keep, variances = _trusted(problem, axle, speed, residual, free, variances, iteration)
    # Linear about the last motion: what the products of two states hold twice is taken off again.
    values = values + speed * (factor - 1.0)
    return step[keep], rows[keep], values[keep], variances[keep]


def _trusted(
    problem: Problem,
    axle: Axle,
    speed: FloatArray,
    residual: FloatArray,
    free: NDArray[np.bool_],
    variances: FloatArray,
    iteration: int,
) -> tuple[NDArray[np.bool_], FloatArray]:
    """Which readings of an axle agree with what the others show, and their variances."""
    if not axle.driven:
        return free, variances if iteration == 0 else _with_outliers(variances, residual)
    if iteration == 0:
        nothing_else = not problem.has_accelerometer and problem.sensors.gps is None
        return (free | nothing_else), variances
    doubt = (DOUBT_RATIO * speed + DOUBT_MPS) / iteration
    agrees = np.abs(residual) < OUTLIER_SD * np.sqrt(variances + doubt**2)
    if problem.has_accelerometer or any(not other.driven for other in problem.axles):
        agrees &= speed > DRIVEN_LEAST_MPS
    return free | agrees, _with_outliers(variances, residual)


def slipping_drive_mps2(
    problem: Problem, motion: Motion, time_s: FloatArray, speed_mps: FloatArray, is_free: NDArray[np.bool_]
) -> FloatArray:
    """Drive that a driven axle's tyres carry at some times, as an acceleration of the car [m/s2]."""
    acceleration = np.interp(time_s, problem.time_s, motion.acceleration_mps2)
    drive = np.maximum(acceleration + road_load_mps2(problem.car, speed_mps), 0.0)
    return np.where(is_free, 0.0, drive)


def _with_outliers(variances: FloatArray, residual: FloatArray) -> FloatArray:
    """Variances widened where a reading departs, as a Student distribution would."""
    factor = (STUDENT_FREEDOM + residual**2 / variances) / (STUDENT_FREEDOM + 1.0)
    return np.asarray(variances * np.maximum(1.0, factor))
