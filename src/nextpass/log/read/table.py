"""Text tables: any delimiter, decimal sign, encoding, preamble and units row, in columns or in the long form."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import polars as pl

from nextpass.errors import LogError, Where
from nextpass.log.answers import TIME, Answer
from nextpass.log.channel import FloatArray, Mark
from nextpass.log.clock import UnclearTime, is_sample_count, seconds_from_numbers, seconds_from_text, time_column
from nextpass.log.hints import LogHints
from nextpass.log.order import Ordered, in_order
from nextpass.log.read.cells import Cells, numbers_from_cells
from nextpass.log.read.long_form import long_form_columns, tables_from_long_form
from nextpass.log.read.mark_column import is_mark_column, marks_from_numbers, marks_from_text
from nextpass.log.read.raw import RawColumn, RawLog, RawTable
from nextpass.log.read.source import Source
from nextpass.log.read.table_body import UnreadableBody, read_body
from nextpass.log.read.table_shape import NotATable, Shape, find_shape
from nextpass.log.read.text import decoded_head, utf8_content
from nextpass.units import unit_of

MOST_COLUMNS = 4000
_RATE = re.compile(r"(?:rate|freq\w*|abtastrate|frequenz)\D{0,20}?(\d+(?:[.,]\d+)?)\s*hz", re.IGNORECASE)


def read_table(source: Source, hints: LogHints, answers: Mapping[str, Answer]) -> RawLog:
    """A text table as columns on their clock.

    Raises
    ------
    LogError
        The file is no text, no table, or has no times that can be told.
    """
    where = Where(file=source.path)
    head, encoding = decoded_head(source)
    try:
        shape = find_shape(head)
        if len(shape.names) > MOST_COLUMNS:
            raise LogError(f"it has {len(shape.names)} columns; more than {MOST_COLUMNS} are not read", where)
        frame, _ = read_body(utf8_content(source, encoding, head), shape)
        return _raw_log(_without_headers(frame, shape), shape, hints, answers)
    except (NotATable, UnclearTime) as error:
        raise LogError(str(error), where, error.remedy) from error
    except UnreadableBody as error:
        raise LogError(str(error), where) from error


def _without_headers(frame: pl.DataFrame, shape: Shape) -> pl.DataFrame:
    """The rows without those that repeat the header, as loggers write where a recording goes on."""
    text = [name for name, kind in frame.schema.items() if kind == pl.String and shape.names[int(name)]]
    if not text:
        return frame
    repeats = pl.all_horizontal(pl.col(name).str.strip_chars() == shape.names[int(name)] for name in text)
    return frame.filter(~repeats.fill_null(value=False))


def _raw_log(frame: pl.DataFrame, shape: Shape, hints: LogHints, answers: Mapping[str, Answer]) -> RawLog:
    if frame.height == 0:
        raise NotATable("there are no rows of values under the header", "export the log again")
    long_form = long_form_columns(shape)
    if long_form is not None:
        clock = _clock(frame, shape, hints, answers, long_form.time)
        return tables_from_long_form(frame, shape, long_form, clock.seconds, clock.remarks)
    clock = _clock(frame, shape, hints, answers, _time_index(shape, answers))
    ordered = in_order(clock.seconds)
    if ordered.time_s.size < 2:
        raise UnclearTime("fewer than two rows have a time")
    if ordered.rows is not None:
        frame = frame[ordered.rows]
    return _columns_apart(frame, shape, clock, ordered)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Clock:
    index: int | None
    seconds: FloatArray
    remarks: tuple[str, ...]


def _time_index(shape: Shape, answers: Mapping[str, Answer]) -> int | None:
    for index, name in enumerate(shape.names):
        if name in answers and answers[name].channel == TIME:
            return index
    free = [name if name not in answers else "" for name in shape.names]
    return time_column(free, shape.units)


def _clock(
    frame: pl.DataFrame, shape: Shape, hints: LogHints, answers: Mapping[str, Answer], index: int | None
) -> _Clock:
    if index is None:
        rate_hz = hints.sample_rate_hz
        if rate_hz is None:
            raise UnclearTime(
                "no column holds the times",
                'name it with --as "COLUMN=time:UNIT", or give the rate of the rows with --rate-hz',
            )
        return _Clock(
            index=None, seconds=np.arange(frame.height) / rate_hz, remarks=("times counted from the rate given",)
        )
    name, unit = shape.names[index], shape.units[index]
    answer = answers.get(name)
    cells = frame[str(index)]
    if is_sample_count(name) and (answer is None or not answer.unit):
        return _counted(cells, shape, hints, index)
    numbers = cells if cells.dtype == pl.Float64 else numbers_from_cells(cells, shape.decimal).numbers
    values = numbers.fill_null(np.nan).to_numpy()
    if np.isfinite(values).sum() < 0.5 * values.size and cells.dtype == pl.String:
        return _Clock(index=index, seconds=seconds_from_text(cells), remarks=())
    if answer is not None and answer.unit:
        return _Clock(index=index, seconds=unit_of(answer.unit, "time").to_canonical(values), remarks=())
    seconds, remark = seconds_from_numbers(values, name, unit)
    return _Clock(index=index, seconds=seconds, remarks=(remark,) if remark else ())


def _counted(cells: pl.Series, shape: Shape, hints: LogHints, index: int) -> _Clock:
    stated = _RATE.search("\n".join(shape.preamble))
    rate_hz = hints.sample_rate_hz or (float(stated[1].replace(",", ".")) if stated else None)
    if not rate_hz:
        raise UnclearTime(
            f"{shape.names[index]!r} counts samples, and their rate is not known",
            "give the rate of the rows with --rate-hz",
        )
    numbers = cells if cells.dtype == pl.Float64 else numbers_from_cells(cells, shape.decimal).numbers
    remark = f"times counted from {shape.names[index]!r} at {rate_hz:g} Hz"
    return _Clock(index=index, seconds=numbers.fill_null(np.nan).to_numpy() / rate_hz, remarks=(remark,))


def _columns_apart(frame: pl.DataFrame, shape: Shape, clock: _Clock, ordered: Ordered) -> RawLog:
    """Numbers, marks and text, each where it belongs."""
    columns: list[RawColumn] = []
    kept: list[pl.Series] = []
    marks: list[Mark] = []
    remarks = [*clock.remarks, *ordered.remarks]
    for index, name in enumerate(shape.names):
        cells = frame[str(index)]
        if index == clock.index or (not name and cells.null_count() == cells.len()):
            continue
        label = name or f"column {index + 1}"
        if cells.dtype == pl.Float64:
            read = Cells(numbers=cells, labels=(), unread=0)
        else:
            read = numbers_from_cells(cells, shape.decimal)
        is_text = read.unread > 0.5 * max(1, cells.len() - cells.null_count())
        if read.unread and not is_mark_column(label):
            remarks.append(_unread_remark(label, read.unread, is_text))
        if is_mark_column(label):
            marks.extend(
                marks_from_text(cells, ordered.time_s)
                if is_text
                else marks_from_numbers(label, read.numbers.fill_null(np.nan).to_numpy(), ordered.time_s)
            )
        elif not is_text:
            columns.append(RawColumn(name=label, unit=shape.units[index], labels=read.labels))
            kept.append(read.numbers.alias(str(index)))
    table = RawTable(time_s=ordered.time_s, columns=tuple(columns), frame=pl.DataFrame(kept))
    return RawLog(tables=(table,), marks=tuple(sorted(marks, key=lambda mark: mark.time_s)), remarks=tuple(remarks))


def _unread_remark(name: str, unread: int, is_text: bool) -> str:
    return (
        f"{name!r} holds text and was left out"
        if is_text
        else f"{unread} cells of {name!r} are no number and were left out"
    )
