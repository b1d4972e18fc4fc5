"""Text cells as numbers: blanks, thousands marks, decimal commas, switches, gears.

A word that stands for a number (`On`, `N`, `R`, `D3`) becomes it and is kept as a label; other text among numbers is
left out and counted; a column of text stays text.
"""

import re
from dataclasses import dataclass

import polars as pl

from nextpass.log.read.table_shape import BLANKS, WORD_VALUES

# A gear as displays write it: D3, M2, S4, 3rd, 3. Gang.
_GEAR = r"^(?:[dmsgDMSG]|gear|Gear|GEAR|gang|Gang)?\s*(\d{1,2})\s*(?:st|nd|rd|th|\.?\s*gang|\.?\s*Gang)?$"
_SPACES_AND_MARKS = "['\u2019\u00a0\u202f]|(?<=\\d) (?=\\d)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cells:
    """A column of text as numbers.

    Parameters
    ----------
    numbers : polars.Series of float, shape (n,)
        Null where blank or not a number.
    labels : tuple of (str, float)
        Words that stood for numbers.
    unread : int
        Cells with text that is no number.
    """

    numbers: pl.Series
    labels: tuple[tuple[str, float], ...]
    unread: int


def numbers_from_cells(cells: pl.Series, decimal: str) -> Cells:
    """Numbers that the cells of a column stand for.

    Parameters
    ----------
    cells : polars.Series of str, shape (n,)
    decimal : {".", ","}
    """
    text = cells.str.strip_chars()
    lower = text.str.to_lowercase()
    text = text.set(lower.is_in(list(BLANKS)).fill_null(True), None)
    numbers = _cast(text, decimal)
    left = text.filter(text.is_not_null() & numbers.is_null()).unique().to_list()
    if not left:
        return Cells(numbers=numbers, labels=(), unread=0)
    meanings = {word: value for word in left[:200] if (value := word_value(word)) is not None}
    words = text.replace_strict(list(meanings), list(meanings.values()), default=None, return_dtype=pl.Float64)
    numbers = numbers.fill_null(words)
    unread = int((text.is_not_null() & numbers.is_null()).sum())
    labels = tuple(sorted(meanings.items(), key=lambda item: item[1]))
    return Cells(numbers=numbers, labels=labels, unread=unread)


def word_value(word: str) -> float | None:
    """The number that a word stands for: a switch or a gear; None where it stands for none."""
    if word.lower() in WORD_VALUES:
        return WORD_VALUES[word.lower()]
    gear = re.match(_GEAR, word)
    return float(gear[1]) if gear is not None else None


def _cast(text: pl.Series, decimal: str) -> pl.Series:
    bare = text.str.strip_suffix("%").str.strip_chars()
    plain = bare.str.replace(",", ".", literal=True) if decimal == "," else bare
    numbers = plain.cast(pl.Float64, strict=False)
    missed = text.is_not_null() & numbers.is_null()
    if not missed.any():
        return numbers
    mark = "," if decimal == "." else "."
    whole = bare.str.replace_all(r"(\d)['’\u00a0\u202f ](\d{3})", "${1}${2}")
    # Only groups of three that do not begin with a zero are thousands: nothing else with a second mark is a number.
    is_grouped = whole.str.contains(
        rf"^[+-]?[1-9]\d{{0,2}}(\{mark}\d{{3}})+(\{decimal}\d*)?$|^[+-]?\d+(\{decimal}\d*)?$"
    )
    whole = whole.set(~is_grouped.fill_null(False), None).str.replace_all(mark, "", literal=True)
    if decimal == ",":
        whole = whole.str.replace(",", ".", literal=True)
    return numbers.fill_null(whole.cast(pl.Float64, strict=False))
