"""The frames of a CAN trace: candump's text read at once, other traces by python-can frame by frame.

candump writes ``(1436509052.249713) can0 044#2A366C2BBA`` into a log and
``(1436509052.249713)  can0  044   [5]  2A 36 6C 2B BA`` onto the console; CAN FD has ``##`` and one digit of flags.
"""

import io
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import polars as pl
from numpy.typing import NDArray

from nextpass.errors import LogError, Where
from nextpass.log.channel import FloatArray
from nextpass.log.read.libraries import let_go, missing_library, quiet
from nextpass.log.read.source import Source
from nextpass.log.read.text import encoding_of
from nextpass.words import phrase

# A trace of ten minutes on a full bus at 500 kbit/s has 2.7 million frames.
MOST_FRAMES = 5_000_000
EXTENDED = 1 << 31

_LOG_LINE = (
    r"^\s*\((?P<time>\d+\.\d+)\)\s+\S+\s+(?P<id>[0-9A-Fa-f]{3,8})#(?:#[0-9A-Fa-f])?"
    r"(?P<data>(?:[0-9A-Fa-f]{2}){0,64})\s*"
)
_CONSOLE_LINE = (
    r"^\s*\((?P<time>\d+\.\d+)\)\s+\S+\s+(?:[RT]X\s+\S\s+\S\s+)?(?P<id>[0-9A-Fa-f]{3,8})\s+\[\d+\]\s+"
    r"(?P<data>(?:[0-9A-Fa-f]{2}\s?){0,64})"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Frames:
    """Frames of one identifier.

    Parameters
    ----------
    time_s : ndarray, shape (n,)
    data : ndarray of uint8, shape (n, length)
        Shorter frames are filled with zeros.
    lengths : ndarray of int, shape (n,)
    """

    time_s: FloatArray
    data: NDArray[np.uint8]
    lengths: NDArray[np.int64]


def looks_like_candump(head: str) -> bool:
    """Whether most lines are frames as candump writes them."""
    lines = [line for line in head.splitlines()[:60] if line.strip()]
    frames = sum(re.match(_LOG_LINE, line) is not None or re.match(_CONSOLE_LINE, line) is not None for line in lines)
    return bool(lines) and frames > 0.6 * len(lines)


def candump_frames(source: Source) -> dict[int, Frames]:
    """Frames of a candump trace by identifier, extended ones with `EXTENDED` set."""
    text = source.read().decode(encoding_of(source.head) or "latin-1", errors="replace")
    lines = pl.Series(text.splitlines(), dtype=pl.String)
    if lines.len() > MOST_FRAMES:
        raise LogError(
            phrase("refusal.log.many_frames", most=MOST_FRAMES),
            Where(file=source.path),
            phrase("refusal.log.cut_by_attempt"),
        )
    is_console = bool(lines.head(60).str.contains(r"\[\d+\]").sum() > 0)
    parts = lines.str.extract_groups(_CONSOLE_LINE if is_console else _LOG_LINE).struct.unnest().drop_nulls()
    digits = parts["data"].str.replace_all(r"\s", "")
    return _by_identifier(
        parts["time"].cast(pl.Float64).to_numpy(),
        [_identifier(text) for text in parts["id"].to_list()],
        [bytes.fromhex(text) for text in digits.to_list()],
    )


def _identifier(text: str) -> int:
    # Three digits are an identifier of 11 bits, eight one of 29.
    return int(text, 16) | (EXTENDED if len(text) > 3 else 0)


def _by_identifier(times: FloatArray, identifiers: list[int], data: list[bytes]) -> dict[int, Frames]:
    keys = np.asarray(identifiers, dtype=np.int64)
    found: dict[int, Frames] = {}
    for key in np.unique(keys).tolist():
        rows = np.flatnonzero(keys == key)
        payloads = [data[row] for row in rows]
        lengths = np.array([len(payload) for payload in payloads], dtype=np.int64)
        width = int(lengths.max(initial=0))
        block = np.frombuffer(b"".join(payload.ljust(width, b"\x00") for payload in payloads), dtype=np.uint8)
        found[key] = Frames(time_s=times[rows], data=block.reshape(rows.size, width), lengths=lengths)
    return found


def library_frames(source: Source) -> dict[int, Frames]:
    """Frames of a trace that python-can reads: ASC, BLF, TRC, its own CSV.

    Raises
    ------
    LogError
        The library is not installed, or the trace is damaged.
    """
    where = Where(file=source.path)
    try:
        import can
    except ImportError as error:
        raise missing_library(where, phrase("refusal.log.can_traces"), "can") from error
    times: list[float] = []
    identifiers: list[int] = []
    data: list[bytes] = []
    try:
        # The readers raise whatever damage brings about: it is the file's fault.
        for message in _messages(can, source):
            if message.is_error_frame or message.is_remote_frame:
                continue
            times.append(float(message.timestamp))
            identifiers.append(int(message.arbitration_id) | (EXTENDED if message.is_extended_id else 0))
            data.append(bytes(message.data))
            if len(times) > MOST_FRAMES:
                break
    except Exception as error:
        let_go(error)
        if not times:
            raise LogError(
                phrase("refusal.log.can_damaged", why=str(error)), where, phrase("refusal.log.record_again")
            ) from error
    if not times or len(times) > MOST_FRAMES:
        what = phrase("refusal.log.many_frames", most=MOST_FRAMES) if times else phrase("refusal.log.no_frames")
        raise LogError(what, where, phrase("refusal.log.cut_by_attempt"))
    return _by_identifier(np.asarray(times), identifiers, data)


def _messages(can: Any, source: Source) -> Iterator[Any]:
    readers: dict[str, tuple[Callable[..., Any], bool]] = {
        ".asc": (can.ASCReader, True),
        ".trc": (can.TRCReader, True),
        ".csv": (can.CSVReader, True),
        ".blf": (can.BLFReader, False),
    }
    reader, is_text = readers[source.suffix]
    data = source.read()
    stream = io.StringIO(data.decode("utf-8", "replace")) if is_text else io.BytesIO(data)
    with quiet("can"), reader(stream) as messages:
        yield from messages


LIBRARY_SUFFIXES = frozenset({".asc", ".trc", ".blf"})
LIBRARY_CSV_HEADER = "timestamp,arbitration_id,extended,remote,error,dlc,data"
