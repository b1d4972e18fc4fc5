"""A log as channels, each with its own clock.

Inside the program a channel has a canonical name and the one unit of its quantity; both come from `vocabulary.toml`.
Nothing is resampled: two channels of one log may have different clocks.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

# An interval this many times longer than the channel's usual one, and longer than a fifth of a second, is a dropout:
# nothing is known inside it. Four allows for jitter and two samples lost.
GAP_INTERVALS = 4.0
SHORTEST_GAP_S = 0.2


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
    is_step : bool
        Jumps and holds, as a gear or a switch does: between samples it has the last value, not one in between.
    """

    name: str
    time_s: FloatArray
    values: FloatArray
    source: str
    is_step: bool = False

    @property
    def rate_hz(self) -> float:
        """Median rate of the true samples [Hz]; 0 where there are fewer than two."""
        if self.time_s.size < 2:
            return 0.0
        return float(1.0 / np.median(np.diff(self.time_s)))

    def at(self, time_s: FloatArray) -> FloatArray:
        """Values at other times: linear between samples, or held where the channel steps.

        Returns
        -------
        ndarray, same shape as `time_s`
            nan before the first sample, after the last, and inside a dropout.
        """
        finite = np.isfinite(self.values)
        wanted = np.asarray(time_s, dtype=np.float64)
        if not finite.any():
            return np.full(wanted.shape, np.nan)
        times, values = self.time_s[finite], self.values[finite]
        if self.is_step:
            before = np.searchsorted(times, wanted, side="right") - 1
            found = np.where((before >= 0) & (wanted <= times[-1]), values[np.maximum(before, 0)], np.nan)
        else:
            found = np.interp(wanted, times, values, left=np.nan, right=np.nan)
        if times.size < 3:
            return found
        intervals = np.diff(times)
        widest = float(intervals.max())
        # Asked before the median, which is dear on a long log: no dropout is shorter than this.
        if widest <= SHORTEST_GAP_S:
            return found
        longest = max(GAP_INTERVALS * float(np.median(intervals)), SHORTEST_GAP_S)
        if widest <= longest:
            return found
        after = np.clip(np.searchsorted(times, wanted, side="right"), 1, times.size - 1)
        is_inside = (intervals[after - 1] > longest) & (wanted > times[after - 1]) & (wanted < times[after])
        return np.where(is_inside, np.nan, found)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """An event that the driver or the logger set."""

    time_s: float
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """What one column of the file was taken for.

    Parameters
    ----------
    column : str
        As the file names it.
    channel : str or None
        Canonical name; None where the column means none. While there is a question it is the best guess, not taken.
    unit : str
        As taken: ``psi gauge``.
    confidence : float
        0..1.
    reason : str
        Why so sure and no surer.
    question : str
        What must be answered before the column is used; empty where nothing must.
    choices : tuple of str
        Answers that fit, as ``channel:unit``.
    remark : str
        What to know although the column is used.
    rate_hz : float
        Median rate of the true samples [Hz]; nan where not looked at.
    """

    column: str
    channel: str | None
    unit: str
    confidence: float
    reason: str
    question: str = ""
    choices: tuple[str, ...] = ()
    remark: str = ""
    rate_hz: float = float("nan")

    @property
    def is_taken(self) -> bool:
        """Whether the column is in the log under the channel's name."""
        return self.channel is not None and not self.question


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
    rates_hz : Mapping[str, float]
        Median rate of the true samples of each channel [Hz].
    jitter_s : float
        Robust standard deviation of the interval between rows [s]; nan where there are too few.
    """

    rate_hz: float
    gaps: tuple[Gap, ...]
    remarks: tuple[str, ...]
    rates_hz: Mapping[str, float] = field(default_factory=dict)
    jitter_s: float = float("nan")


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
    matches : tuple of Match
        One for each column, in the order of the file.
    header_key : str
        The same for every log with the same columns: what answers are kept under.
    """

    channels: Mapping[str, Channel]
    unmatched: Mapping[str, Channel]
    marks: tuple[Mark, ...]
    quality: LogQuality
    matches: tuple[Match, ...] = ()
    header_key: str = ""

    def __contains__(self, name: str) -> bool:
        return name in self.channels

    def __getitem__(self, name: str) -> Channel:
        return self.channels[name]

    def get(self, name: str) -> Channel | None:
        """The channel, or None where the log does not have it."""
        return self.channels.get(name)

    @property
    def questions(self) -> tuple[Match, ...]:
        """The columns that wait for an answer."""
        return tuple(match for match in self.matches if match.question)
