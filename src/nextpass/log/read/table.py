"""Text tables: any delimiter, decimal sign, encoding, preamble and units row, in columns or in the long form."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import polars as pl

from nextpass.errors import LogError, Where
from nextpass.log.answers import Answer, AnswerBook
from nextpass.log.clock import UnclearTime
from nextpass.log.hints import LogHints
from nextpass.log.order import in_order
from nextpass.log.read.assemble import NamedCells, assembled
from nextpass.log.read.clock_column import column_seconds, row_seconds, time_index
from nextpass.log.read.long_form import long_form_columns, tables_from_long_form
from nextpass.log.read.raw import RawLog
from nextpass.log.read.source import Source
from nextpass.log.read.table_body import UnreadableBody, read_body
from nextpass.log.read.table_shape import NotATable, Shape, find_shape
from nextpass.log.read.text import decoded_head, utf8_content

MOST_COLUMNS = 4000


def read_table(source: Source, hints: LogHints, book: AnswerBook) -> RawLog:
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
        return _raw_log(_rows(utf8_content(source, encoding, head), shape), shape, hints, book.of(shape.names))
    except (NotATable, UnclearTime) as error:
        raise LogError(str(error), where, error.remedy) from error
    except UnreadableBody as error:
        raise LogError(str(error), where) from error


def _rows(content: Path | bytes, shape: Shape) -> pl.DataFrame:
    if len(shape.names) > MOST_COLUMNS:
        raise NotATable(f"it has {len(shape.names)} columns; more than {MOST_COLUMNS} are not read")
    frame = _without_headers(read_body(content, shape), shape)
    if frame.height == 0:
        raise NotATable("there are no rows of values under the header", "export the log again")
    return frame


def _without_headers(frame: pl.DataFrame, shape: Shape) -> pl.DataFrame:
    """The rows without those that repeat the header, as loggers write where a recording goes on."""
    text = [name for name, kind in frame.schema.items() if kind == pl.String and shape.names[int(name)]]
    if not text:
        return frame
    repeats = pl.all_horizontal(pl.col(name).str.strip_chars() == shape.names[int(name)] for name in text)
    return frame.filter(~repeats.fill_null(value=False))


def _raw_log(frame: pl.DataFrame, shape: Shape, hints: LogHints, answers: Mapping[str, Answer]) -> RawLog:
    long_form = long_form_columns(shape)
    index = long_form.time if long_form is not None else time_index(shape.names, shape.units, answers)
    if index is None:
        seconds, remarks = row_seconds(frame.height, hints)
    else:
        name = shape.names[index]
        seconds, remarks = column_seconds(
            frame[str(index)],
            name,
            shape.units[index],
            hints=hints,
            answer=answers.get(name),
            preamble="\n".join(shape.preamble),
            decimal=shape.decimal,
        )
    if long_form is not None:
        return replace(tables_from_long_form(frame, shape, long_form, seconds, remarks), header=shape.names)
    ordered = in_order(seconds)
    if ordered.time_s.size < 2:
        raise UnclearTime("fewer than two rows have a time")
    columns = [
        NamedCells(name=name or f"column {number + 1}", unit=shape.units[number], cells=frame[str(number)])
        for number, name in enumerate(shape.names)
        if number != index and (name or frame[str(number)].null_count() < frame.height)
    ]
    return replace(assembled(columns, ordered, decimal=shape.decimal, remarks=remarks), header=shape.names)
