"""The long form of a text table: one row a sample, with its time, the name of its channel and its value."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl

from nextpass.log.channel import FloatArray
from nextpass.log.clock import UnclearTime, time_column
from nextpass.log.order import OWN_START_S, in_order
from nextpass.log.read.assemble import NamedCells, assembled, joined
from nextpass.log.read.raw import RawLog
from nextpass.log.read.table_shape import Shape, is_number
from nextpass.words import phrase

_CHANNEL = frozenset(
    {"channel", "channel name", "signal", "parameter", "name", "sensor", "variable", "kanal", "item", "measurement"}
)
_VALUE = frozenset({"value", "wert", "reading", "val", "messwert", "data", "result"})
_UNIT = frozenset({"unit", "units", "einheit"})
MOST_CHANNELS = 4000


@dataclass(frozen=True, slots=True, kw_only=True)
class LongForm:
    """Index of each column of a table in the long form; `unit` is None where there is none."""

    time: int
    channel: int
    value: int
    unit: int | None


def long_form_columns(shape: Shape) -> LongForm | None:
    """Where time, channel and value stand, or None where the table is not in the long form."""
    names = [name.lower() for name in shape.names]
    channel, value = _first(names, _CHANNEL), _first(names, _VALUE)
    time = time_column(shape.names, shape.units)
    if channel is None or value is None or time is None or len([name for name in names if name]) > 6:
        return None
    cells = [row[channel] for row in shape.rows if channel < len(row)]
    if sum(is_number(cell, shape.decimal) for cell in cells) > 0.2 * len(cells):
        return None
    return LongForm(time=time, channel=channel, value=value, unit=_first(names, _UNIT))


def _first(names: Sequence[str], wanted: frozenset[str]) -> int | None:
    return next((index for index, name in enumerate(names) if name in wanted), None)


def tables_from_long_form(
    frame: pl.DataFrame, shape: Shape, form: LongForm, seconds: FloatArray, remarks: tuple[str, ...]
) -> RawLog:
    """One table a channel, each with its own times, all counted from the first time of the file."""
    unit = frame[str(form.unit)].cast(pl.String) if form.unit is not None else pl.Series([""] * frame.height)
    samples = pl.DataFrame(
        {
            "time": seconds,
            "channel": frame[str(form.channel)].cast(pl.String).str.strip_chars(),
            "unit": unit,
            "value": frame[str(form.value)],
        }
    ).filter(pl.col("time").is_finite() & pl.col("channel").is_not_null())
    if samples.height == 0:
        raise UnclearTime(phrase("refusal.log.no_sample"))
    start = float(np.min(samples["time"].to_numpy()))
    # A log that counts its own seconds from its start keeps them.
    start = 0.0 if 0.0 <= start <= OWN_START_S else start
    channels: list[RawLog] = []
    for (name,), group in samples.group_by("channel", maintain_order=True):
        if len(channels) == MOST_CHANNELS:
            raise UnclearTime(phrase("refusal.log.many_channels", most=MOST_CHANNELS))
        ordered = in_order(group["time"].to_numpy() - start, keeps_start=True)
        cells = group["value"]
        column = NamedCells(name=str(name), unit=group["unit"][0] or "", cells=cells, decimal=shape.decimal)
        channels.append(assembled([column], ordered))
    raw = joined(channels)
    return RawLog(tables=raw.tables, marks=raw.marks, remarks=(*remarks, *raw.remarks))
