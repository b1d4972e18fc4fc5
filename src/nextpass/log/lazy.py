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
from nextpass.log.rate import held_period_rows, true_samples
from nextpass.log.read import RawTable


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """How to make one channel from the raw log."""

    name: str
    source: str
    table: RawTable
    position: int
    conversion: Conversion
    is_step: bool


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


def readings(series: pl.Series) -> FloatArray:
    """A column of a frame as floats; nan where blank."""
    return series.cast(pl.Float64).fill_null(np.nan).to_numpy()


def make_channel(recipe: Recipe) -> Channel:
    """The channel of a recipe: true samples only, in its canonical unit."""
    read = readings(recipe.table.frame.to_series(recipe.position))
    time_s = recipe.table.time_s
    is_read = np.isfinite(read)
    if not is_read.all():
        # Blank cells of a sparse column are no samples.
        read, time_s = read[is_read], time_s[is_read]
    if not recipe.is_step:
        period = held_period_rows(read)
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
