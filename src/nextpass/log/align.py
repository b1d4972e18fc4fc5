"""By how much the clock of one log runs behind that of another of the same pass.

What both logs measured is compared as its rate of change, at every shift that leaves most of the shorter log inside the
longer one. The best shift is taken only when it stands alone: two attempts in one log look alike, and then nothing is
aligned. Around it a least-squares fit over the samples of the slower channel gives the offset and its scatter; to that
comes the time that a sample may have waited in either logger, which no correlation can see.

References
----------
Normalised cross-correlation and its refinement by Gauss-Newton: common practice. An even distribution over the interval
between samples has its width over the root of twelve as standard deviation (JCGM 100:2008, 4.3.7).
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np
from scipy.ndimage import uniform_filter1d
from scipy.signal import fftconvolve

from nextpass.errors import NotEnoughData
from nextpass.log.channel import Channel, FloatArray, Log
from nextpass.measure import Estimate
from nextpass.words import phrase

# Step of the grid on which shifts are tried [s]: finer than any log, coarse enough for an hour.
GRID_S = 0.02
# The change is taken over this time, or over three samples of the slower channel if that is longer.
SHORTEST_WINDOW_S = 0.3
# Share of the shorter log's change that must lie inside the longer one at a shift.
LEAST_SHARED = 0.6
# How well the two must agree, and by how much the best shift must beat every other.
LEAST_CORRELATION = 0.7
MOST_OF_RIVAL = 0.85
# Within this time beside the best shift lies the same peak, not another one.
PEAK_S = 1.5
SHORTEST_S = 3.0
# Measured alike in every car, the sharpest first; speeds may pair with one another.
_SHARPEST = ("engine_rpm",)
_SPEEDS = (
    "vehicle_speed_mps",
    "driven_wheel_speed_mps",
    "undriven_wheel_speed_mps",
    "gps_speed_mps",
    "wheel_speed_fl_mps",
    "wheel_speed_fr_mps",
    "wheel_speed_rl_mps",
    "wheel_speed_rr_mps",
)
_OTHERS = ("input_shaft_rpm", "longitudinal_acceleration_mps2", "manifold_pressure_kpa", "throttle", "pedal")


@dataclass(frozen=True, slots=True, kw_only=True)
class Alignment:
    """How two logs lie to each other.

    Parameters
    ----------
    offset_s : Estimate
        To be added to the second log's times [s].
    by : tuple of str
        Channel of the first and of the second log that it rests on.
    correlation : float
        Of their changes, at the offset.
    """

    offset_s: Estimate
    by: tuple[str, str]
    correlation: float


def align(first: Log, second: Log) -> Alignment:
    """Offset of the second log's clock.

    Raises
    ------
    NotEnoughData
        The logs share nothing that moves, or do not agree at just one offset.
    """
    reasons: list[str] = []
    for one, other in _pairs(first, second):
        found = _aligned(one, other)
        if isinstance(found, Alignment):
            return found
        reasons.append(found)
    raise NotEnoughData(
        phrase("refusal.log.not_aligned", why=reasons[0]) if reasons else phrase("refusal.log.nothing_shared"),
        remedy=phrase("refusal.log.give_offset"),
    )


def _pairs(first: Log, second: Log) -> Iterator[tuple[Channel, Channel]]:
    same = [[(name, name) for name in names] for names in (_SHARPEST, _OTHERS)]
    for one, other in [*same[0], *product(_SPEEDS, _SPEEDS), *same[1]]:
        if one in first and other in second:
            yield first[one], second[other]


def _aligned(first: Channel, second: Channel) -> Alignment | str:
    one, other = _finite(first), _finite(second)
    if min(one[0].size, other[0].size) < 10 or min(np.ptp(one[0]), np.ptp(other[0])) < SHORTEST_S:
        return phrase("refusal.log.too_short", name=second.name)
    window_s = max(SHORTEST_WINDOW_S, 3.0 * _interval(one[0]), 3.0 * _interval(other[0]))
    mine, theirs = _change(*one, window_s), _change(*other, window_s)
    if not (mine.any() and theirs.any()):
        return phrase("refusal.log.does_not_move", name=second.name)
    shifts, correlation = _correlations(mine, theirs)
    best = int(np.argmax(correlation))
    rival = float(np.max(correlation[np.abs(shifts - shifts[best]) > PEAK_S], initial=0.0))
    if correlation[best] < LEAST_CORRELATION:
        return phrase("refusal.log.agrees_nowhere", second=second.name, first=first.name, correlation=correlation[best])
    if rival > MOST_OF_RIVAL * correlation[best]:
        return phrase(
            "refusal.log.agrees_twice", second=second.name, first=first.name, correlation=correlation[best], rival=rival
        )
    start = one[0][0] - other[0][0] + float(shifts[best])
    offset, sd = _refined(one, other, start)
    waited = max(_interval(one[0]), _interval(other[0])) / np.sqrt(12.0)
    return Alignment(
        offset_s=Estimate.from_sd(offset, float(np.hypot(sd, waited))),
        by=(first.name, second.name),
        correlation=float(correlation[best]),
    )


def _finite(channel: Channel) -> tuple[FloatArray, FloatArray]:
    is_read = np.isfinite(channel.values)
    return channel.time_s[is_read], channel.values[is_read]


def _interval(time_s: FloatArray) -> float:
    return float(np.median(np.diff(time_s)))


def _change(time_s: FloatArray, values: FloatArray, window_s: float) -> FloatArray:
    """Rate of change on the grid, smoothed over the window; nothing where the log has a dropout."""
    grid = np.arange(time_s[0], time_s[-1], GRID_S)
    rows = max(1, round(window_s / GRID_S))
    smooth = uniform_filter1d(np.interp(grid, time_s, values), rows, mode="nearest")
    change = np.gradient(smooth, GRID_S)
    after = np.clip(np.searchsorted(time_s, grid), 1, time_s.size - 1)
    change[time_s[after] - time_s[after - 1] > 3.0 * window_s] = 0.0
    return np.asarray(change)


def _correlations(mine: FloatArray, theirs: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Shifts [s] of the second against the first, start to start, and the correlation at each."""
    together = fftconvolve(mine, theirs[::-1])
    my_energy = fftconvolve(mine**2, np.ones(theirs.size))
    their_energy = fftconvolve(np.ones(mine.size), theirs[::-1] ** 2)
    shifts = (np.arange(together.size, dtype=np.float64) - (theirs.size - 1)) * GRID_S
    # The log whose change lies less outside the other is the shorter one: most of it must be inside.
    shared = np.maximum(my_energy / np.sum(mine**2), their_energy / np.sum(theirs**2))
    norm = np.sqrt(np.maximum(my_energy, 0.0) * np.maximum(their_energy, 0.0))
    floor = 1e-6 * np.sqrt(np.sum(mine**2) * np.sum(theirs**2))
    correlation = np.where((shared > LEAST_SHARED) & (norm > floor), together / np.maximum(norm, floor), 0.0)
    return shifts, np.asarray(correlation, dtype=np.float64)


def _refined(
    one: tuple[FloatArray, FloatArray], other: tuple[FloatArray, FloatArray], offset: float
) -> tuple[float, float]:
    """Offset and its standard deviation by least squares, with gain and bias between the sensors fitted along."""
    # The faster log is interpolated at the samples of the slower one, which are as many as there truly are.
    is_first_faster = _interval(one[0]) <= _interval(other[0])
    fast, slow = (one, other) if is_first_faster else (other, one)
    sign = 1.0 if is_first_faster else -1.0
    step = max(_interval(fast[0]), 0.02)
    sd = float("nan")
    for _ in range(6):
        at = slow[0] + sign * offset
        inside = (at > fast[0][0] + step) & (at < fast[0][-1] - step)
        value = np.interp(at[inside], *fast)
        slope = (np.interp(at[inside] + step, *fast) - np.interp(at[inside] - step, *fast)) / (2.0 * step)
        design = np.column_stack([sign * slope, value, np.ones(value.size)])
        solution, *_ = np.linalg.lstsq(design, slow[1][inside], rcond=None)
        gain = float(solution[1])
        misfit = slow[1][inside] - design @ solution
        moved = float(np.clip(solution[0] / gain, -0.5, 0.5)) if abs(gain) > 1e-6 else 0.0
        # Variance of the shift: what is left over, against how steeply the channel moves.
        inverse = np.linalg.pinv(design.T @ design)
        sd = float(np.sqrt(inverse[0, 0] * np.sum(misfit**2) / max(value.size - 3, 1)) / max(abs(gain), 1e-6))
        offset += moved
        if abs(moved) < 1e-5:
            break
    return offset, sd
