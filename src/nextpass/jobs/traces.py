"""Windows of a pass's channels: what a screen can show of them, and the exact values under its cursor.

A line is thinned by minimum and maximum, so that no spike is lost; figures are always taken from every sample. The
axis is the time or the distance since the car began to move: two passes laid over each other meet at the launch.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from tsdownsample import MinMaxDownsampler

from nextpass.log import Channel
from nextpass.review import ReviewedPass

FloatArray = NDArray[np.float64]
Along = Literal["time", "distance"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TraceLine:
    """One channel in a window.

    Parameters
    ----------
    name : str
        Canonical, or the column's own.
    at : ndarray, shape (n,)
        Seconds or metres since the car began to move; one sample beyond each end, so that the line leaves the window.
    values : ndarray, shape (n,)
        In the channel's unit; nan in the middle of a stretch that the logger left out.
    lowest, highest, mean : float
        Of every sample in the window; nan where there is none.
    """

    name: str
    at: FloatArray
    values: FloatArray
    lowest: float
    highest: float
    mean: float


def whole_window(reviewed: ReviewedPass, along: Along = "time") -> tuple[float, float]:
    """Ends of the part that is worth looking at first: from just before the launch to the end of the run.

    Parameters
    ----------
    reviewed : ReviewedPass
        With its log.
    along : {"time", "distance"}
        The axis.

    Returns
    -------
    tuple of float
        Seconds or metres since the car began to move.
    """
    driven = [phase for phase in reviewed.review.phases if phase.kind in ("launch", "gear", "shift")]
    ground = reviewed.review.ground_speed
    if ground is None or not driven:
        ends = [float(channel.time_s[-1]) for channel in reviewed.log.channels.values() if channel.time_s.size]
        return (0.0, max(ends, default=1.0))
    end_s = max(phase.end_s for phase in driven)
    if along == "distance":
        return (0.0, float(np.interp(end_s, ground.time_s, ground.distance_m)))
    return (-1.0, end_s - ground.moved_s + 0.5)


def trace_window(
    reviewed: ReviewedPass, names: Sequence[str], start: float, end: float, points: int = 2000, along: Along = "time"
) -> tuple[TraceLine, ...]:
    """Channels of a pass between two places of the axis.

    Parameters
    ----------
    reviewed : ReviewedPass
        With its log.
    names : sequence of str
        Of channels; those that the log does not have are left out.
    start, end : float
        Seconds or metres since the car began to move.
    points : int
        About how many points to keep of each line.
    along : {"time", "distance"}
        The axis.

    Returns
    -------
    tuple of TraceLine
        In the order of `names`.
    """
    channels = [channel for name in names if (channel := channel_of(reviewed, name)) is not None]
    return tuple(_line(channel, _axis(reviewed, channel, along), start, end, points) for channel in channels)


def values_at(reviewed: ReviewedPass, names: Sequence[str], at: float, along: Along = "time") -> dict[str, float]:
    """Value of each channel at a place: its newest true sample there, never a value between two.

    Parameters
    ----------
    reviewed : ReviewedPass
        With its log.
    names : sequence of str
        Of channels; those that the log does not have are left out.
    at : float
        Seconds or metres since the car began to move.
    along : {"time", "distance"}
        The axis.

    Returns
    -------
    dict of str to float
        nan before the first sample.
    """
    found = {}
    for name in names:
        channel = channel_of(reviewed, name)
        if channel is None:
            continue
        place = int(np.searchsorted(_axis(reviewed, channel, along), at, side="right")) - 1
        found[name] = float(channel.values[place]) if place >= 0 else math.nan
    return found


def channel_of(reviewed: ReviewedPass, name: str) -> Channel | None:
    """Channel by its canonical name, or by the column's own where no canonical one was found for it.

    Parameters
    ----------
    reviewed : ReviewedPass
        With its log.
    name : str
        Either.

    Returns
    -------
    Channel or None
        None where the log has neither.
    """
    return reviewed.log.get(name) or reviewed.log.unmatched.get(name)


def place_of(reviewed: ReviewedPass, time_s: float, along: Along = "time") -> float:
    """Place on the axis of a time on the log's clock.

    Parameters
    ----------
    reviewed : ReviewedPass
        With its log.
    time_s : float
        On the log's clock [s].
    along : {"time", "distance"}
        The axis.

    Returns
    -------
    float
        Seconds or metres since the car began to move.
    """
    ground = reviewed.review.ground_speed
    if ground is None:
        return time_s
    if along == "time":
        return time_s - ground.moved_s
    return float(np.interp(time_s, ground.time_s, ground.distance_m))


def _axis(reviewed: ReviewedPass, channel: Channel, along: Along) -> FloatArray:
    ground = reviewed.review.ground_speed
    if ground is None:
        return channel.time_s
    if along == "time":
        return np.asarray(channel.time_s - ground.moved_s, dtype=np.float64)
    # Beyond the attempt the distance stands still; the axis must go on rising for a search to work.
    distance_m = np.maximum.accumulate(ground.distance_m)
    return np.asarray(np.interp(channel.time_s, ground.time_s, distance_m), dtype=np.float64)


def _line(channel: Channel, axis: FloatArray, start: float, end: float, points: int) -> TraceLine:
    first, last = (int(place) for place in np.searchsorted(axis, (start, end)))
    # One sample beyond each end, so that the line leaves the window instead of ending in it.
    shown = np.arange(max(first - 1, 0), min(last + 1, axis.size))
    shown = shown[np.isfinite(channel.values[shown])]
    at, values = _with_breaks(axis, channel, _thinned(channel, shown, points))
    inside = channel.values[first:last]
    inside = inside[np.isfinite(inside)]
    has_any = inside.size > 0
    return TraceLine(
        name=channel.name,
        at=at,
        values=values,
        lowest=float(inside.min()) if has_any else math.nan,
        highest=float(inside.max()) if has_any else math.nan,
        mean=float(inside.mean()) if has_any else math.nan,
    )


def _thinned(channel: Channel, places: NDArray[np.intp], points: int) -> NDArray[np.intp]:
    if places.size <= points:
        return places
    thinner = MinMaxDownsampler()  # type: ignore[no-untyped-call]
    kept = thinner.downsample(np.ascontiguousarray(channel.values[places]), n_out=points - points % 2)
    ends = np.array([0, places.size - 1], dtype=np.intp)
    return np.asarray(places[np.unique(np.concatenate([kept.astype(np.intp), ends]))], dtype=np.intp)


def _with_breaks(axis: FloatArray, channel: Channel, places: NDArray[np.intp]) -> tuple[FloatArray, FloatArray]:
    """Samples at `places`, with a nan in the middle of each stretch that the channel itself has no value for."""
    at, values = axis[places], channel.values[places]
    if places.size < 2:
        return at, values
    between_s = 0.5 * (channel.time_s[places[:-1]] + channel.time_s[places[1:]])
    breaks = np.flatnonzero(np.isnan(channel.at(between_s))) + 1
    middle = 0.5 * (at[breaks - 1] + at[breaks])
    return np.insert(at, breaks, middle), np.insert(values, breaks, np.nan)
