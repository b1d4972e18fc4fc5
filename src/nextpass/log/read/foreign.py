"""Files that people bring for a log and that are none: told by their first bytes, or by what lies in the archive."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

_SHEET = "open it and save the sheet as CSV"
_LOG = "export the log itself as CSV, MDF 4 or Parquet"


@dataclass(frozen=True, slots=True, kw_only=True)
class Foreign:
    """What a file is instead of a log, and what to do."""

    name: str
    remedy: str = _LOG


_KINDS: tuple[tuple[re.Pattern[bytes], Foreign], ...] = (
    (re.compile(rb"%PDF-"), Foreign(name="a PDF document")),
    (re.compile(rb"\x89PNG|\xff\xd8\xff|GIF8|BM.{4}\x00{4}", re.DOTALL), Foreign(name="a picture")),
    (re.compile(rb".{4}ftyp", re.DOTALL), Foreign(name="a film or a picture")),
    (re.compile(rb"SQLite format 3\x00"), Foreign(name="a database")),
    (re.compile(rb"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"), Foreign(name="an office document", remedy=_SHEET)),
    (
        re.compile(rb"\s*<(!doctype\s+)?html", re.IGNORECASE),
        Foreign(name="a web page", remedy="download the log itself"),
    ),
    # `[Header]` opens many a preamble: only a bracket with more of the same kind inside is JSON.
    (re.compile(rb'\s*(\{\s*["}]|\[\s*[\[{"\d])'), Foreign(name="JSON")),
    (re.compile(rb"\s*<\?xml(?!.{0,4000}<(\w+:)?gpx[\s>])", re.DOTALL), Foreign(name="XML other than GPX")),
)
_SHEETS = frozenset({"xl/workbook.xml", "xl/workbook.bin", "content.xml"})


def foreign_file(head: bytes) -> Foreign | None:
    """What the file is instead of a log; None where its first bytes do not tell."""
    bare = head[3:] if head.startswith(b"\xef\xbb\xbf") else head
    return next((foreign for pattern, foreign in _KINDS if pattern.match(bare)), None)


def foreign_archive(names: Iterable[str]) -> Foreign | None:
    """What an archive with these entries is instead of a packed log."""
    entries = set(names)
    if entries & _SHEETS:
        return Foreign(name="a spreadsheet", remedy=_SHEET)
    return Foreign(name="a text document") if "word/document.xml" in entries else None
