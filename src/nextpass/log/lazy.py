"""Channels that are made when they are first asked for.

A log of 150 columns is opened for a few of them: the conversion of a column, and the search for its true samples, wait
until somebody wants it. What comes out is the same as if it had been made at once.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
import polars as pl

from nextpass.log.channel import Channel, FloatArray
from nextpass.log.evidence import Conversion
from nextpass.log.rate import FEWEST_CHANGES, held_period_rows, true_samples
from nextpass.log.read import RawTable

# Rows that are enough to see whether a channel is held; what moves nowhere in them is looked at whole.
PERIOD_ROWS = 6000


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """How to make one channel from the raw log."""

    name: str
    source: str
    table: RawTable
    position: int
    conversion: Conversion
    is_step: bool

    def readings(self) -> FloatArray:
        """The column as it was logged, row by row; nan where blank."""
        return _floats(self.table.frame.to_series(self.position))

    def period_rows(self) -> float:
        """Rows from one true sample to the next, seen in a stretch of them: 1 where every row is a sample."""
        if self.is_step:
            return 1.0
        series = self.table.frame.to_series(self.position)
        start = max(0, (series.len() - PERIOD_ROWS) // 2)
        read = _floats(series.slice(start, PERIOD_ROWS))
        read = read[np.isfinite(read)]
        if series.len() > PERIOD_ROWS and np.count_nonzero(np.diff(read)) < FEWEST_CHANGES:
            read = self.readings()
            read = read[np.isfinite(read)]
        return held_period_rows(read)

    def true_rate_hz(self) -> float:
        """Median rate of the true samples [Hz]; 0 where there are fewer than two."""
        time_s = self.table.time_s
        series = self.table.frame.to_series(self.position)
        if series.null_count() or series.is_nan().any():
            time_s = time_s[np.isfinite(_floats(series))]
        return float(1.0 / np.median(np.diff(time_s))) / self.period_rows() if time_s.size > 1 else 0.0


class LazyChannels(Mapping[str, Channel]):
    """Channels by name, each made at its first use."""

    __slots__ = ("_made", "_recipes")

    def __init__(self, recipes: Mapping[str, Recipe]) -> None:
        self._recipes = dict(recipes)
        self._made: dict[str, Channel] = {}

    def __getitem__(self, name: str) -> Channel:
        if name not in self._made:
            self._made[name] = make_channel(self._recipes[name])
        return self._made[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._recipes)

    def __len__(self) -> int:
        return len(self._recipes)

    def __contains__(self, name: object) -> bool:
        return name in self._recipes


def _floats(series: pl.Series) -> FloatArray:
    return series.cast(pl.Float64).fill_null(np.nan).to_numpy()


def make_channel(recipe: Recipe) -> Channel:
    """The channel of a recipe: true samples only, in its canonical unit."""
    read = recipe.readings()
    time_s = recipe.table.time_s
    is_read = np.isfinite(read)
    if not is_read.all():
        # Blank cells of a sparse column are no samples.
        read, time_s = read[is_read], time_s[is_read]
    period = recipe.period_rows()
    if period > 1.0:
        rows = true_samples(read, period)
        read, time_s = read[rows], time_s[rows]
    return Channel(
        name=recipe.name,
        time_s=time_s,
        values=recipe.conversion.apply(read),
        source=recipe.source,
        is_step=recipe.is_step,
    )
