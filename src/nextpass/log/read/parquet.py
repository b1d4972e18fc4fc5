"""Parquet and Arrow files: columns of numbers, one of which holds the times."""

import json

import polars as pl
import pyarrow as pa
import pyarrow.ipc
import pyarrow.parquet

from nextpass.errors import LogError, Where
from nextpass.log.answers import AnswerBook
from nextpass.log.channel import Mark
from nextpass.log.clock import UnclearTime
from nextpass.log.hints import LogHints
from nextpass.log.order import in_order
from nextpass.log.read.assemble import NamedCells, assembled
from nextpass.log.read.clock_column import column_seconds, row_seconds, time_index
from nextpass.log.read.raw import RawLog
from nextpass.log.read.source import LARGEST_RATIO, LARGEST_UNPACKED_BYTES, SMALL_BYTES, Source
from nextpass.log.unread import Unread
from nextpass.words import phrase

PARQUET_MAGIC = b"PAR1"
ARROW_MAGIC = b"ARROW1"
# Key of a field's metadata under which its unit stands.
UNIT_KEY = b"unit"
# Key of the file's metadata under which its marks stand, as JSON: [[seconds, text], ...].
MARKS_KEY = b"marks"


def read_parquet(source: Source, hints: LogHints, book: AnswerBook) -> RawLog:
    """The columns of a Parquet or Arrow file.

    Raises
    ------
    LogError
        The file is damaged, too large, or has no times.
    """
    where = Where(file=source.path)
    try:
        table = _load(source)
        return _raw_log(table, hints, book)
    except (pa.ArrowException, OSError, ValueError, KeyError, IndexError, MemoryError, OverflowError) as error:
        if isinstance(error, UnclearTime):
            raise LogError(error.what, where, error.remedy) from error
        said = str(error).splitlines()[0] if str(error) else type(error).__name__
        what = phrase("refusal.log.arrow", why=error.what if isinstance(error, Unread) else said)
        raise LogError(what, where, phrase("refusal.log.export_it_again")) from error


def _load(source: Source) -> pa.Table:
    buffer = pa.py_buffer(source.read())
    if source.head.startswith(PARQUET_MAGIC):
        with pyarrow.parquet.ParquetFile(buffer) as file:
            groups = [file.metadata.row_group(index) for index in range(file.metadata.num_row_groups)]
            _check_size(sum(group.total_byte_size for group in groups), buffer.size)
            _check_size(file.metadata.num_rows * max(1, file.metadata.num_columns), buffer.size)
            return file.read()
    with pyarrow.ipc.open_file(buffer) as arrow:
        return arrow.read_all()


def _check_size(unpacked_bytes: int, packed_bytes: int) -> None:
    if unpacked_bytes < 0 or unpacked_bytes > LARGEST_UNPACKED_BYTES:
        raise Unread(phrase("refusal.log.announces", megabytes=unpacked_bytes >> 20))
    if unpacked_bytes > SMALL_BYTES and unpacked_bytes > LARGEST_RATIO * max(1, packed_bytes):
        raise Unread(
            phrase("refusal.log.announces_in", megabytes=unpacked_bytes >> 20, packed=f"{packed_bytes / 1e6:.3g}")
        )


def _raw_log(table: pa.Table, hints: LogHints, book: AnswerBook) -> RawLog:
    units = [(field.metadata or {}).get(UNIT_KEY, b"").decode("utf-8", "replace") for field in table.schema]
    names = [str(name) for name in table.column_names]
    answers = book.of(names)
    index = time_index(names, units, answers)
    series = {number: _series(table.column(number)) for number in range(table.num_columns)}
    if index is None or series[index] is None:
        seconds, remarks = row_seconds(table.num_rows, hints)
    else:
        clock = series[index]
        assert clock is not None
        seconds, remarks = column_seconds(
            clock, names[index], units[index], hints=hints, answer=answers.get(names[index])
        )
    ordered = in_order(seconds)
    if ordered.time_s.size < 2:
        raise UnclearTime(phrase("refusal.log.few_times"))
    columns = [
        NamedCells(name=names[number], unit=units[number], cells=cells)
        for number, cells in series.items()
        if number != index and cells is not None
    ]
    raw = assembled(columns, ordered, remarks=remarks)
    return RawLog(tables=raw.tables, marks=(*raw.marks, *_kept_marks(table)), remarks=raw.remarks, header=tuple(names))


def _series(column: pa.ChunkedArray) -> pl.Series | None:
    """A column of numbers, text or times; None for lists and structures, which no channel is."""
    kind = column.type
    if pa.types.is_dictionary(kind):
        column, kind = column.cast(kind.value_type), kind.value_type
    if (
        pa.types.is_boolean(kind)
        or pa.types.is_integer(kind)
        or pa.types.is_floating(kind)
        or pa.types.is_decimal(kind)
    ):
        return pl.Series(column.cast(pa.float64(), safe=False))
    if pa.types.is_string(kind) or pa.types.is_large_string(kind):
        return pl.Series(column.cast(pa.large_string()))
    if pa.types.is_timestamp(kind) or pa.types.is_duration(kind) or pa.types.is_time(kind):
        return pl.Series(column)
    return None


def _kept_marks(table: pa.Table) -> tuple[Mark, ...]:
    kept = (table.schema.metadata or {}).get(MARKS_KEY)
    return () if kept is None else tuple(Mark(time_s=float(at), text=str(text)) for at, text in json.loads(kept))
