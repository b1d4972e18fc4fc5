"""A log as Parquet, MDF 4 or plain CSV, with the program's own names and units.

Every channel keeps its own clock: in the tables a row is a time at which anything was sampled, and what was not sampled
then is blank. Columns that no channel was found for come along under their own names, unit in square brackets. Values
are written as 32-bit floats, seven digits, except places, distances and what does not fit them.
"""

import json
import os
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import polars as pl
from numpy.typing import NDArray

from nextpass.errors import FileError, LogError, Where
from nextpass.log.channel import Channel, FloatArray, Log
from nextpass.log.read.libraries import missing_library
from nextpass.log.read.parquet import MARKS_KEY
from nextpass.log.vocabulary import vocabulary
from nextpass.units import canonical_unit
from nextpass.words import phrase

TIME = "time_s"
MARK = "mark"
# Whole numbers above this are not exact as 32-bit floats (24 bits of mantissa, two kept in hand).
MOST_AS_FLOAT32 = float(1 << 22)
_WIDE = frozenset({"latitude_deg", "longitude_deg", "distance_m"})


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenColumn:
    """One column of the file to be: a channel under the name that it is written with."""

    name: str
    unit: str
    channel: Channel


def write_log(log: Log, path: Path | str, *, replace: bool = False) -> None:
    """Write a log in the format that the ending of the path names: ``.parquet``, ``.mf4`` or ``.csv``.

    Parameters
    ----------
    log : Log
    path : Path or str
    replace : bool
        Whether a file that is there may be written over.

    Raises
    ------
    FileError
        The file is there, or cannot be written.
    LogError
        The ending names no format that is written, or its library is not installed.
    """
    target = Path(path)
    where = Where(file=target)
    writer = WRITERS.get(target.suffix.lower())
    if writer is None:
        ending = target.suffix or phrase("refusal.log.no_ending")
        raise LogError(phrase("refusal.log.not_written_as", ending=ending), where, _remedy())
    if target.exists() and not replace:
        raise FileError(phrase("refusal.log.there_already"), where, phrase("refusal.log.name_another"))
    if not target.parent.is_dir():
        raise FileError(phrase("refusal.log.no_folder"), where, phrase("refusal.log.make_folder"))
    fresh = target.with_name(target.name + ".new" + target.suffix)
    try:
        writer(log, fresh)
        fresh.replace(target)
    except OSError as error:
        raise FileError(
            phrase("refusal.log.unwritten", why=error.strerror or str(error)), where, phrase("refusal.log.free_space")
        ) from error
    finally:
        fresh.unlink(missing_ok=True)


def _remedy() -> str:
    return phrase("refusal.log.end_name_in", endings=", ".join(WRITERS))


def _columns(log: Log) -> list[WrittenColumn]:
    """Every channel, then every column without one; made side by side, since each works on its own array."""
    units = {match.column: match.unit for match in log.matches}
    with ThreadPoolExecutor(max_workers=os.cpu_count()) as pool:
        known = list(pool.map(log.channels.__getitem__, log.channels))
        others = list(pool.map(log.unmatched.__getitem__, log.unmatched))
    kinds = vocabulary().channels
    columns = [
        WrittenColumn(name=each.name, unit=canonical_unit(kinds[each.name].quantity).name, channel=each)
        for each in known
    ]
    for each in others:
        unit = units.get(each.name, "")
        name = each.name if each.name.endswith("]") else f"{each.name} [{unit or '-'}]"
        columns.append(WrittenColumn(name=name, unit=unit, channel=each))
    return columns


def _clock(columns: Sequence[WrittenColumn]) -> FloatArray:
    """Every time at which any channel was sampled."""
    clocks = {id(column.channel.time_s): column.channel.time_s for column in columns}
    longest = max(clocks.values(), key=len)
    # Held channels have some of the rows' own times: then there is nothing to merge.
    extra = [each for each in clocks.values() if each is not longest and not np.isin(each, longest).all()]
    return np.unique(np.concatenate([longest, *extra])) if extra else longest


def _series(column: WrittenColumn, clock: FloatArray) -> pl.Series:
    channel = column.channel
    kind = _kind(column)
    values = channel.values.astype(kind)
    if channel.time_s is not clock:
        spread = np.full(clock.shape, np.nan, dtype=kind)
        spread[np.searchsorted(clock, channel.time_s)] = values
        values = spread
    series = pl.Series(column.name, values)
    return series if np.isfinite(values).all() else series.fill_nan(None)


def _kind(column: WrittenColumn) -> type[np.float32] | type[np.float64]:
    values = column.channel.values
    is_wide = column.channel.name in _WIDE or (
        values.size > 0 and np.nanmax(np.abs(values), initial=0.0) > MOST_AS_FLOAT32
    )
    return np.float64 if is_wide else np.float32


def _frame(columns: Sequence[WrittenColumn]) -> pl.DataFrame:
    clock = _clock(columns)
    with ThreadPoolExecutor(max_workers=os.cpu_count()) as pool:
        series = list(pool.map(lambda column: _series(column, clock), columns))
    return pl.DataFrame([pl.Series(TIME, clock), *series])


def _write_parquet(log: Log, path: Path) -> None:
    marks = json.dumps([[mark.time_s, mark.text] for mark in log.marks])
    # The lightest level packs as well as the heavier ones here and is the fastest (design/log_parquet.py).
    _frame(_columns(log)).write_parquet(
        path, compression="zstd", compression_level=1, statistics=False, metadata={MARKS_KEY.decode(): marks}
    )


def _write_csv(log: Log, path: Path) -> None:
    frame = _frame(_columns(log))
    if log.marks:
        frame = frame.with_columns(pl.Series(MARK, _mark_cells(log, frame[TIME].to_numpy()), dtype=pl.String))
    frame.write_csv(path)


def _mark_cells(log: Log, clock: FloatArray) -> list[str | None]:
    """Each mark in the row next to its time; several in one row are written one after the other."""
    cells: list[str | None] = [None] * clock.size
    for mark in log.marks:
        row = int(np.argmin(np.abs(clock - mark.time_s)))
        earlier = cells[row]
        cells[row] = mark.text if earlier is None else f"{earlier} / {mark.text}"
    return cells


def _write_mdf(log: Log, path: Path) -> None:
    try:
        from asammdf import MDF, Signal
    except ImportError as error:
        raise missing_library(Where(file=path), "MDF", "mdf") from error
    with MDF(version="4.10") as file:
        for columns in _by_clock(_columns(log)):
            clock = columns[0].channel.time_s
            file.append(
                [
                    Signal(column.channel.values.astype(_kind(column)), clock, name=column.name, unit=column.unit)
                    for column in columns
                ]
            )
        if log.marks:
            file.append([_mark_signal(log, Signal)])
        file.save(path, overwrite=True, compression=2)


def _by_clock(columns: Sequence[WrittenColumn]) -> list[list[WrittenColumn]]:
    """Columns in groups that share their times."""
    groups: dict[bytes, list[WrittenColumn]] = {}
    for column in columns:
        groups.setdefault(column.channel.time_s.tobytes(), []).append(column)
    return list(groups.values())


def _mark_signal(log: Log, signal: Callable[..., Any]) -> Any:
    """The marks as a channel of text; a blank one ends it, since one sample makes no channel."""
    times: NDArray[np.float64] = np.array([*(mark.time_s for mark in log.marks), log.marks[-1].time_s + 1.0])
    texts = [mark.text.encode("utf-8") for mark in log.marks]
    return signal(np.array([*texts, b""]), times, name=MARK, encoding="utf-8")


WRITERS: Mapping[str, Callable[[Log, Path], None]] = {
    ".parquet": _write_parquet,
    ".mf4": _write_mdf,
    ".csv": _write_csv,
}
