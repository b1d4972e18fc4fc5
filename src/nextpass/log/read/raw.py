"""What a reader hands on: columns as the file has them, grouped by the clock that they share.

Nothing is renamed, converted or resampled here; a blank cell is nan.
"""

from dataclasses import dataclass

import polars as pl

from nextpass.log.channel import FloatArray, Mark


@dataclass(frozen=True, slots=True, kw_only=True)
class RawColumn:
    """A column's own name and unit, as written; `labels` are its text cells by the number that stands for them."""

    name: str
    unit: str = ""
    labels: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RawTable:
    """Columns on one clock.

    Parameters
    ----------
    time_s : ndarray, shape (n,)
        Seconds, rising.
    columns : tuple of RawColumn
        In the order of `frame`'s columns.
    frame : polars.DataFrame, n rows
        Numbers only; a missing sample is null or nan. The frame's own column names mean nothing.
    origin : str
        Group, message or sheet that the columns come from; empty where the file has only one.
    """

    time_s: FloatArray
    columns: tuple[RawColumn, ...]
    frame: pl.DataFrame
    origin: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RawLog:
    """A file as read.

    Parameters
    ----------
    tables : tuple of RawTable
        At least one.
    marks : tuple of Mark
        Events that the file records.
    remarks : tuple of str
        What the reader noticed: one sentence each.
    header : tuple of str
        All names in the order of the file, that of the times among them; empty where the tables have them all.
    """

    tables: tuple[RawTable, ...]
    marks: tuple[Mark, ...] = ()
    remarks: tuple[str, ...] = ()
    header: tuple[str, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """Names of all columns: what the header is known by."""
        return self.header or tuple(column.name for table in self.tables for column in table.columns)
