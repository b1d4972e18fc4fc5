"""Each try in a log: where the car left from rest and how long the try lasted.

A light pass over one coarse speed: the slowest of what the wheels and GPS show, so that a burnout or a spinning wheel
does not pass for a moving car. Only the stretches found here are smoothed.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nextpass.log import Channel, Log

FloatArray = NDArray[np.float64]

WHEELS = ("wheel_speed_fl_mps", "wheel_speed_fr_mps", "wheel_speed_rl_mps", "wheel_speed_rr_mps")
# Below this a wheel sensor or a receiver may as well read a car at rest.
REST_MPS = 0.6
# A move that stays below this is staging or driving back, not a try.
TRY_MPS = 7.0
# Time at rest and after the greatest speed that is kept with a try.
BEFORE_S = 12.0
AFTER_S = 15.0
# Speed zero for less than this is a dropout of the sensor, not a stop.
DROPOUT_S = 0.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Attempt:
    """One try.

    Parameters
    ----------
    start_s : float
        Beginning of the stretch to look at, the car at rest.
    leaves_s : float
        Last time at which the coarse speed still shows the car at rest [s].
    peak_s : float
        Time of the greatest coarse speed.
    end_s : float
        End of the stretch: the coast-down is part of it.
    distance_m, peak_mps : float
        Coarse, to tell the tries of a log apart.
    """

    start_s: float
    leaves_s: float
    peak_s: float
    end_s: float
    distance_m: float
    peak_mps: float


def coarse_speed(log: Log) -> tuple[FloatArray, FloatArray] | None:
    """Time [s] and speed [m/s] good enough to find the tries; None where nothing in the log tells speed."""
    wheels = [log[name] for name in WHEELS if name in log]
    others = [log[name] for name in ("gps_speed_mps", "vehicle_speed_mps") if name in log]
    channels = wheels or others
    if not channels:
        return None
    time_s = channels[0].time_s
    speeds = np.array([_filled(channel, time_s) for channel in channels])
    return time_s, np.asarray(np.min(speeds, axis=0))


def find_attempts(log: Log) -> tuple[Attempt, ...]:
    """Tries from rest, in the order of the log."""
    coarse = coarse_speed(log)
    if coarse is None:
        return ()
    time_s, speed_mps = coarse
    attempts = []
    for first, last in _moves(time_s, speed_mps > REST_MPS):
        peak = first + int(np.argmax(speed_mps[first : last + 1]))
        if first == 0 or speed_mps[peak] < TRY_MPS:
            continue
        rest_begins = _rest_before(time_s, speed_mps, first)
        attempts.append(
            Attempt(
                start_s=max(rest_begins, float(time_s[first]) - BEFORE_S),
                leaves_s=float(time_s[first - 1]),
                peak_s=float(time_s[peak]),
                end_s=min(float(time_s[last]), float(time_s[peak]) + AFTER_S),
                distance_m=float(np.trapezoid(speed_mps[first : peak + 1], time_s[first : peak + 1])),
                peak_mps=float(speed_mps[peak]),
            )
        )
    return tuple(attempts)


def _filled(channel: Channel, time_s: FloatArray) -> FloatArray:
    values = channel.at(time_s)
    return np.where(np.isfinite(values), values, 0.0)


def _moves(time_s: FloatArray, moving: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First and last index of each stretch that moves, short dropouts bridged."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], moving.astype(np.int8), [0]])))
    stretches: list[tuple[int, int]] = []
    for first, stop in edges.reshape(-1, 2):
        if stretches and time_s[first] - time_s[stretches[-1][1]] < DROPOUT_S:
            stretches[-1] = (stretches[-1][0], int(stop) - 1)
        else:
            stretches.append((int(first), int(stop) - 1))
    return stretches


def _rest_before(time_s: FloatArray, speed_mps: FloatArray, first: int) -> float:
    moving = np.flatnonzero(speed_mps[:first] > REST_MPS)
    return float(time_s[moving[-1] + 1]) if moving.size else float(time_s[0])
