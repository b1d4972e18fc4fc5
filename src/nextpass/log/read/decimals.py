"""Which decimal sign a column of text writes; a file in which one column writes both is not guessed at.

Spreadsheets of another country than the logger turn some numbers and not others, so that columns may differ, and a file
edited half-way has both in one column. ``1,234`` alone may be a thousand or a decimal; ``0,234`` and ``12,5`` are not.
"""

import polars as pl

from nextpass.log.unread import Unread
from nextpass.words import phrase

OTHER = {".": ",", ",": "."}
# Fewer cells than this share with the other sign are damaged cells.
LEAST_SHARE = 0.01


class MixedDecimals(Unread):
    """A column writes both signs; has the row and the cell with the sign that most others have not."""

    def __init__(self, row: int, cell: str, other: str) -> None:
        super().__init__(
            phrase("refusal.log.mixed_decimals", cell=cell, other=other), phrase("refusal.log.one_language")
        )
        self.row = row


def decimal_of(cells: pl.Series, decimal: str) -> str:
    """Decimal sign of one column.

    Parameters
    ----------
    cells : polars.Series of str, shape (n,)
    decimal : {".", ","}
        Of the file as a whole.

    Raises
    ------
    MixedDecimals
        The column has numbers with the one sign and with the other.
    """
    other = OTHER[decimal]
    text = cells.str.strip_chars()
    foreign = text.str.contains(rf"^[+-]?\d+\{other}\d+$") & ~text.str.contains(
        rf"^[+-]?[1-9]\d{{0,2}}\{other}\d{{3}}$"
    )
    foreign = foreign.fill_null(value=False)
    count = int(foreign.sum())
    if count == 0:
        return decimal
    own = text.str.contains(rf"^[+-]?\d*\{decimal}\d+$").fill_null(value=False)
    if not own.any():
        return other
    share = count / (count + int(own.sum()))
    if LEAST_SHARE < share < 1.0 - LEAST_SHARE:
        rare, usual = (foreign, own) if share < 0.5 else (own, foreign)
        row, like = int(rare.arg_true()[0]), int(usual.arg_true()[0])
        raise MixedDecimals(row, str(cells[row]), str(cells[like]))
    return decimal if share < 0.5 else other
