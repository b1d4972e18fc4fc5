"""A file that goes on with the same header, or with another table under other names.

Loggers write the header again where a recording goes on, and people put two logs one under the other. Rows under
another header would land under the names of the first, so they are cut off and that is said.
"""

from collections.abc import Iterator, Sequence

import polars as pl

from nextpass.log.clock import time_column
from nextpass.log.names import name_matches, read_header
from nextpass.log.read.table_shape import LONGEST_NAME, Shape
from nextpass.words import phrase

# Rows that begin with a letter and hold no number, beyond which nobody looks for a header.
MOST_CANDIDATES = 500
# Cells that must be names of channels or of times: a note in words has no two of them.
FEWEST_NAMES = 2


def first_table(frame: pl.DataFrame, shape: Shape) -> tuple[pl.DataFrame, tuple[str, ...]]:
    """The rows of the first table without repeats of its header, and what is to be said of the others.

    Parameters
    ----------
    frame : DataFrame
        Rows of the file; a header among them leaves its columns as text.
    shape : Shape
        Build of the first table.
    """
    repeats: list[int] = []
    for row, cells in _rows_of_words(frame):
        if _named(cells) == _named(shape.names):
            repeats.append(row)
        elif _is_header(cells):
            remark = phrase("log.table.another", line=shape.first_line + row + 1)
            return _without(frame.head(row), repeats), (remark,)
    return _without(frame, repeats), ()


def _rows_of_words(frame: pl.DataFrame) -> Iterator[tuple[int, tuple[str, ...]]]:
    """Rows of the file that hold words only, with their place."""
    if frame.width == 0 or frame.schema["0"] != pl.String:
        return
    begins = frame.with_row_index("row").filter(pl.col("0").str.contains(r"^\W*\p{L}"))
    numbers = [
        pl.col(name).str.contains(r"^\s*[+-]?[.,]?\d").fill_null(value=False)
        if kind == pl.String
        else pl.col(name).is_not_null()
        for name, kind in frame.schema.items()
    ]
    words = begins.filter(~pl.any_horizontal(numbers)).select(pl.col("row"), pl.exclude("row").cast(pl.String))
    for row, *cells in words.head(MOST_CANDIDATES).iter_rows():
        yield int(row), tuple(cell or "" for cell in cells)


def _named(cells: Sequence[str]) -> tuple[str, ...]:
    return tuple(text for cell in cells if (text := cell.strip().lstrip("#").strip().strip('"')))


def _is_header(cells: Sequence[str]) -> bool:
    names = [name[:LONGEST_NAME] for name in _named(cells)]
    meant = sum(bool(name_matches(read_header(name).words)) for name in names)
    return meant + (time_column(names, [""] * len(names)) is not None) >= FEWEST_NAMES


def _without(frame: pl.DataFrame, rows: Sequence[int]) -> pl.DataFrame:
    return frame.with_row_index("row").filter(~pl.col("row").is_in(rows)).drop("row") if rows else frame
