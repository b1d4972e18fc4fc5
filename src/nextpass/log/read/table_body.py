"""The rows of a text table as a frame: with the types that the head shows, or as text where a cell does not fit."""

import io
import re
from collections.abc import Sequence
from pathlib import Path

import polars as pl
from polars.exceptions import PanicException, PolarsError

from nextpass.log.read.table_shape import BLANKS, Shape, is_plain_number, is_plain_row
from nextpass.log.unread import Unread


class UnreadableBody(Unread):
    """Not even as text do the rows make a table; says why."""


def read_body(content: Path | bytes, shape: Shape) -> pl.DataFrame:
    """Cells of the table.

    Returns
    -------
    DataFrame, columns "0", "1", ...
        Float where the head of the file shows plain numbers only, else text; all text where a cell does not fit.
    """
    types, blanks = _types(shape)
    # The typed reader panics at a lone quote where the file ends.
    if shape.delimiter != " " and not _ends_in_a_quote(content, shape.delimiter):
        try:
            return _read(content, shape, types, blanks)
        except (PolarsError, PanicException):
            pass
    return read_as_text(content, shape)


def _ends_in_a_quote(content: Path | bytes, delimiter: str) -> bool:
    if isinstance(content, bytes):
        tail = content[-2:]
    else:
        with content.open("rb") as file:
            file.seek(-2, 2)
            tail = file.read()
    return tail in {f'{delimiter}"'.encode(), b'\n"'}


def read_as_text(content: Path | bytes, shape: Shape) -> pl.DataFrame:
    """All cells as text.

    Raises
    ------
    UnreadableBody
        The rows do not make a table.
    """
    text_types: Sequence[type[pl.DataType]] = [pl.String] * len(shape.names)
    if shape.delimiter == " ":
        content = _with_tabs(content)
        shape = _tabbed(shape)
    try:
        return _read(content, shape, text_types, [])
    except PolarsError:
        pass
    try:
        # A quote that never closes swallows the rest of the file: take quotes as letters.
        return _read(content, shape, text_types, [], quote=None)
    except PolarsError as error:
        raise UnreadableBody(str(error).splitlines()[0]) from error


def _types(shape: Shape) -> tuple[list[type[pl.DataType]], list[str]]:
    """Type of each column, and the words for no value that stand among its numbers."""
    types: list[type[pl.DataType]] = []
    blanks: set[str] = set()
    odd_rows = [row for row in shape.rows if not is_plain_row(row, shape.decimal)]
    for column in range(len(shape.names)):
        cells = [row[column] for row in odd_rows if column < len(row) and row[column]]
        words = {cell for cell in cells if not is_plain_number(cell, shape.decimal)}
        if all(word.lower() in BLANKS for word in words):
            types.append(pl.Float64)
            blanks |= words
        else:
            types.append(pl.String)
    return types, sorted(blanks - {"", "nan", "NaN"})


def _read(
    content: Path | bytes,
    shape: Shape,
    types: Sequence[type[pl.DataType]],
    blanks: list[str],
    quote: str | None = '"',
) -> pl.DataFrame:
    return pl.read_csv(
        content if isinstance(content, Path) else io.BytesIO(content),
        has_header=False,
        skip_lines=shape.first_line,
        separator=shape.delimiter,
        decimal_comma=shape.decimal == "," and pl.Float64 in types,
        schema={str(index): kind for index, kind in enumerate(types)},
        null_values=blanks or None,
        quote_char=quote,
        truncate_ragged_lines=True,
        encoding="utf8-lossy",
    )


def _with_tabs(content: Path | bytes) -> bytes:
    text = content.read_bytes() if isinstance(content, Path) else content
    return re.sub(rb"[ \t]+", b"\t", re.sub(rb"(?m)^[ \t]+|[ \t]+$", b"", text))


def _tabbed(shape: Shape) -> Shape:
    return Shape(
        delimiter="\t",
        decimal=shape.decimal,
        names=shape.names,
        units=shape.units,
        header_line=shape.header_line,
        first_line=shape.first_line,
        preamble=shape.preamble,
        rows=shape.rows,
    )
