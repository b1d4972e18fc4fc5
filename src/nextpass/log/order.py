"""Rows put in the order of time: duplicates, steps backwards, jitter and dropouts, each said.

A logger that writes its times too coarsely gives several rows one time: they are spread over that step, which changes
no time by more than its own resolution. Single repeated times lose their later row. Small steps backwards are rows
out of order and are sorted; a large one is a clock that started over, a leap ahead by hours one that was set, and the
longest stretch is kept. A lone time far from its neighbours is a damaged row.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter

from nextpass.log.channel import FloatArray, Gap
from nextpass.words import phrase

# Times nearer to each other than this are one: they are rounded to it.
FINEST_S = 1e-9
# A first time up to this is the logger's own count from its start.
OWN_START_S = 1.0
# A step back of more than this is a clock that started over, not rows out of order.
RESTART_S = 1.0
# No drive rests this long in the middle: a clock that leaps so far was set, by a receiver's first fix for instance.
LEAP_S = 6.0 * 3600.0
# A damaged row is judged against as many rows around it.
AROUND = 5
# Share of repeated times from which on the clock is too coarse for the rows, instead of rows being written twice.
COARSE_SHARE = 0.2
# An interval is a dropout when it is this many medians long, and longer than the clock's own jitter explains.
GAP_MEDIANS = 2.5
GAP_JITTERS = 8.0
# Jitter worth saying, as a share of the median interval.
JITTER_SHARE = 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class Ordered:
    """Rising times and the rows that they belong to.

    Parameters
    ----------
    time_s : ndarray, shape (m,)
    rows : ndarray of int, shape (m,), or None
        Index into the file's rows; None where all of them stay in place.
    remarks : tuple of str
    """

    time_s: FloatArray
    rows: NDArray[np.intp] | None
    remarks: tuple[str, ...]


def in_order(time_s: FloatArray, *, keeps_start: bool = False) -> Ordered:
    """Times that rise strictly, counted from the start of the log.

    Parameters
    ----------
    time_s : ndarray, shape (n,)
        As read [s]; nan where the row has no time.
    keeps_start : bool
        The times already count from a start that other tables share.
    """
    if _is_sound(time_s):
        return Ordered(time_s=time_s if keeps_start else _from_start(time_s), rows=None, remarks=())
    remarks: list[str] = []
    rows = np.flatnonzero(np.isfinite(time_s))
    if rows.size < time_s.size:
        remarks.append(phrase("log.order.no_time", rows=time_s.size - rows.size))
    rows = _newest_last(time_s, rows, remarks)
    rows = _without_lone_times(time_s, rows, remarks)
    rows = _longest_stretch(time_s, rows, remarks)
    rows = _sorted(time_s, rows, remarks)
    rows = _without_leaps(time_s, rows, remarks)
    times = time_s[rows]
    times, rows = _without_duplicates(times, rows, remarks)
    times = times if keeps_start else _from_start(times)
    is_later = np.diff(times, prepend=-np.inf) > FINEST_S
    return Ordered(time_s=times[is_later], rows=rows[is_later], remarks=tuple(remarks))


def _is_sound(time_s: FloatArray) -> bool:
    """Whether the times rise in every row, by steps that a log may have."""
    if not (time_s.size and np.isfinite(time_s[0])):
        return False
    steps = np.diff(time_s)
    return bool(((steps > FINEST_S) & (steps < LEAP_S)).all())


def _from_start(times: FloatArray) -> FloatArray:
    """Times counted from the first row; a log that counts its own seconds from its start keeps them."""
    if times.size == 0 or 0.0 <= times[0] <= OWN_START_S:
        return times
    # To the nanosecond: what is left below is the rounding of the subtraction.
    return np.asarray(np.round(times - times[0], 9))


def _newest_last(time_s: FloatArray, rows: NDArray[np.intp], remarks: list[str]) -> NDArray[np.intp]:
    """The rows turned round where the file begins with the newest."""
    steps = np.diff(time_s[rows])
    if not (steps.size and (steps < 0).all()):
        return rows
    remarks.append(phrase("log.order.newest_first"))
    return rows[::-1]


def _without_lone_times(time_s: FloatArray, rows: NDArray[np.intp], remarks: list[str]) -> NDArray[np.intp]:
    """Rows without those whose time lies far from those of the rows before and after: a damaged number."""
    if rows.size < AROUND:
        return rows
    times = time_s[rows]
    # Rising times are their own median, however long a dropout among them is.
    is_lone = np.abs(times - median_filter(times, AROUND, mode="nearest")) > RESTART_S + 5.0 * _usual_step(times)
    if not is_lone.any():
        return rows
    remarks.append(phrase("log.order.lone_time", rows=int(is_lone.sum())))
    return rows[~is_lone]


def _usual_step(times: FloatArray) -> float:
    return float(np.median(np.abs(np.diff(times)))) if times.size > 1 else 0.0


def _longest_stretch(time_s: FloatArray, rows: NDArray[np.intp], remarks: list[str]) -> NDArray[np.intp]:
    steps = np.diff(time_s[rows])
    breaks = np.flatnonzero((steps < -RESTART_S) | (steps > LEAP_S)) + 1
    # A wrong time falls back as well, and rises again at once: it is no new start.
    breaks = breaks[[_stays_away(time_s[rows], int(at)) for at in breaks]] if breaks.size else breaks
    if breaks.size == 0:
        return rows
    longest = max(np.split(rows, breaks), key=len)
    said = "log.order.started_over" if (steps[breaks - 1] < 0).all() else "log.order.was_set"
    remarks.append(phrase(said, times=int(breaks.size), rows=int(longest.size)))
    return longest


def _stays_away(times: FloatArray, at: int) -> bool:
    """Whether the rows from here on lie apart from those before, not just the one of the step."""
    before, after = times[max(0, at - AROUND) : at], times[at : at + AROUND]
    change = float(np.median(after) - np.median(before))
    return change > LEAP_S or change < 0


def _sorted(time_s: FloatArray, rows: NDArray[np.intp], remarks: list[str]) -> NDArray[np.intp]:
    steps = np.diff(time_s[rows])
    backwards = int((steps < 0).sum())
    if backwards == 0:
        return rows
    remarks.append(phrase("log.order.backwards", times=backwards))
    return rows[np.argsort(time_s[rows], kind="stable")]


def _without_leaps(time_s: FloatArray, rows: NDArray[np.intp], remarks: list[str]) -> NDArray[np.intp]:
    """The most rows without a leap among them: several damaged times in a row, once sorted, lie far off at an end."""
    leaps = np.flatnonzero(np.diff(time_s[rows]) > LEAP_S) + 1
    if leaps.size == 0:
        return rows
    kept = max(np.split(rows, leaps), key=len)
    remarks.append(phrase("log.order.lone_time", rows=int(rows.size - kept.size)))
    return kept


def _without_duplicates(
    times: FloatArray, rows: NDArray[np.intp], remarks: list[str]
) -> tuple[FloatArray, NDArray[np.intp]]:
    is_repeat = np.diff(times, prepend=-np.inf) == 0
    repeats = int(is_repeat.sum())
    if repeats == 0:
        return times, rows
    if repeats < COARSE_SHARE * times.size:
        remarks.append(phrase("log.order.repeated", rows=repeats))
        return times[~is_repeat], rows[~is_repeat]
    distinct, first, counts = np.unique(times, return_index=True, return_counts=True)
    if distinct.size < 2:
        return times[:1], rows[:1]
    step = float(np.median(np.diff(distinct)))
    place = np.arange(times.size) - np.repeat(first, counts)
    room = np.minimum(np.append(np.diff(distinct), step), step)
    remarks.append(phrase("log.order.coarse", step=f"{step:g}"))
    return times + place / np.repeat(counts, counts) * np.repeat(room, counts), rows


def gaps_in(time_s: FloatArray) -> tuple[Gap, ...]:
    """Dropouts: intervals longer than the clock's own jitter explains."""
    if time_s.size < 4:
        return ()
    intervals = np.diff(time_s)
    median = float(np.median(intervals))
    jitter = float(np.median(np.abs(intervals - median)))
    is_gap = intervals > max(GAP_MEDIANS * median, median + GAP_JITTERS * jitter)
    return tuple(Gap(start_s=float(time_s[k]), end_s=float(time_s[k + 1])) for k in np.flatnonzero(is_gap))


def jitter_of(time_s: FloatArray) -> float:
    """Robust standard deviation of the interval between rows [s]; nan for fewer than four rows."""
    if time_s.size < 4:
        return float("nan")
    intervals = np.diff(time_s)
    # 1.4826 makes the median absolute deviation a standard deviation for a normal distribution.
    return 1.4826 * float(np.median(np.abs(intervals - np.median(intervals))))
