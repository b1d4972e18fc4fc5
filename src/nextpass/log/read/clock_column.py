"""The times of the rows, from whatever a column of them holds."""

import re
from collections.abc import Mapping, Sequence

import numpy as np
import polars as pl

from nextpass.log.answers import TIME, Answer
from nextpass.log.channel import FloatArray
from nextpass.log.clock import UnclearTime, is_sample_count, seconds_from_numbers, seconds_from_text, time_column
from nextpass.log.hints import LogHints
from nextpass.log.read.cells import numbers_from_cells
from nextpass.units import unit_of
from nextpass.words import phrase

_RATE = re.compile(r"(?:rate|freq\w*|abtastrate|frequenz)\D{0,20}?(\d+(?:[.,]\d+)?)\s*hz", re.IGNORECASE)


def time_index(names: Sequence[str], units: Sequence[str], answers: Mapping[str, Answer]) -> int | None:
    """Index of the column of times: the one that an answer names, else the one whose name says so."""
    for index, name in enumerate(names):
        if name in answers and answers[name].channel == TIME:
            return index
    return time_column([name if name not in answers else "" for name in names], units)


def row_seconds(height: int, hints: LogHints) -> tuple[FloatArray, tuple[str, ...]]:
    """Seconds of rows that have no column of times, at the rate that was given."""
    if hints.sample_rate_hz is None:
        raise UnclearTime(
            phrase("refusal.log.no_times"),
            phrase("refusal.log.name_times"),
        )
    return np.arange(height) / hints.sample_rate_hz, (phrase("log.clock.rate_given"),)


def column_seconds(
    cells: pl.Series,
    name: str,
    unit: str,
    *,
    hints: LogHints,
    answer: Answer | None = None,
    preamble: str = "",
    decimal: str = ".",
) -> tuple[FloatArray, tuple[str, ...]]:
    """Seconds of the rows and what is to be said about them.

    Parameters
    ----------
    cells : polars.Series, n cells
        Numbers, text, dates with times, or durations.
    name, unit : str
        Of the column.
    hints : LogHints
        Has the rate where the column counts samples.
    answer : Answer, optional
        What the user said of the column.
    preamble : str
        Lines above the table, in which the rate may stand.
    decimal : {".", ","}

    Raises
    ------
    UnclearTime
        The times cannot be told.
    """
    if cells.dtype.is_temporal():
        return _from_temporal(cells), ()
    numbers = numbers_from_cells(cells, decimal).numbers if cells.dtype == pl.String else cells.cast(pl.Float64)
    values = numbers.fill_null(np.nan).to_numpy()
    if is_sample_count(name) and (answer is None or not answer.unit):
        return _counted(values, name, preamble, hints)
    if cells.dtype == pl.String and np.isfinite(values).sum() < 0.5 * values.size:
        return seconds_from_text(cells), ()
    if answer is not None and answer.unit:
        return unit_of(answer.unit, "time").to_canonical(values), ()
    seconds, remark = seconds_from_numbers(values, name, unit)
    return seconds, (remark,) if remark else ()


def _from_temporal(cells: pl.Series) -> FloatArray:
    wide = cells.cast(pl.Datetime("ns")) if cells.dtype == pl.Date else cells
    unit = getattr(wide.dtype, "time_unit", None) or "ns"
    counts = wide.cast(pl.Int64)
    first = counts.min()
    scale = {"ms": 1e-3, "us": 1e-6, "ns": 1e-9}[unit]
    # Whole counts are subtracted before they become floats: nanoseconds since 1970 do not fit one.
    elapsed = counts - (first if isinstance(first, int) else 0)
    return elapsed.cast(pl.Float64).fill_null(np.nan).to_numpy() * scale


def _counted(values: FloatArray, name: str, preamble: str, hints: LogHints) -> tuple[FloatArray, tuple[str, ...]]:
    stated = _RATE.search(preamble)
    rate_hz = hints.sample_rate_hz or (float(stated[1].replace(",", ".")) if stated else None)
    if not rate_hz:
        raise UnclearTime(phrase("refusal.log.rate_unknown", name=name), phrase("refusal.log.give_rate"))
    return values / rate_hz, (phrase("log.clock.counted", column=name, rate_hz=rate_hz),)
