"""How a text table is built: delimiter, decimal sign, header, units row, first row of values.

Only the head of the file is looked at. The delimiter is the one that cuts most lines into the same number of cells
that look like values; the header is the nearest line of words above the values; a line between them whose cells are
units is the units row. Lines above the header are the preamble.
"""

import csv
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from nextpass.log.unread import Unread
from nextpass.units import read_unit
from nextpass.words import phrase

DELIMITERS = ("\t", ";", ",", "|", " ")
# Enough to pass a long preamble and to see a sparse column's first values.
HEAD_LINES = 400
# Four thousand columns with thirty signs each.
LONGEST_LINE = 1 << 17
LONGEST_NAME = 200
# Lines over which one cell in quotes may go.
MOST_LINES_A_CELL = 4
# Share of the lines of a table without values that are cut alike.
MOST_LINES_ALIKE = 0.8
# Text cells that stand for no value.
BLANKS = frozenset(
    {"", "nan", "-nan", "nan(ind)", "null", "none", "n/a", "na", "#n/a", "#na", "inf", "-inf", "-", "--", "---"}
)
BLANKS |= {"----", "-----", "?", "invalid", "ungueltig", "ungültig", "#value!", "#div/0!", "#ref!", "n.a.", "missing"}
BLANKS |= {"not available", "nicht verfügbar", "error", "sna", "undefined", "*", "n/v", "overflow"}
# Text cells that stand for a number: switches and gears.
WORD_VALUES = {
    "on": 1.0,
    "off": 0.0,
    "true": 1.0,
    "false": 0.0,
    "yes": 1.0,
    "no": 0.0,
    "ein": 1.0,
    "aus": 0.0,
    "ja": 1.0,
}
WORD_VALUES |= {"nein": 0.0, "wahr": 1.0, "falsch": 0.0, "an": 1.0, "active": 1.0, "inactive": 0.0, "aktiv": 1.0}
WORD_VALUES |= {"inaktiv": 0.0, "open": 1.0, "closed": 0.0, "enabled": 1.0, "disabled": 0.0, "pressed": 1.0}
WORD_VALUES |= {
    "released": 0.0,
    "high": 1.0,
    "low": 0.0,
    "n": 0.0,
    "r": -1.0,
    "p": 0.0,
    "neutral": 0.0,
    "reverse": -1.0,
}
WORD_VALUES |= {"park": 0.0, "set": 1.0, "clear": 0.0}

_NUMBER = {
    # Nothing is given back once it has matched: a line of a million digits must not be tried in every way.
    ".": r"[+-]?(?:\d++(?:\.\d*+)?+|\.\d++)(?:[eE][+-]?\d++)?+",
    ",": r"[+-]?(?:\d++(?:,\d*+)?+|,\d++)(?:[eE][+-]?\d++)?+",
}
_PLAIN = {decimal: re.compile(number) for decimal, number in _NUMBER.items()}
_SPACED = {decimal: re.compile(rf"\s*{number}\s*%?\s*") for decimal, number in _NUMBER.items()}
_PLAIN_ROW = {decimal: re.compile(rf"(?:{number}|)(?:\x1f(?:{number}|))*") for decimal, number in _NUMBER.items()}
_GROUPED = {
    ".": re.compile(r"\s*[+-]?\d{1,3}(?:[,'\u2019\u00a0\u202f ]\d{3})+(?:\.\d*)?\s*"),
    ",": re.compile(r"\s*[+-]?\d{1,3}(?:[.'\u2019\u00a0\u202f ]\d{3})+(?:,\d*)?\s*"),
}
_CLOCK = re.compile(r"^\s*(\d{4}-\d\d-\d\d[T ]|\d\d?[./]\d\d?[./]\d{2,4}[T ,]+|)\d{1,3}:\d\d(:\d\d)?([.,]\d+)?.{0,9}$")
_DATE = re.compile(r"^\s*(\d{4}-\d\d-\d\d|\d\d?[./]\d\d?[./]\d{2,4})\s*$")
_LETTER_AND_DIGIT = re.compile(r"^\s*[DMS]?\d{1,2}\s*(st|nd|rd|th|\.\s?gang)?\s*$", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """The build of one text table; lines count from 0.

    Parameters
    ----------
    delimiter : str
        One sign; a blank stands for any run of blanks.
    decimal : {".", ","}
    names, units : tuple of str
        One for each column; "" where the file gives none.
    header_line, first_line : int
        Line of the names and of the first values.
    preamble : tuple of str
        Lines above the header.
    rows : tuple of tuple of str
        Cells of the lines of values that were looked at.
    """

    delimiter: str
    decimal: str
    names: tuple[str, ...]
    units: tuple[str, ...]
    header_line: int
    first_line: int
    preamble: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


class NotATable(Unread):
    """The text has no lines of values under a line of names; says why, and what may be done."""


def is_number(cell: str, decimal: str) -> bool:
    """Whether the cell is a number with this decimal sign, thousands marks allowed."""
    return _SPACED[decimal].fullmatch(cell) is not None or _GROUPED[decimal].fullmatch(cell) is not None


def is_plain_number(cell: str, decimal: str) -> bool:
    """Whether a typed reader takes the cell as it stands: no blanks around, no thousands marks, no percent sign."""
    return _PLAIN[decimal].fullmatch(cell) is not None


def is_plain_row(row: Sequence[str], decimal: str) -> bool:
    """Whether every cell of a row is a plain number or blank; as `is_plain_number` cell by cell, but at once."""
    return _PLAIN_ROW[decimal].fullmatch("\x1f".join(row)) is not None


def _is_value(cell: str, decimal: str) -> bool:
    text = cell.strip()
    if is_number(text, decimal) or _CLOCK.match(text) is not None or _DATE.match(text) is not None:
        return True
    lower = text.lower()
    return lower in BLANKS or lower in WORD_VALUES


def split_line(line: str, delimiter: str) -> list[str]:
    """Cells of one line; quotes are taken off."""
    if delimiter == " ":
        return line.split()
    if '"' not in line:
        return line.split(delimiter)
    try:
        return next(csv.reader([line], delimiter=delimiter), [])
    except csv.Error:
        return line.split(delimiter)


@dataclass(frozen=True, slots=True)
class _Cut:
    delimiter: str
    decimal: str
    cells: tuple[tuple[str, ...], ...]
    width: int
    score: float


def _cut(lines: Sequence[str], delimiter: str, decimal: str) -> _Cut:
    cells = tuple(tuple(split_line(line, delimiter)) for line in lines)
    # The lower part of the head is values if anything is; a preamble would vote for its own width.
    lower = [row for row in cells[len(cells) // 3 :] if len(row) > 1]
    if not lower:
        return _Cut(delimiter, decimal, cells, 0, 0.0)
    width = Counter(len(row) for row in lower).most_common(1)[0][0]
    fitting = [row for row in lower if len(row) == width]
    sampled = fitting[:: max(1, len(fitting) // 40)]
    # A comma as decimal sign makes `1` and `2` of `1,2`: numbers with a decimal sign in them weigh for the cut.
    values = [_is_value(cell, decimal) for row in sampled for cell in row]
    filled = [bool(cell.strip()) for row in sampled for cell in row]
    share = sum(v and f for v, f in zip(values, filled, strict=True)) / max(1, sum(filled))
    return _Cut(delimiter, decimal, cells, width, share * share * len(fitting) / len(lower) * (1 - 1 / (1 + width)))


def _is_regular(cut: _Cut) -> bool:
    """Whether its lines are cut into equally many cells, be there values in them or not."""
    return cut.width > 2 and sum(len(row) == cut.width for row in cut.cells) >= MOST_LINES_ALIKE * len(cut.cells)


def _best_cut(lines: Sequence[str]) -> _Cut:
    cuts = [
        _cut(lines, delimiter, decimal)
        for delimiter in DELIMITERS
        for decimal in (".", ",")
        if not delimiter == decimal == ","
    ]
    best = max(cuts, key=lambda cut: (cut.score, _is_regular(cut)))
    # A table of whole numbers fits both decimal signs; the point is then as good.
    same = [cut for cut in cuts if cut.delimiter == best.delimiter and cut.score >= best.score * 0.999]
    return next((cut for cut in same if cut.decimal == "."), best)


def _is_row_of_values(row: Sequence[str], cut: _Cut) -> bool:
    filled = [cell for cell in row if cell.strip()]
    if len(row) < 2 or len(row) > cut.width + 2 or not filled:
        return False
    if is_plain_row(row, cut.decimal):
        return True
    # A row with the other decimal sign is a row of values all the same: it must not be skipped in silence.
    signs = cut.decimal if cut.delimiter == "," else ".,"
    numbers = sum(any(is_number(cell, sign) for sign in signs) or _CLOCK.match(cell) is not None for cell in filled)
    values = sum(
        any(_is_value(cell, sign) for sign in signs) or _LETTER_AND_DIGIT.match(cell) is not None for cell in filled
    )
    # A row of dashes is not values; a few words among many numbers (a gear, a note) are.
    return numbers >= 1 and values >= 0.5 * len(filled) and numbers >= 0.3 * len(filled)


def _first_row(cut: _Cut) -> int:
    """Index of the first row of values: one that most of the rows after it are like."""
    for index, row in enumerate(cut.cells):
        if not _is_row_of_values(row, cut):
            continue
        after = cut.cells[index + 1 : index + 6]
        # A preamble line such as `Rate, 50` looks like values on its own, and narrow ones stand above a wide table.
        is_like_the_rest = sum(_is_row_of_values(later, cut) for later in after) >= 0.6 * len(after)
        is_narrow = len(row) * 2 < cut.width and bool(after) and len(after[0]) >= cut.width
        if is_like_the_rest and not is_narrow:
            return index
    if len(cut.cells) >= HEAD_LINES:
        what = phrase("refusal.log.no_row_in_head", lines=HEAD_LINES)
    else:
        what = phrase("refusal.log.no_row_at_all")
    raise NotATable(what, phrase("refusal.log.cut_preamble"))


def _is_units_row(row: Sequence[str]) -> bool:
    filled = [cell.strip() for cell in row if cell.strip()]
    units = [cell for cell in filled if read_unit(cell)]
    return len(units) >= 1 and len(units) >= 0.6 * len(filled)


def _is_names_row(row: Sequence[str], width: int) -> bool:
    filled = [cell for cell in row if re.search(r"[^\W\d_]", cell)]
    return len(filled) >= max(1, 0.5 * min(width, len(row))) and len(row) >= 2


def find_shape(head: str) -> Shape:
    """The build of a text table from its first lines.

    Parameters
    ----------
    head : str
        Start of the file, ending with a whole line.

    Raises
    ------
    NotATable
        There are no rows of values, or no names above them.
    """
    starts, lines = _whole_lines(head.splitlines()[:HEAD_LINES])
    if max((len(line) for line in lines), default=0) > LONGEST_LINE:
        raise NotATable(phrase("refusal.log.long_line", most=LONGEST_LINE))
    if sum(bool(line.strip()) for line in lines) < 2:
        raise NotATable(phrase("refusal.log.few_lines"), phrase("refusal.log.export_again"))
    cut = _best_cut(lines)
    if cut.score == 0.0 and not _is_regular(cut):
        raise NotATable(phrase("refusal.log.no_delimiter"), phrase("refusal.log.export_as"))
    first = _first_row(cut)
    above = [index for index in range(first) if any(cell.strip() for cell in cut.cells[index])]
    units: tuple[str, ...] = ()
    names_at = None
    for index in reversed(above):
        row = cut.cells[index]
        if not units and _is_units_row(row):
            units = tuple(cell.strip() for cell in row)
        elif _is_names_row(row, cut.width):
            names_at = index
            break
    if names_at is None and units and _is_names_row(units, cut.width):
        # `RPM, AFR` are names as well as units: with nothing above them they are the names.
        names_at, units = above[-1], ()
    if names_at is None:
        raise NotATable(phrase("refusal.log.no_header"), phrase("refusal.log.export_header"))
    names = _stripped(cut.cells[names_at])
    width = max(cut.width, len(names))
    return Shape(
        delimiter=cut.delimiter,
        decimal=cut.decimal,
        names=_padded(names, width),
        units=_padded(units, width),
        header_line=starts[names_at],
        first_line=starts[first],
        preamble=tuple(lines[:names_at]),
        rows=tuple(row for row in cut.cells[first:] if len(row) > 1),
    )


def _whole_lines(lines: Sequence[str]) -> tuple[list[int], list[str]]:
    """Lines of the table with the line of the file that each begins in: a name in quotes may go over several."""
    starts: list[int] = []
    whole: list[str] = []
    at = 0
    while at < len(lines):
        taken = _lines_of_one(lines[at : at + MOST_LINES_A_CELL])
        starts.append(at)
        whole.append(" ".join(lines[at : at + taken]))
        at += taken
    return starts, whole


def _lines_of_one(lines: Sequence[str]) -> int:
    """Lines up to the one that closes the quote that the first leaves open; 1 where none does."""
    if lines[0].count('"') % 2 == 0:
        return 1
    return next((n for n in range(2, len(lines) + 1) if lines[n - 1].count('"') % 2 == 1), 1)


def _stripped(row: Sequence[str]) -> tuple[str, ...]:
    cells = [cell.strip().lstrip("#").strip().strip('"')[:LONGEST_NAME] for cell in row]
    while cells and not cells[-1]:
        cells.pop()
    return tuple(cells)


def _padded(cells: Sequence[str], width: int) -> tuple[str, ...]:
    return tuple(cells) + ("",) * (width - len(cells))
