"""The pass against the clocks, each value with its ± or the reason why there is none.

Beams stand at their distances from the stage beam; the clock starts one rollout of travel after the car began to
move (physics: convention A). A time at a distance is as uncertain as the distance is, over the speed there; errors
that the start and the beam share cancel.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from nextpass.measure import Absent, Estimate, Measured
from nextpass.physics.strip import (
    BEAM_60FT_M,
    BEAM_330FT_M,
    BEAM_660FT_M,
    BEAM_1000FT_M,
    BEAM_1320FT_M,
    MPH_MPS,
    TRAP_LENGTH_M,
)
from nextpass.review.speed import GroundSpeed
from nextpass.words import phrase

NOT_FROM_REST = phrase("absent.not_from_rest")
# A car at the end of its pull is taken to gain at least this when nothing beyond shows how it went on.
LEAST_GAIN_MPS2 = 0.2

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Timeslip:
    """Times from the rollout [s], speed windows from standstill [s], trap speeds [m/s]; see the contract's *Clocks*."""

    t60ft_s: Measured
    t330ft_s: Measured
    t660ft_s: Measured
    v660ft_mps: Measured
    t1000ft_s: Measured
    et_s: Measured
    trap_mps: Measured
    t0_60mph_s: Measured
    t0_100kmh_s: Measured
    t100_200kmh_s: Measured


def timeslip(motion: GroundSpeed) -> Timeslip:
    """All clocks of one try."""
    return Timeslip(
        t60ft_s=beam_time(motion, BEAM_60FT_M),
        t330ft_s=beam_time(motion, BEAM_330FT_M),
        t660ft_s=beam_time(motion, BEAM_660FT_M),
        v660ft_mps=trap_speed(motion, BEAM_660FT_M),
        t1000ft_s=beam_time(motion, BEAM_1000FT_M),
        et_s=beam_time(motion, BEAM_1320FT_M),
        trap_mps=trap_speed(motion, BEAM_1320FT_M),
        t0_60mph_s=speed_window(motion, 0.0, 60.0 * MPH_MPS),
        t0_100kmh_s=speed_window(motion, 0.0, 100.0 / 3.6),
        t100_200kmh_s=speed_window(motion, 100.0 / 3.6, 200.0 / 3.6),
    )


def empty_timeslip(reason: str) -> Timeslip:
    """A timeslip on which nothing could be read, for one reason."""
    absent = Absent(reason=reason)
    return Timeslip(**{field.name: absent for field in fields(Timeslip)})


def beam_time(motion: GroundSpeed, distance_m: float) -> Measured:
    """Time from the rollout to a distance from the stage beam [s]."""
    if not motion.from_rest:
        return Absent(reason=NOT_FROM_REST)
    end = time_at_distance(motion, distance_m)
    start = time_at_distance(motion, motion.rollout_m)
    if end is None or start is None:
        return _tracked_only(motion)
    start_speed, end_speed = _speed_at(motion, start), _speed_at(motion, end)
    variance = (
        float(np.interp(end, motion.time_s, motion.distance_sd_m)) ** 2 / end_speed**2
        + motion.rollout_variance_m2 / start_speed**2
        - 2.0 * float(np.interp(end, motion.time_s, motion.rollout_covariance_m2)) / (start_speed * end_speed)
    )
    return Estimate.from_sd(end - start, float(np.sqrt(max(variance, 0.0))))


def trap_speed(motion: GroundSpeed, distance_m: float) -> Measured:
    """Mean speed over the last 66 ft before a beam [m/s]."""
    if not motion.from_rest:
        return Absent(reason=NOT_FROM_REST)
    end = time_at_distance(motion, distance_m)
    start = time_at_distance(motion, distance_m - TRAP_LENGTH_M)
    if end is None or start is None:
        return _tracked_only(motion)
    return Estimate.from_sd(TRAP_LENGTH_M / (end - start), _speed_sd_at_place(motion, 0.5 * (start + end)))


def speed_window(motion: GroundSpeed, low_mps: float, high_mps: float) -> Measured:
    """Time between two speeds [s], from standstill without rollout where the lower is zero."""
    if low_mps <= 0.0 and not motion.from_rest:
        return Absent(reason=NOT_FROM_REST)
    end = time_at_speed(motion, high_mps)
    start = motion.moved_s if low_mps <= 0.0 else time_at_speed(motion, low_mps)
    if end is None or start is None:
        return Absent(reason=phrase("absent.tracked_kmh", speed_kmh=3.6 * float(motion.speed_mps.max())))
    shared = [
        _crosses_later_s(motion, high_mps, end, error.speed_mps)
        - (0.0 if low_mps <= 0.0 else _crosses_later_s(motion, low_mps, start, error.speed_mps))
        for error in motion.shared_errors
    ]
    own_sd_mps = _own_sd(motion.speed_sd_mps, [error.speed_mps for error in motion.shared_errors])
    variance = sum(seconds**2 for seconds in shared) + _crosses_later_s(motion, high_mps, end, own_sd_mps) ** 2
    variance += motion.moved_sd_s**2 if low_mps <= 0.0 else _crosses_later_s(motion, low_mps, start, own_sd_mps) ** 2
    return Estimate.from_sd(end - start, float(np.sqrt(variance)))


def distance_window(motion: GroundSpeed, low_m: float, high_m: float) -> Measured:
    """Time between two distances from standstill [s], from the first movement where the lower is zero."""
    if not motion.from_rest:
        return Absent(reason=NOT_FROM_REST)
    end = time_at_distance(motion, high_m)
    start = motion.moved_s if low_m <= 0.0 else time_at_distance(motion, low_m)
    if end is None or start is None:
        return _tracked_only(motion)
    own_sd_m = _own_sd(motion.distance_sd_m, [error.distance_m for error in motion.shared_errors])
    end_mps, start_mps = _speed_at(motion, end), _speed_at(motion, start)
    end_sd_m = float(np.interp(end, motion.time_s, own_sd_m))
    if low_m <= 0.0:
        variance = (end_sd_m / end_mps) ** 2 + motion.moved_sd_s**2
    else:
        # An error made before the window shifts both ends alike; what the window adds stands on its own.
        start_sd_m = float(np.interp(start, motion.time_s, own_sd_m))
        variance = max(end_sd_m**2 - start_sd_m**2, 0.0) / end_mps**2
        variance += (start_sd_m * (1.0 / start_mps - 1.0 / end_mps)) ** 2
    for error in motion.shared_errors:
        end_m, start_m = (float(np.interp(at, motion.time_s, error.distance_m)) for at in (end, start))
        variance += (end_m / end_mps - (0.0 if low_m <= 0.0 else start_m / start_mps)) ** 2
    return Estimate.from_sd(end - start, float(np.sqrt(variance)))


def time_at_distance(motion: GroundSpeed, distance_m: float) -> float | None:
    """First time at which the car has covered a distance [s], None where it did not."""
    return _crossing(motion.time_s, motion.distance_m, motion.speed_mps, distance_m)


def time_at_speed(motion: GroundSpeed, speed_mps: float) -> float | None:
    """First time at which the car reaches a speed [s], None where it did not."""
    return _crossing(motion.time_s, motion.speed_mps, motion.acceleration_mps2, speed_mps)


def _tracked_only(motion: GroundSpeed) -> Absent:
    return Absent(reason=phrase("absent.tracked_m", distance_m=float(motion.distance_m[-1])))


def _crossing(time_s: FloatArray, values: FloatArray, slopes: FloatArray, level: float) -> float | None:
    """First upward crossing, by the cubic through values and slopes at both ends of the step."""
    above = np.flatnonzero(values >= level)
    if above.size == 0 or above[0] == 0:
        return None
    k = int(above[0])
    step = time_s[k] - time_s[k - 1]
    part = np.linspace(0.0, 1.0, 33)
    cubic = (
        values[k - 1] * (1 + 2 * part) * (1 - part) ** 2
        + slopes[k - 1] * step * part * (1 - part) ** 2
        + values[k] * part**2 * (3 - 2 * part)
        - slopes[k] * step * part**2 * (1 - part)
    )
    return float(time_s[k - 1] + step * np.interp(level, np.maximum.accumulate(cubic), part))


def _speed_at(motion: GroundSpeed, time_s: float) -> float:
    return max(float(np.interp(time_s, motion.time_s, motion.speed_mps)), 0.1)


def _own_sd(sd: FloatArray, shared: Sequence[FloatArray]) -> FloatArray:
    """What a standard deviation holds beside the errors that all samples share."""
    return np.asarray(np.sqrt(np.maximum(sd**2 - sum(error**2 for error in shared), 0.0)))


def _speed_sd_at_place(motion: GroundSpeed, time_s: float) -> float:
    """Standard deviation of the speed where the car is at a time [m/s].

    A car that is further than thought passes the place earlier and there is slower than its speed at the time says:
    dv at the place = dv - (a / v) ds.
    """
    speed_sd, distance_sd, both, gained = (
        float(np.interp(time_s, motion.time_s, values))
        for values in (
            motion.speed_sd_mps,
            motion.distance_sd_m,
            motion.speed_distance_covariance_m2ps,
            motion.acceleration_mps2,
        )
    )
    rate = gained / _speed_at(motion, time_s)
    return float(np.sqrt(max(speed_sd**2 + (rate * distance_sd) ** 2 - 2.0 * rate * both, 0.0)))


def _crosses_later_s(motion: GroundSpeed, speed_mps: float, time_s: float, error_mps: FloatArray) -> float:
    """By how much a speed is reached later if the car is slower by an error [s].

    From where the trace itself reaches the speed less and plus the error: in a shift, where the car hardly gains, a
    slope would take the wait for the next gear for ever.
    """
    error = float(np.interp(time_s, motion.time_s, error_mps))
    before, after = time_at_speed(motion, speed_mps - error), time_at_speed(motion, speed_mps + error)
    if before is None or after is None:
        slope = max(float(np.interp(time_s, motion.time_s, motion.acceleration_mps2)), LEAST_GAIN_MPS2)
        return error / slope
    return 0.5 * (after - before)
