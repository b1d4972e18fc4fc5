"""The last step of every reader of columns: numbers, marks and text put where each belongs."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import polars as pl

from nextpass.log.channel import FloatArray, Mark
from nextpass.log.order import Ordered
from nextpass.log.read.cells import Cells, numbers_from_cells
from nextpass.log.read.mark_column import is_mark_column, marks_from_numbers, marks_from_text
from nextpass.log.read.raw import RawColumn, RawLog, RawTable
from nextpass.words import phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedCells:
    """A column as a file has it: numbers, or text that may stand for numbers with the decimal sign that is given."""

    name: str
    unit: str
    cells: pl.Series
    decimal: str = "."


def assembled(
    columns: Iterable[NamedCells],
    ordered: Ordered,
    *,
    origin: str = "",
    remarks: tuple[str, ...] = (),
) -> RawLog:
    """One table of the columns, its marks and what was noticed.

    Parameters
    ----------
    columns : iterable of NamedCells, each n cells
        Without the column of times; numbers as 64-bit floats.
    ordered : Ordered
        Times of the rows, and which of the n rows they belong to.
    origin : str
        Group or message that the columns come from.
    remarks : tuple of str
        What was noticed before; goes first.
    """
    numbers: list[tuple[RawColumn, pl.Series]] = []
    marks: list[Mark] = []
    noticed = [*remarks, *ordered.remarks]
    for column in columns:
        cells = column.cells if ordered.rows is None else column.cells[ordered.rows]
        read = (
            numbers_from_cells(cells, column.decimal)
            if cells.dtype == pl.String
            else Cells(numbers=cells, labels=(), unread=0)
        )
        is_text = read.unread > 0.5 * max(1, cells.len() - cells.null_count())
        if is_mark_column(column.name):
            marks.extend(_marks(column.name, cells, read, is_text, ordered.time_s))
            continue
        if read.unread:
            noticed.append(_unread_remark(column.name, read.unread, is_text))
        if not is_text:
            raw = RawColumn(name=column.name, unit=column.unit, labels=read.labels)
            numbers.append((raw, read.numbers.alias(str(len(numbers)))))
    table = RawTable(
        time_s=ordered.time_s,
        columns=tuple(raw for raw, _ in numbers),
        frame=pl.DataFrame([series for _, series in numbers]),
        origin=origin,
    )
    return RawLog(tables=(table,), marks=tuple(sorted(marks, key=lambda mark: mark.time_s)), remarks=tuple(noticed))


def joined(logs: Iterable[RawLog]) -> RawLog:
    """The tables of several raw logs of one clock as one; tables without columns are dropped."""
    logs = tuple(logs)
    return RawLog(
        tables=tuple(table for log in logs for table in log.tables if table.columns),
        marks=tuple(sorted((mark for log in logs for mark in log.marks), key=lambda mark: mark.time_s)),
        remarks=tuple(remark for log in logs for remark in log.remarks),
    )


def _marks(name: str, cells: pl.Series, read: Cells, is_text: bool, time_s: FloatArray) -> tuple[Mark, ...]:
    if is_text:
        return marks_from_text(cells, time_s)
    return marks_from_numbers(name, read.numbers.fill_null(np.nan).to_numpy(), time_s)


def _unread_remark(name: str, unread: int, is_text: bool) -> str:
    return phrase("log.cells.text", column=name) if is_text else phrase("log.cells.unread", column=name, cells=unread)
