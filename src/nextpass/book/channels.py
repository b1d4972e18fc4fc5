"""The channels of a log as Parquet beside the book, exactly as they were read: quick to read again.

One row a clock and one row a channel, each with its samples as a list, so that every channel keeps its own clock and
every digit. The file can be made anew from the log at any time: one that is missing or damaged is no loss. Its name
holds what the reading depended on; when that changes, the file is replaced.
"""

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq

from nextpass.book.files import write_kept
from nextpass.log import Channel, Gap, Log, LogQuality, Mark, Match
from nextpass.words import from_data, to_data

CHANNEL_FOLDER = "channels"
_ABOUT = b"nextpass"
_SCHEMA = pa.schema(
    {
        "role": pa.string(),
        "name": pa.string(),
        "clock": pa.int32(),
        "source": pa.string(),
        "is_step": pa.bool_(),
        "samples": pa.list_(pa.float64()),
    }
)


def reading_key(*parts: object) -> str:
    """A short name for all that a reading depends on: program, hints, what was said about columns."""
    return hashlib.sha256("\x1f".join(map(repr, parts)).encode()).hexdigest()[:16]


def keep_channels(folder: Path, logs_sha256: str, key: str, log: Log) -> None:
    """Keep a log that was read, in place of an older reading of the same files.

    Parameters
    ----------
    folder : Path
        Of the book.
    logs_sha256 : str
        Of the files that it was read from.
    key : str
        From `reading_key`.
    log : Log
    """
    target = _path(folder, logs_sha256, key)
    table = pa.Table.from_pylist(list(_rows(log)), schema=_SCHEMA).replace_schema_metadata({_ABOUT: _about(log)})
    write_kept(
        folder,
        target,
        lambda path: pq.write_table(table, path, compression="zstd", compression_level=1, write_page_checksum=True),
    )
    for older in target.parent.glob(f"{logs_sha256}.*.parquet"):
        if older != target:
            older.unlink(missing_ok=True)


def kept_channels(folder: Path, logs_sha256: str, key: str) -> Log | None:
    """A log as it was read before, or None where that reading is not kept or its file is damaged."""
    path = _path(folder, logs_sha256, key)
    if not path.exists():
        return None
    try:
        table = pq.read_table(path, page_checksum_verification=True)
        return _log(table)
    except (OSError, pa.ArrowException, KeyError, ValueError, TypeError):
        return None


def _rows(log: Log) -> Iterable[dict[str, Any]]:
    clocks: dict[bytes, int] = {}
    for role, channels in (("channel", log.channels), ("unmatched", log.unmatched)):
        for name, channel in channels.items():
            clock = channel.time_s.tobytes()
            if clock not in clocks:
                clocks[clock] = len(clocks)
                yield {"role": "clock", "clock": clocks[clock], "samples": channel.time_s}
            yield {
                "role": role,
                "name": name,
                "clock": clocks[clock],
                "source": channel.source,
                "is_step": channel.is_step,
                "samples": channel.values,
            }


def _match(kept: Mapping[str, Any]) -> Match:
    texts = {name: from_data(value) for name, value in kept.items()}
    return Match(**{**texts, "choices": tuple(kept["choices"])})


def _about(log: Log) -> bytes:
    quality = log.quality
    about = {
        "marks": [asdict(mark) for mark in log.marks],
        "quality": {
            "rate_hz": quality.rate_hz,
            "gaps": [asdict(gap) for gap in quality.gaps],
            "remarks": [to_data(remark) for remark in quality.remarks],
            "rates_hz": dict(quality.rates_hz),
            "jitter_s": quality.jitter_s,
        },
        "matches": [{name: to_data(value) for name, value in asdict(match).items()} for match in log.matches],
        "header_key": log.header_key,
    }
    # Figures among the texts may be numpy's.
    return json.dumps(about, default=float).encode()


def _log(table: pa.Table) -> Log:
    clocks: dict[int, Any] = {}
    found: Mapping[str, dict[str, Channel]] = {"channel": {}, "unmatched": {}}
    columns = {name: table.column(name).to_pylist() for name in ("role", "name", "clock", "source", "is_step")}
    samples = table.column("samples")
    for row, (role, clock) in enumerate(zip(columns["role"], columns["clock"], strict=True)):
        values = np.asarray(samples[row].values.to_numpy(zero_copy_only=False), dtype=np.float64)
        if role == "clock":
            clocks[clock] = values
            continue
        name = columns["name"][row]
        found[role][name] = Channel(
            name=name,
            time_s=clocks[clock],
            values=values,
            source=columns["source"][row],
            is_step=columns["is_step"][row],
        )
    about = json.loads(table.schema.metadata[_ABOUT])
    quality = about["quality"]
    return Log(
        channels=found["channel"],
        unmatched=found["unmatched"],
        marks=tuple(Mark(**mark) for mark in about["marks"]),
        quality=LogQuality(
            rate_hz=quality["rate_hz"],
            gaps=tuple(Gap(**gap) for gap in quality["gaps"]),
            remarks=tuple(from_data(remark) for remark in quality["remarks"]),
            rates_hz=quality["rates_hz"],
            jitter_s=quality["jitter_s"],
        ),
        matches=tuple(_match(match) for match in about["matches"]),
        header_key=about["header_key"],
    )


def _path(folder: Path, logs_sha256: str, key: str) -> Path:
    return folder / CHANNEL_FOLDER / logs_sha256[:2] / f"{logs_sha256}.{key}.parquet"
