"""Each try in a log: where the car left from rest, or was opened up while rolling, and how long the try lasted.

A light pass over one coarse speed, the slowest of what the wheels show, so that a burnout on one axle does not pass
for a moving car. Only the stretches found here are smoothed. A try is a stretch of full throttle that gains speed;
where the log has neither pedal nor throttle, a start from rest that pulls as hard as a try does.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nextpass.log import Channel, Log

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

WHEELS = ("wheel_speed_fl_mps", "wheel_speed_fr_mps", "wheel_speed_rl_mps", "wheel_speed_rr_mps")
GRID_S = 0.04
# A speed above this does not end in a dropout.
ON_THE_WAY_MPS = 3.0
# Below this a wheel sensor or a receiver may as well read a car at rest.
REST_MPS = 0.6
# A try gains at least this speed; less is staging or a blip.
GAIN_MPS = 5.0
# Full throttle, and the gap in it that a shift may leave.
FULL = 0.85
GAP_S = 1.0
# Without a throttle: a start that pulls harder than daily driving up to `HARD_UNTIL_MPS`.
HARD_MPS2 = 2.5
HARD_UNTIL_MPS = 10.0
# Time at rest before, and after the lift, that is kept with a try.
BEFORE_S = 12.0
AFTER_S = 15.0
# Brakes end the stretch once the strip is behind: the nose dives and the wheels slip the other way.
BRAKING_MPS2 = -2.0
BRAKING_OVER_S = 0.5
STRIP_M = 430.0
# The lift itself lets the wheels drop back by their slip within this.
LIFT_SETTLES_S = 1.0
# Channels that change from row to row in a car that runs.
MOVING = (
    *WHEELS,
    "engine_rpm",
    "longitudinal_acceleration_mps2",
    "manifold_pressure_kpa",
    "gps_speed_mps",
    "vehicle_speed_mps",
)
# Speed zero for less than this is a dropout of the sensor, not a stop.
DROPOUT_S = 0.4
# Rows are missing where the next one is this many intervals away.
ROWS_LOST = 4.0
# A car that is opened up within this of leaving rest started the try from rest.
OPENED_WITHIN_S = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Attempt:
    """One try.

    Parameters
    ----------
    start_s : float
        Beginning of the stretch to look at: the car at rest, or the opening of the throttle.
    leaves_s : float
        Last time at which the coarse speed still shows the car at rest, or `start_s` of a rolling try [s].
    lift_s : float
        End of the pull.
    end_s : float
        End of the stretch: the coast-down after the lift is part of it.
    from_rest : bool
        Whether the log shows the car at rest before the try.
    distance_m, peak_mps : float
        Coarse, to tell the tries of a log apart.
    """

    start_s: float
    leaves_s: float
    lift_s: float
    end_s: float
    from_rest: bool
    distance_m: float
    peak_mps: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Coarse:
    """Coarse speed over the whole log; `is_written` where the log has rows at all, whatever a single sensor does."""

    time_s: FloatArray
    speed_mps: FloatArray
    is_written: BoolArray


def find_attempts(log: Log) -> tuple[Attempt, ...]:
    """Tries of a log, in time order.

    Parameters
    ----------
    log : Log

    Returns
    -------
    tuple of Attempt
        Empty where nothing in the log tells speed, or no stretch is a try.
    """
    coarse = _coarse_speed(log)
    if coarse is None or coarse.time_s.size < 3:
        return ()
    moves = _stretches(coarse.time_s, coarse.speed_mps > REST_MPS, DROPOUT_S)
    is_full = _full_throttle(log, coarse.time_s)
    if is_full is None:
        return tuple(_from_move(coarse, first, last) for first, last in moves if _is_hard_start(coarse, first, last))
    pulls = _stretches(coarse.time_s, is_full, GAP_S)
    found = [_from_pull(coarse, moves, first, last) for first, last in pulls]
    return tuple(attempt for attempt in found if attempt is not None)


def _coarse_speed(log: Log) -> _Coarse | None:
    """Speed good enough to find the tries: wheels, else GPS or the car's own, else the accelerometer."""
    channels = [log[name] for name in WHEELS if name in log]
    channels = channels or [log[name] for name in ("gps_speed_mps", "vehicle_speed_mps") if name in log]
    if channels:
        time_s = np.arange(channels[0].time_s[0], channels[0].time_s[-1], GRID_S)
        speeds = np.sort([_filled(c, time_s) for c in channels], axis=0)
        # The slowest but one, so that a single dead sensor stops no car.
        return _Coarse(
            time_s=time_s, speed_mps=speeds[1 if len(channels) > 2 else 0], is_written=_is_written(log, time_s)
        )
    accelerometer = log.get("longitudinal_acceleration_mps2")
    return None if accelerometer is None or accelerometer.time_s.size < 50 else _integrated(accelerometer)


def _filled(channel: Channel, time_s: FloatArray) -> FloatArray:
    """A speed on a grid: held through a dropout on the way, at rest where nothing is written before or after it."""
    values = channel.at(time_s)
    held, next_mps = _held(values), _held(values[::-1])[::-1]
    # A car that creeps before a dropout and drives after it has not stopped in it.
    is_moving = (held > ON_THE_WAY_MPS) | ((held > REST_MPS) & (next_mps > ON_THE_WAY_MPS))
    return np.where(np.isfinite(values) | is_moving, held, 0.0)


def _is_written(log: Log, time_s: FloatArray) -> BoolArray:
    """Where a grid lies near a row of the log, by the channels that change from row to row."""
    rows = [log[name].time_s[np.isfinite(log[name].values)] for name in MOVING if name in log]
    times = np.unique(np.concatenate(rows)) if rows else time_s
    if times.size < 2:
        return np.ones(time_s.size, dtype=np.bool_)
    before = np.clip(np.searchsorted(times, time_s, side="right") - 1, 0, times.size - 2)
    step_s = times[before + 1] - times[before]
    return np.asarray(step_s < max(DROPOUT_S, ROWS_LOST * float(np.median(np.diff(times)))))


def _held(values: FloatArray) -> FloatArray:
    """Values with the last known one put into each dropout, 0 before the first."""
    known = np.maximum.accumulate(np.where(np.isfinite(values), np.arange(values.size), 0))
    return np.asarray(np.nan_to_num(values[known]))


def _integrated(accelerometer: Channel) -> _Coarse:
    """Speed from the accelerometer alone, by its mean before the first hard pull: nothing later shows its zero."""
    time_s, values = accelerometer.time_s, np.nan_to_num(accelerometer.values)
    width = max(int(0.2 * accelerometer.rate_hz), 1)
    mean = np.convolve(values, np.ones(width) / width, mode="same")
    hard = np.flatnonzero(mean > np.median(mean[: 5 * width]) + HARD_MPS2)
    onset = max(int(hard[0]) - 2 * width, 1) if hard.size else values.size - 1
    change = np.where(np.arange(values.size) > onset, values - np.median(values[:onset]), 0.0)
    speed = np.cumsum(change * np.diff(time_s, prepend=time_s[0]))
    return _Coarse(time_s=time_s, speed_mps=np.maximum(speed, 0.0), is_written=np.ones(time_s.size, dtype=np.bool_))


def _full_throttle(log: Log, time_s: FloatArray) -> BoolArray | None:
    for name in ("pedal", "throttle"):
        channel = log.get(name)
        if channel is not None and np.isfinite(channel.values).any():
            return np.asarray(_held(channel.at(time_s)) >= FULL)
    return None


def _stretches(time_s: FloatArray, condition: BoolArray, gap_s: float) -> list[tuple[int, int]]:
    """First and last index of each stretch in which the condition holds, short gaps bridged."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], condition.astype(np.int8), [0]])))
    stretches: list[tuple[int, int]] = []
    for first, stop in edges.reshape(-1, 2):
        if stretches and time_s[first] - time_s[stretches[-1][1]] < gap_s:
            stretches[-1] = (stretches[-1][0], int(stop) - 1)
        else:
            stretches.append((int(first), int(stop) - 1))
    return stretches


def _from_pull(coarse: _Coarse, moves: list[tuple[int, int]], first: int, last: int) -> Attempt | None:
    """A try out of a stretch of full throttle, None where it gains too little speed."""
    speed = coarse.speed_mps
    if speed[first : last + 1].max() - speed[first] < GAIN_MPS:
        return None
    # The move that this pull drives: the last one that has begun by its end.
    move = max((m for m in moves if m[0] <= last), default=None)
    if move is None:
        return None
    begins, ends = move
    starts_at_rest = bool(begins > 0 and coarse.time_s[first] - coarse.time_s[begins] < OPENED_WITHIN_S)
    if starts_at_rest and not _is_seen_to_leave(coarse, begins):
        # Nobody knows when it left: what follows is looked at as a rolling try.
        starts_at_rest, first = False, max(first, begins)
    return _attempt(coarse, begins if starts_at_rest else first, last, ends, starts_at_rest)


def _is_seen_to_leave(coarse: _Coarse, begins: int) -> bool:
    """Whether the log was written while the car left rest, from the last sample at rest to the first that moves."""
    return bool(coarse.is_written[begins - 1 : begins + 1].all())


def _is_hard_start(coarse: _Coarse, first: int, last: int) -> bool:
    fast = np.flatnonzero(coarse.speed_mps[first : last + 1] > HARD_UNTIL_MPS)
    if first == 0 or fast.size == 0 or not _is_seen_to_leave(coarse, first):
        return False
    return bool(coarse.time_s[first + fast[0]] - coarse.time_s[first] < HARD_UNTIL_MPS / HARD_MPS2)


def _from_move(coarse: _Coarse, first: int, last: int) -> Attempt:
    peak = first + int(np.argmax(coarse.speed_mps[first : last + 1]))
    return _attempt(coarse, first, peak, last, from_rest=True)


def _attempt(coarse: _Coarse, first: int, lift: int, last: int, from_rest: bool) -> Attempt:
    """The try whose car moves from `first` on, is lifted at `lift` and stops at `last`."""
    time_s, speed = coarse.time_s, coarse.speed_mps
    start_s, leaves_s = float(time_s[first]), float(time_s[first])
    if from_rest:
        leaves_s = float(time_s[first - 1])
        moving = np.flatnonzero(speed[:first] > REST_MPS)
        stopped_s = float(time_s[moving[-1] + 1]) if moving.size else float(time_s[0])
        start_s = max(stopped_s, start_s - BEFORE_S)
    return Attempt(
        start_s=start_s,
        leaves_s=leaves_s,
        lift_s=float(time_s[lift]),
        end_s=_end(coarse, first, lift, last),
        from_rest=from_rest,
        distance_m=float(np.trapezoid(speed[first : lift + 1], time_s[first : lift + 1])),
        peak_mps=float(speed[first : lift + 1].max()),
    )


def _end(coarse: _Coarse, first: int, lift: int, last: int) -> float:
    time_s, speed = coarse.time_s, coarse.speed_mps
    end_s = min(float(time_s[max(last, lift)]), float(time_s[lift]) + AFTER_S)
    after = np.flatnonzero((time_s > time_s[lift] + LIFT_SETTLES_S) & (time_s <= end_s - BRAKING_OVER_S))
    change = np.interp(time_s[after] + BRAKING_OVER_S, time_s, speed) - speed[after]
    travelled = np.cumsum(speed[first:] * np.diff(time_s[first:], append=time_s[-1]))[after - first]
    braking = after[(change < BRAKING_MPS2 * BRAKING_OVER_S) & (travelled > STRIP_M)]
    return float(time_s[braking[0]]) if braking.size else end_s
