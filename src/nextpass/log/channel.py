"""A log as channels, each with its own clock.

Inside the program a channel has a canonical name and the one unit of its quantity; both come from `vocabulary.toml`.
Nothing is resampled: two channels of one log may have different clocks.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Channel:
    """One measured quantity over time.

    Parameters
    ----------
    name : str
        Canonical name, such as ``manifold_pressure_kpa``.
    time_s : ndarray, shape (n,)
        Seconds from the start of the log, rising, where the channel was truly sampled: held repeats are not samples.
    values : ndarray, shape (n,)
        In the canonical unit; nan where the logger wrote nothing.
    source : str
        The column that it came from, as the file names it.
    """

    name: str
    time_s: FloatArray
    values: FloatArray
    source: str

    @property
    def rate_hz(self) -> float:
        """Median rate of the true samples [Hz]; 0 where there are fewer than two."""
        if self.time_s.size < 2:
            return 0.0
        return float(1.0 / np.median(np.diff(self.time_s)))

    def at(self, time_s: FloatArray) -> FloatArray:
        """Values at other times, linear between samples; nan before the first and after the last."""
        finite = np.isfinite(self.values)
        if not finite.any():
            return np.full(np.shape(time_s), np.nan)
        return np.interp(time_s, self.time_s[finite], self.values[finite], left=np.nan, right=np.nan)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """An event that the driver or the logger set."""

    time_s: float
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Log:
    """The channels of one pass or one drive.

    Parameters
    ----------
    channels : Mapping[str, Channel]
        By canonical name.
    unmatched : Mapping[str, Channel]
        Columns that no canonical channel was found for, by their own name and in their own unit.
    marks : tuple of Mark
        In time order.
    quality : LogQuality
        What the log can and cannot show.
    """

    channels: Mapping[str, Channel]
    unmatched: Mapping[str, Channel]
    marks: tuple[Mark, ...]
    quality: "LogQuality"

    def __contains__(self, name: str) -> bool:
        return name in self.channels

    def __getitem__(self, name: str) -> Channel:
        return self.channels[name]

    def get(self, name: str) -> Channel | None:
        """The channel, or None where the log does not have it."""
        return self.channels.get(name)


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """A stretch without samples, longer than the clock's own jitter explains."""

    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LogQuality:
    """What was noticed about the log.

    Parameters
    ----------
    rate_hz : float
        Median rate of the rows [Hz].
    gaps : tuple of Gap
        Dropouts.
    remarks : tuple of str
        One plain sentence each: duplicate times, steps backwards, stuck or clipped channels, doubtful matches.
    """

    rate_hz: float
    gaps: tuple[Gap, ...]
    remarks: tuple[str, ...]
