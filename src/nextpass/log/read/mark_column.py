"""Marks that the driver set: a column that is zero or blank until he presses the button or writes a note."""

import re

import numpy as np
import polars as pl

from nextpass.log.channel import FloatArray, Mark

_WORDS = frozenset(
    {"mark", "marks", "marker", "markers", "event", "events", "marke", "marken", "markierung", "note", "notes"}
)
_WORDS |= {
    "comment",
    "comments",
    "kommentar",
    "annotation",
    "bookmark",
    "ereignis",
    "beacon",
    "notiz",
    "bemerkung",
    "remark",
}
_ALONG = frozenset({"driver", "user", "button", "fahrer", "text", "log", "switch", "taste", "manual", "name", "label"})
MOST_MARKS = 200


def is_mark_column(name: str) -> bool:
    """Whether a column holds marks, by its name."""
    words = set(re.findall(r"[a-z]+", name.lower()))
    return bool(words & _WORDS) and words <= _WORDS | _ALONG


def marks_from_numbers(name: str, values: FloatArray, time_s: FloatArray) -> tuple[Mark, ...]:
    """One mark wherever the column rises from zero or changes to another number."""
    filled = np.nan_to_num(values)
    starts = np.flatnonzero((np.diff(filled, prepend=0.0) != 0) & (filled != 0))[:MOST_MARKS]
    return tuple(Mark(time_s=float(time_s[k]), text=_text(name, filled[k])) for k in starts)


def _text(name: str, value: float) -> str:
    return name if value == 1.0 else f"{name} {value:g}"


def marks_from_text(cells: pl.Series, time_s: FloatArray) -> tuple[Mark, ...]:
    """One mark wherever a text begins; repeats in the rows after it are the same mark."""
    texts = [(cell or "").strip() for cell in cells.to_list()]
    is_start = [bool(text) and (k == 0 or text != texts[k - 1]) for k, text in enumerate(texts)]
    starts = [k for k, is_first in enumerate(is_start) if is_first][:MOST_MARKS]
    return tuple(Mark(time_s=float(time_s[k]), text=texts[k][:200]) for k in starts)
