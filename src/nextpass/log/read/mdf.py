"""ASAM MDF 4 measurement files, by asammdf, which is imported only when such a file comes.

A file may hold channels, frames of a CAN bus, or both; frames need a .dbc, and their signals share the channels' start.
"""

import io
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

import numpy as np
import polars as pl

from nextpass.errors import LogError, Where
from nextpass.log.answers import AnswerBook
from nextpass.log.channel import Mark
from nextpass.log.hints import LogHints
from nextpass.log.order import in_order
from nextpass.log.read.assemble import NamedCells, assembled, joined
from nextpass.log.read.can_frames import Frames
from nextpass.log.read.can_trace import database_for, signals_of
from nextpass.log.read.libraries import let_go, missing_library, quiet
from nextpass.log.read.mdf_blocks import DamagedBlocks, check_blocks
from nextpass.log.read.mdf_bus import bus_frames, is_bus_group
from nextpass.log.read.raw import RawLog
from nextpass.log.read.source import Source
from nextpass.words import phrase

MAGIC = b"MDF     "
_EV_MARK = 6  # event type "marker" (ASAM MDF 4.1, EV block, memory)


def read_mdf(source: Source, hints: LogHints, book: AnswerBook) -> RawLog:  # noqa: ARG001 - every reader's form
    """The channels of an MDF 4 file, group by group, and the signals of its CAN frames.

    Raises
    ------
    LogError
        The library is not installed, the file is older than MDF 4 or damaged, or holds nothing but CAN frames and there
        is no database for them.
    """
    where = Where(file=source.path)
    version = source.head[8:16].strip(b"\x00 ")
    if not version.startswith(b"4."):
        found = version.decode("latin-1", "replace")
        raise LogError(phrase("refusal.log.old_mdf", found=found), where, phrase("refusal.log.export_mdf"))
    try:
        from asammdf import MDF
    except ImportError as error:
        raise missing_library(where, "MDF", "mdf") from error
    data = source.read()
    try:
        check_blocks(data)
        # Whatever damage does to the library's parser is the file's fault: it raises a dozen kinds of exceptions.
        with quiet("asammdf"), MDF(io.BytesIO(data)) as file:
            return _raw_log(file, source, hints)
    except DamagedBlocks as error:
        what = phrase("refusal.log.mdf_blocks", why=error.what)
        raise LogError(what, where, phrase("refusal.log.copy_again")) from error
    except LogError:
        raise
    except Exception as error:
        let_go(error)
        raise LogError(
            phrase("refusal.log.mdf_library", kind=type(error).__name__, why=str(error)),
            where,
            phrase("refusal.log.copy_again"),
        ) from error


def _raw_log(file: Any, source: Source, hints: LogHints) -> RawLog:
    groups = list(_groups(file))
    frames = bus_frames(file, source.path)
    # The groups of a file count from one start: the earliest of their first times.
    firsts = [float(np.nanmin(signals[0].timestamps)) for _, signals in groups]
    firsts += [float(each.time_s.min()) for each in frames.values()]
    start = min(firsts, default=0.0)
    raw = joined(_table(origin, signals, start) for origin, signals in groups)
    if frames:
        raw = _with_bus(raw, frames, source, hints, start)
    if not raw.tables:
        raise LogError(
            phrase("refusal.log.no_timed_channel"), Where(file=source.path), phrase("refusal.log.export_timed")
        )
    return RawLog(tables=raw.tables, marks=(*raw.marks, *_events(file)), remarks=raw.remarks)


def _groups(file: Any) -> Iterator[tuple[str, list[Any]]]:
    """Groups of channels with a clock."""
    for number, group in enumerate(file.groups):
        master = file.masters_db.get(number)
        wanted = [(None, number, index) for index in range(len(group.channels)) if index != master]
        if master is None or not wanted or group.channel_group.cycles_nr < 2 or is_bus_group(group):
            continue
        signals = [each for each in file.select(wanted, copy_master=False) if _is_column(each)]
        if signals:
            yield str(group.channel_group.acq_name or ""), signals


def _with_bus(channels: RawLog, frames: Mapping[int, Frames], source: Source, hints: LogHints, start: float) -> RawLog:
    """The channels and the signals of the frames; without a database the channels alone, where there are any."""
    try:
        return joined([channels, signals_of(frames, database_for(source, hints), source, start)])
    except LogError as refusal:
        if not channels.tables:
            raise
        remark = phrase("log.can.left_out", count=sum(each.time_s.size for each in frames.values()), why=refusal.what)
        return replace(channels, remarks=(*channels.remarks, remark))


def _is_column(signal: Any) -> bool:
    """One number or text a sample: an array or a structure is no channel of a car."""
    return signal.samples.ndim == 1 and signal.samples.dtype.kind in "biufSU" and signal.samples.size > 1


def _table(origin: str, signals: list[Any], start: float) -> RawLog:
    ordered = in_order(np.asarray(signals[0].timestamps, dtype=np.float64) - start, keeps_start=True)
    columns = [NamedCells(name=signal.name, unit=signal.unit or "", cells=_series(signal)) for signal in signals]
    return assembled(columns, ordered, origin=origin)


def _series(signal: Any) -> pl.Series:
    samples = signal.samples
    if samples.dtype.kind in "SU":
        texts = [each.decode("utf-8", "replace") if isinstance(each, bytes) else str(each) for each in samples.tolist()]
        return pl.Series(texts, dtype=pl.String)
    numbers = np.array(samples, dtype=np.float64)
    if signal.invalidation_bits is not None:
        numbers[np.asarray(signal.invalidation_bits, dtype=bool)] = np.nan
    return pl.Series(numbers)


def _events(file: Any) -> list[Mark]:
    """Marks that the file keeps as event blocks."""
    marks: list[Mark] = []
    for event in getattr(file, "events", ()):
        if event.event_type == _EV_MARK:
            text = event.name or event.comment or "mark"
            marks.append(Mark(time_s=float(event.value), text=str(text)[:200]))
    return marks
