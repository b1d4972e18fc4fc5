"""CAN frames read through the .dbc database beside them."""

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import polars as pl

from nextpass.errors import LogError, Where
from nextpass.log.answers import AnswerBook
from nextpass.log.channel import FloatArray
from nextpass.log.hints import LogHints
from nextpass.log.order import in_order
from nextpass.log.read.assemble import NamedCells, assembled, joined
from nextpass.log.read.can_frames import EXTENDED, Frames, candump_frames, library_frames
from nextpass.log.read.can_signals import physical_values, raw_numbers
from nextpass.log.read.libraries import missing_library
from nextpass.log.read.raw import RawLog
from nextpass.log.read.source import Source
from nextpass.words import phrase


def read_candump(source: Source, hints: LogHints, book: AnswerBook) -> RawLog:  # noqa: ARG001 - every reader's form
    """Signals of a candump trace.

    Raises
    ------
    LogError
        There is no database beside it, a library is not installed, or no frame is in the database.
    """
    database = database_for(source, hints)
    return signals_of(candump_frames(source), database, source)


def read_library_trace(source: Source, hints: LogHints, book: AnswerBook) -> RawLog:  # noqa: ARG001
    """Signals of a trace that python-can reads.

    Raises
    ------
    LogError
        As `read_candump`, or the trace is damaged.
    """
    database = database_for(source, hints)
    return signals_of(library_frames(source), database, source)


def database_for(source: Source, hints: LogHints) -> Any:
    """The database that is given for the frames, else the one beside the file.

    Raises
    ------
    LogError
        There is none, or it or its library cannot be read.
    """
    where = Where(file=source.path)
    path = hints.can_database or _database_beside(source.path)
    try:
        import cantools
    except ImportError as error:
        raise missing_library(where, phrase("refusal.log.can_traces"), "can") from error
    try:
        return cantools.database.load_file(str(path), database_format="dbc", strict=False)
    # The parser raises its own errors, and those of Python where a damaged line misleads it.
    except Exception as error:
        raise LogError(
            phrase("refusal.log.dbc_unread", why=str(error)), Where(file=path), phrase("refusal.log.export_dbc")
        ) from error


def _database_beside(path: Path) -> Path:
    stem = path.with_name(path.name.split(".")[0] + ".dbc")
    if stem.is_file():
        return stem
    found = sorted(path.parent.glob("*.dbc"))
    if len(found) == 1:
        return found[0]
    what = phrase("refusal.log.many_dbc", count=len(found)) if found else phrase("refusal.log.no_dbc")
    raise LogError(what, Where(file=path), phrase("refusal.log.put_dbc", name=stem.name))


def signals_of(frames: Mapping[int, Frames], database: Any, source: Source, start_s: float | None = None) -> RawLog:
    """The signals of frames through their database.

    Parameters
    ----------
    frames : Mapping[int, Frames]
        By identifier, extended ones with `EXTENDED` set.
    database : cantools database
    source : Source
        The file, for its refusals.
    start_s : float, optional
        Time that counts as 0 [s]; the first of these frames where it is not given.

    Raises
    ------
    LogError
        No frame is in the database, or none holds a signal.
    """
    messages = {
        message.frame_id | (EXTENDED if message.is_extended_frame else 0): message for message in database.messages
    }
    known = {key: each for key, each in frames.items() if key in messages}
    if not known:
        raise LogError(
            phrase("refusal.log.dbc_fits_none", count=len(frames)),
            Where(file=source.path),
            phrase("refusal.log.right_dbc"),
        )
    start = min(float(each.time_s.min()) for each in known.values()) if start_s is None else start_s
    logs = [log for key, each in known.items() for log in _message_logs(each, messages[key], start)]
    raw = joined(logs)
    if not raw.tables:
        raise LogError(phrase("refusal.log.no_signal"), Where(file=source.path), phrase("refusal.log.right_dbc"))
    unknown = len(frames) - len(known)
    remarks = (phrase("log.can.unknown", unknown=unknown, all=len(frames)),) if unknown else ()
    return RawLog(tables=raw.tables, marks=raw.marks, remarks=(*remarks, *raw.remarks))


def _message_logs(frames: Frames, message: Any, start: float) -> Iterator[RawLog]:
    """One table for the signals that every frame has, one more for each set that a multiplexer selects."""
    whole = frames.lengths >= message.length
    data, time_s = frames.data[whole], frames.time_s[whole] - start
    if time_s.size < 2:
        return
    cut = int(whole.size - whole.sum())
    remarks = (phrase("log.can.short", message=message.name, frames=cut),) if cut else ()
    always = [signal for signal in message.signals if signal.multiplexer_ids is None]
    yield _table(data, time_s, always, message.name, remarks)
    selected: dict[tuple[str, tuple[int, ...]], list[Any]] = {}
    for signal in message.signals:
        if signal.multiplexer_ids is not None:
            selected.setdefault((signal.multiplexer_signal, tuple(signal.multiplexer_ids)), []).append(signal)
    for (selector, numbers), signals in selected.items():
        is_there = np.isin(raw_numbers(data, message.get_signal_by_name(selector)), numbers)
        if is_there.sum() > 1:
            yield _table(data[is_there], time_s[is_there], signals, message.name, ())


def _table(data: Any, time_s: FloatArray, signals: list[Any], origin: str, remarks: tuple[str, ...]) -> RawLog:
    columns = [
        NamedCells(name=signal.name, unit=signal.unit or "", cells=pl.Series(physical_values(data, signal)))
        for signal in signals
        if not signal.is_multiplexer
    ]
    return assembled(columns, in_order(time_s, keeps_start=True), origin=origin, remarks=remarks)
