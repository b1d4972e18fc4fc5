"""A column of a file with what its values show at a glance: what the matching works from."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import polars as pl

from nextpass.log.channel import FloatArray
from nextpass.log.names import Header, read_header
from nextpass.log.read import RawColumn, RawLog, RawTable
from nextpass.log.vocabulary import vocabulary

# Rows that are enough to tell one unit from another; every further row would say the same again.
SAMPLE_ROWS = 4000
# Fewer canonical names than this may be there by chance.
FEWEST_OWN = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column of numbers.

    Parameters
    ----------
    name : str
        As the file has it; made unique by a number where the file repeats it.
    raw : RawColumn
    header : Header
    table, position : int
        Where its values lie in the raw log.
    low, high : float
        Least and greatest reading; nan where the column is empty.
    time_s, values : ndarray, shape (m,)
        Every k-th row with a reading.
    is_own : bool
        From a file that nextpass wrote: a canonical name means the canonical unit.
    """

    name: str
    raw: RawColumn
    header: Header
    table: int
    position: int
    low: float
    high: float
    time_s: FloatArray
    values: FloatArray
    is_own: bool = False

    @property
    def is_empty(self) -> bool:
        """Whether it holds no reading at all."""
        return self.values.size == 0

    def at(self, time_s: FloatArray) -> FloatArray:
        """Readings at other times, the last before each; nan before the first."""
        if self.is_empty:
            return np.full(time_s.shape, np.nan)
        index = np.searchsorted(self.time_s, time_s, side="right") - 1
        return np.where(index >= 0, self.values[np.maximum(index, 0)], np.nan)


def columns_of(raw: RawLog) -> tuple[Column, ...]:
    """Every column of a raw log."""
    names = _unique([column.name for table in raw.tables for column in table.columns])
    columns: list[Column] = []
    for number, table in enumerate(raw.tables):
        if table.columns:
            columns.extend(_table_columns(table, number, names[len(columns) :]))
    return tuple(replace(column, is_own=True) for column in columns) if _are_own(names) else tuple(columns)


def _are_own(names: Sequence[str]) -> bool:
    """Whether nextpass wrote the columns: canonical names throughout, all others with their unit in square brackets."""
    canonical = sum(name in vocabulary().channels for name in names)
    return canonical >= FEWEST_OWN and all(name in vocabulary().channels or name.endswith("]") for name in names)


def _unique(names: Sequence[str]) -> list[str]:
    seen: dict[str, int] = {}
    unique: list[str] = []
    for name in names:
        seen[name] = seen.get(name, 0) + 1
        unique.append(name if seen[name] == 1 else f"{name} #{seen[name]}")
    return unique


def _table_columns(table: RawTable, number: int, names: Sequence[str]) -> list[Column]:
    frame = table.frame
    # One pass over the frame; polars leaves nan out of both.
    ends = frame.select(pl.all().min().name.prefix("low "), pl.all().max().name.prefix("high ")).row(0)
    lows, highs = ends[: frame.width], ends[frame.width :]
    step = max(1, frame.height // SAMPLE_ROWS)
    sample, sample_time = frame.gather_every(step), table.time_s[::step]
    columns: list[Column] = []
    for position, raw in enumerate(table.columns):
        values = sample.to_series(position).cast(pl.Float64).fill_null(np.nan).to_numpy()
        time_s = sample_time
        if not np.isfinite(values).any() and lows[position] is not None:
            # A sparse column that the stride misses: take the rows that it has.
            values = frame.to_series(position).cast(pl.Float64).fill_null(np.nan).to_numpy()
            time_s = table.time_s
        is_read = np.isfinite(values)
        columns.append(
            Column(
                name=names[position],
                raw=raw,
                header=read_header(raw.name, raw.unit),
                table=number,
                position=position,
                low=np.nan if lows[position] is None else float(lows[position]),
                high=np.nan if highs[position] is None else float(highs[position]),
                time_s=time_s[is_read],
                values=values[is_read],
            )
        )
    return columns
