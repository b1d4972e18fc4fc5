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
from nextpass.log.read.decimals import MixedDecimals, decimal_of
from nextpass.log.read.long_form import long_form_columns, tables_from_long_form
from nextpass.log.read.raw import RawLog
from nextpass.log.read.second_table import first_table
from nextpass.log.read.source import Source
from nextpass.log.read.table_body import UnreadableBody, read_body
from nextpass.log.read.table_shape import NotATable, Shape, find_shape
from nextpass.log.read.text import decoded_head, utf8_content
from nextpass.words import phrase

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
        frame, remarks = first_table(_rows(utf8_content(source, encoding, head), shape), shape)
        return _raw_log(frame, shape, remarks, hints, book.of(shape.names))
    except MixedDecimals as error:
        line = shape.first_line + error.row + 1
        raise LogError(error.what, Where(file=source.path, line=line), error.remedy) from error
    except (NotATable, UnclearTime, UnreadableBody) as error:
        raise LogError(error.what, where, error.remedy) from error


def _rows(content: Path | bytes, shape: Shape) -> pl.DataFrame:
    if len(shape.names) > MOST_COLUMNS:
        raise NotATable(phrase("refusal.log.many_columns", count=len(shape.names), most=MOST_COLUMNS))
    frame = read_body(content, shape)
    if frame.height < 2:
        found = "one_row" if frame.height else "no_rows"
        raise NotATable(phrase(f"refusal.log.{found}"), phrase("refusal.log.export_again"))
    return frame


def _raw_log(
    frame: pl.DataFrame, shape: Shape, noticed: tuple[str, ...], hints: LogHints, answers: Mapping[str, Answer]
) -> RawLog:
    long_form = long_form_columns(shape)
    index = long_form.time if long_form is not None else time_index(shape.names, shape.units, answers)
    if index is None:
        seconds, remarks = row_seconds(frame.height, hints)
    else:
        name, cells = shape.names[index], frame[str(index)]
        seconds, remarks = column_seconds(
            cells,
            name,
            shape.units[index],
            hints=hints,
            answer=answers.get(name),
            preamble="\n".join(shape.preamble),
            decimal=_decimal(cells, shape),
        )
    remarks = (*noticed, *remarks)
    if long_form is not None:
        return replace(tables_from_long_form(frame, shape, long_form, seconds, remarks), header=shape.names)
    ordered = in_order(seconds)
    if ordered.time_s.size < 2:
        raise UnclearTime(phrase("refusal.log.few_times"))
    columns = [
        NamedCells(
            name=name or f"column {number + 1}", unit=shape.units[number], cells=cells, decimal=_decimal(cells, shape)
        )
        for number, (name, cells) in enumerate(zip(shape.names, frame, strict=True))
        if number != index and (name or cells.null_count() < frame.height)
    ]
    return replace(assembled(columns, ordered, remarks=remarks), header=shape.names)


def _decimal(cells: pl.Series, shape: Shape) -> str:
    return decimal_of(cells, shape.decimal) if cells.dtype == pl.String else shape.decimal
