"""ASAM MDF 4 measurement files, by asammdf, which is imported only when such a file comes."""

import io
from typing import Any

import numpy as np
import polars as pl

from nextpass.errors import LogError, Where
from nextpass.log.answers import AnswerBook
from nextpass.log.channel import Mark
from nextpass.log.hints import LogHints
from nextpass.log.order import in_order
from nextpass.log.read.assemble import NamedCells, assembled, joined
from nextpass.log.read.libraries import let_go, missing_library, quiet
from nextpass.log.read.mdf_blocks import DamagedBlocks, check_blocks
from nextpass.log.read.raw import RawLog
from nextpass.log.read.source import Source

MAGIC = b"MDF     "
_EV_MARK = 6  # event type "marker" (ASAM MDF 4.1, EV block, memory)


def read_mdf(source: Source, hints: LogHints, book: AnswerBook) -> RawLog:  # noqa: ARG001 - every reader's form
    """The channels of an MDF 4 file, group by group.

    Raises
    ------
    LogError
        The library is not installed, the file is older than MDF 4, or damaged.
    """
    where = Where(file=source.path)
    version = source.head[8:16].strip(b"\x00 ")
    if not version.startswith(b"4."):
        found = version.decode("latin-1", "replace")
        raise LogError(f"it is MDF {found!r}; only MDF 4 is read", where, "export it as MDF 4.1")
    try:
        from asammdf import MDF
    except ImportError as error:
        raise missing_library(where, "MDF", "mdf") from error
    data = source.read()
    try:
        check_blocks(data)
        # Whatever damage does to the library's parser is the file's fault: it raises a dozen kinds of exceptions.
        with quiet("asammdf"), MDF(io.BytesIO(data)) as file:
            return _raw_log(file)
    except DamagedBlocks as error:
        raise LogError(f"the MDF file is damaged: {error}", where, "copy it again") from error
    except LogError:
        raise
    except Exception as error:
        let_go(error)
        raise LogError(f"the MDF file is damaged ({type(error).__name__}: {error})", where, "copy it again") from error


def _raw_log(file: Any) -> RawLog:
    read: list[tuple[str, list[Any]]] = []
    for number, group in enumerate(file.groups):
        master = file.masters_db.get(number)
        wanted = [(None, number, index) for index in range(len(group.channels)) if index != master]
        if master is None or not wanted or group.channel_group.cycles_nr < 2:
            continue
        signals = [each for each in file.select(wanted, copy_master=False) if _is_column(each)]
        if signals:
            read.append((str(group.channel_group.acq_name or ""), signals))
    # The groups of a file count from one start: the earliest of their first times.
    start = min((float(np.nanmin(signals[0].timestamps)) for _, signals in read), default=0.0)
    raw = joined(_table(origin, signals, start) for origin, signals in read)
    if not raw.tables:
        raise LogError("it holds no channel with a time", remedy="export it with its time channels")
    return RawLog(tables=raw.tables, marks=(*raw.marks, *_events(file)), remarks=raw.remarks)


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
