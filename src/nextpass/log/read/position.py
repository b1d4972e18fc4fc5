"""Position and speed over ground: NMEA 0183 sentences and GPX tracks.

References
----------
NMEA 0183: RMC, GGA and VTG sentences, checksum as the exclusive or of all signs between ``$`` and ``*`` (memory).
Topografix, GPX 1.1 schema: trkpt with lat and lon in degrees of WGS 84, ele in metres, time in UTC; speed [m/s] as in
GPX 1.0 or an extension (memory).
"""

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import reduce
from operator import xor
from xml.etree import ElementTree

import numpy as np
import polars as pl

from nextpass.errors import LogError, Where
from nextpass.log.answers import AnswerBook
from nextpass.log.channel import Mark
from nextpass.log.hints import LogHints
from nextpass.log.order import in_order
from nextpass.log.read.assemble import NamedCells, assembled
from nextpass.log.read.raw import RawLog
from nextpass.log.read.source import Source
from nextpass.log.read.text import encoding_of
from nextpass.words import phrase

SENTENCE = re.compile(r"\$(?P<body>[A-Z]{2}(?P<kind>[A-Z]{3}),[^*$\r\n]*)\*(?P<sum>[0-9A-Fa-f]{2})")
_DAY_S = 86400.0
# Names and units under which the parts of a fix go on to the matching.
_UNITS = {
    "gps speed": "kn",
    "latitude": "deg",
    "longitude": "deg",
    "gps heading": "deg",
    "altitude": "m",
    "satellites": "",
}


@dataclass(slots=True)
class _Fix:
    """What the sentences of one moment say."""

    time_s: float
    values: dict[str, float] = field(default_factory=dict)


def looks_like_nmea(head: str) -> bool:
    """Whether the text holds NMEA sentences with their checksum in most of its lines."""
    lines = [line for line in head.splitlines()[:60] if line.strip()]
    return bool(lines) and sum(SENTENCE.search(line) is not None for line in lines) > 0.5 * len(lines)


def read_nmea(source: Source, hints: LogHints, book: AnswerBook) -> RawLog:  # noqa: ARG001 - every reader's form
    """Fixes of an NMEA 0183 log; the sentences of one time of day make one fix.

    Raises
    ------
    LogError
        No sentence gives a time and a position.
    """
    where = Where(file=source.path)
    text = source.read().decode(encoding_of(source.head) or "latin-1", errors="replace")
    fixes: list[_Fix] = []
    damaged = 0
    for found in SENTENCE.finditer(text):
        if reduce(xor, found["body"].encode("latin-1", "replace")) != int(found["sum"], 16):
            damaged += 1
            continue
        _add_sentence(found["kind"], found["body"].split(","), fixes)
    named = [fix for fix in fixes if fix.values]
    if len(named) < 2:
        raise LogError(phrase("refusal.log.few_fixes"), where, phrase("refusal.log.log_fixes"))
    remarks = (phrase("log.position.damaged", sentences=damaged),) if damaged else ()
    return _raw_log(named, _UNITS, (), remarks)


def _add_sentence(kind: str, parts: list[str], fixes: list[_Fix]) -> None:
    if kind == "RMC" and len(parts) > 8:
        fix = _fix_at(parts[1], fixes)
        if fix is not None and parts[2] == "A":
            _put(fix, parts[3:7], {"gps speed": parts[7], "gps heading": parts[8]})
    elif kind == "GGA" and len(parts) > 9:
        fix = _fix_at(parts[1], fixes)
        if fix is not None and parts[6] not in {"", "0"}:
            _put(fix, parts[2:6], {"altitude": parts[9], "satellites": parts[7]})
    elif kind == "VTG" and len(parts) > 5 and fixes:
        # It has no time of its own: it belongs to the fix that came before it.
        _put(fixes[-1], [], {"gps heading": parts[1], "gps speed": parts[5]})


def _fix_at(clock: str, fixes: list[_Fix]) -> _Fix | None:
    if re.fullmatch(r"\d{6}(\.\d+)?", clock) is None:
        return None
    time_s = int(clock[:2]) * 3600.0 + int(clock[2:4]) * 60.0 + float(clock[4:])
    if fixes:
        # Over midnight the time of day starts again.
        time_s += _DAY_S * round((fixes[-1].time_s - time_s) / _DAY_S)
        if abs(fixes[-1].time_s - time_s) < 5e-4:
            return fixes[-1]
    fixes.append(_Fix(time_s))
    return fixes[-1]


def _put(fix: _Fix, place: list[str], others: Mapping[str, str]) -> None:
    if len(place) == 4:
        latitude, longitude = _degrees(place[0], place[1], "S"), _degrees(place[2], place[3], "W")
        fix.values.update({"latitude": latitude, "longitude": longitude})
    fix.values.update({name: _float(text) for name, text in others.items() if text})


def _degrees(text: str, hemisphere: str, negative: str) -> float:
    """``4807.038`` with ``N``: 48 degrees and 7.038 minutes."""
    value = _float(text)
    degrees = math.floor(value / 100.0) if math.isfinite(value) else math.nan
    return (degrees + (value - 100.0 * degrees) / 60.0) * (-1.0 if hemisphere == negative else 1.0)


def _float(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return math.nan


def _raw_log(fixes: list[_Fix], units: Mapping[str, str], marks: tuple[Mark, ...], remarks: tuple[str, ...]) -> RawLog:
    start = fixes[0].time_s
    ordered = in_order(np.array([fix.time_s - start for fix in fixes]), keeps_start=True)
    names = [name for name in units if any(name in fix.values for fix in fixes)]
    columns = [
        NamedCells(name=name, unit=units[name], cells=pl.Series([fix.values.get(name, math.nan) for fix in fixes]))
        for name in names
    ]
    raw = assembled(columns, ordered, remarks=remarks)
    moved = tuple(Mark(time_s=mark.time_s - start, text=mark.text) for mark in marks)
    return RawLog(tables=raw.tables, marks=moved, remarks=raw.remarks)


def looks_like_gpx(head: str) -> bool:
    """Whether the text is a GPX document."""
    return re.search(r"<(\w+:)?gpx[\s>]", head[:4096]) is not None


def read_gpx(source: Source, hints: LogHints, book: AnswerBook) -> RawLog:  # noqa: ARG001 - every reader's form
    """Track points of a GPX document; its named waypoints with a time are marks.

    Raises
    ------
    LogError
        It is not well formed, or has fewer than two track points with a time.
    """
    where = Where(file=source.path)
    text = source.read().decode(encoding_of(source.head) or "utf-8", errors="replace")
    # A document type may define entities that grow without bound; GPX has none.
    if "<!DOCTYPE" in text or "<!ENTITY" in text:
        raise LogError(phrase("refusal.log.gpx_declares"), where, phrase("refusal.log.export_it_again"))
    fixes: list[_Fix] = []
    marks: list[Mark] = []
    try:
        for element in ElementTree.fromstring(text).iter():
            kind = _local(element.tag)
            if kind in {"trkpt", "rtept"}:
                fixes.extend(_track_point(element))
            elif kind == "wpt":
                marks.extend(_way_point(element))
    except (ElementTree.ParseError, UnicodeError, ValueError) as error:
        raise LogError(
            phrase("refusal.log.gpx_damaged", why=str(error)), where, phrase("refusal.log.export_it_again")
        ) from error
    if len(fixes) < 2:
        raise LogError(phrase("refusal.log.few_points"), where, phrase("refusal.log.export_with_times"))
    return _raw_log(fixes, {**_UNITS, "gps speed": "m/s"}, tuple(marks), ())


def _local(tag: object) -> str:
    return str(tag).rpartition("}")[2]


def _track_point(element: ElementTree.Element) -> Iterator[_Fix]:
    time_s = _epoch_s(_text_of(element, "time"))
    if time_s is None:
        return
    values = {
        "latitude": _float(element.get("lat", "")),
        "longitude": _float(element.get("lon", "")),
        "altitude": _float(_text_of(element, "ele")),
        "gps speed": _float(_text_of(element, "speed")),
        "gps heading": _float(_text_of(element, "course")),
        "satellites": _float(_text_of(element, "sat")),
    }
    yield _Fix(time_s, {name: value for name, value in values.items() if math.isfinite(value)})


def _way_point(element: ElementTree.Element) -> Iterator[Mark]:
    time_s = _epoch_s(_text_of(element, "time"))
    if time_s is not None:
        yield Mark(time_s=time_s, text=(_text_of(element, "name") or "waypoint")[:200])


def _text_of(element: ElementTree.Element, name: str) -> str:
    """Text of the first part of this name, at whatever depth: extensions nest."""
    return next((each.text or "" for each in element.iter() if _local(each.tag) == name), "").strip()


def _epoch_s(text: str) -> float | None:
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        return None
    # GPX times are UTC where they do not say otherwise.
    return (at if at.tzinfo else at.replace(tzinfo=UTC)).timestamp()
