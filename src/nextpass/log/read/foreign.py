"""Files that people bring for a log and that are none: told by their first bytes, or by what lies in the archive."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from nextpass.words import phrase

_SHEET = phrase("refusal.log.save_sheet")
_LOG = phrase("refusal.log.export_log")


@dataclass(frozen=True, slots=True, kw_only=True)
class Foreign:
    """What a file is instead of a log, and what to do."""

    name: str
    remedy: str = _LOG


_KINDS: tuple[tuple[re.Pattern[bytes], Foreign], ...] = (
    (re.compile(rb"%PDF-"), Foreign(name=phrase("refusal.log.foreign_kind.pdf"))),
    (
        re.compile(rb"\x89PNG|\xff\xd8\xff|GIF8|BM.{4}\x00{4}", re.DOTALL),
        Foreign(name=phrase("refusal.log.foreign_kind.picture")),
    ),
    (re.compile(rb".{4}ftyp", re.DOTALL), Foreign(name=phrase("refusal.log.foreign_kind.film"))),
    (re.compile(rb"SQLite format 3\x00"), Foreign(name=phrase("refusal.log.foreign_kind.database"))),
    (
        re.compile(rb"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"),
        Foreign(name=phrase("refusal.log.foreign_kind.office"), remedy=_SHEET),
    ),
    (
        re.compile(rb"\s*<(!doctype\s+)?html", re.IGNORECASE),
        Foreign(name=phrase("refusal.log.foreign_kind.web"), remedy=phrase("refusal.log.download_log")),
    ),
    # `[Header]` opens many a preamble: only a bracket with more of the same kind inside is JSON.
    (re.compile(rb'\s*(\{\s*["}]|\[\s*[\[{"\d])'), Foreign(name="JSON")),
    (
        re.compile(rb"\s*<\?xml(?!.{0,4000}<(\w+:)?gpx[\s>])", re.DOTALL),
        Foreign(name=phrase("refusal.log.foreign_kind.xml")),
    ),
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
        return Foreign(name=phrase("refusal.log.foreign_kind.sheet"), remedy=_SHEET)
    return Foreign(name=phrase("refusal.log.foreign_kind.text")) if "word/document.xml" in entries else None
