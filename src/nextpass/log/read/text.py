"""Which encoding a text has, and the text as UTF-8 for the table reader."""

import codecs
import re
from pathlib import Path

from nextpass.errors import LogError, Where
from nextpass.log.read.source import HEAD_BYTES, Source
from nextpass.words import phrase

_BOMS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
# Text has tabs, ends of line and form feeds; a share of other control signs above this is another kind of file.
_CONTROL = bytes(set(range(32)) - {9, 10, 12, 13})
_MOST_CONTROL = 0.005
# A logger that loses its power leaves a stretch of zeros: nothing was written there, which speaks against no format.
_NEVER_WRITTEN = re.compile(rb"\x00{16,}")


def encoding_of(head: bytes) -> str:
    """Name of the encoding of a text, from its first bytes; empty where it is no text."""
    for bom, name in _BOMS:
        if head.startswith(bom):
            return name
    # Latin text in UTF-16 has a zero in every second byte.
    pairs = head[: len(head) // 2 * 2]
    for start, name in ((1, "utf-16-le"), (0, "utf-16-be")):
        if len(pairs) >= 4 and pairs[start::2].count(0) > 0.6 * len(pairs) / 2 and pairs[1 - start :: 2].count(0) == 0:
            return name
    written = _NEVER_WRITTEN.sub(b"", head)
    if len(written) - len(written.translate(None, _CONTROL)) > _MOST_CONTROL * len(written):
        return ""
    try:
        codecs.getincrementaldecoder("utf-8")().decode(head)
    except UnicodeDecodeError:
        return "latin-1"
    return "utf-8"


def decoded_head(source: Source) -> tuple[str, str]:
    """Whole lines from the start of the text, and the text's encoding.

    Raises
    ------
    LogError
        It is no text, or its first line does not end.
    """
    encoding = encoding_of(source.head)
    if not encoding:
        raise LogError(phrase("refusal.log.no_text"), Where(file=source.path))
    head = codecs.getincrementaldecoder(encoding)(errors="replace").decode(source.head)
    head = head.replace("\x00", "")
    if len(source.head) < HEAD_BYTES:
        return head, encoding
    end = max(head.rfind("\n"), head.rfind("\r"))
    if end < 0:
        raise LogError(phrase("refusal.log.long_first_line", kilobytes=HEAD_BYTES >> 10), Where(file=source.path))
    return head[: end + 1], encoding


def utf8_content(source: Source, encoding: str, head: str) -> Path | bytes:
    """The text as UTF-8 with line feeds: the file itself where it already is, else its bytes rewritten."""
    has_bare_returns = "\r" in head and "\n" not in head
    if encoding in {"utf-8", "utf-8-sig"} and not has_bare_returns and b"\x00" not in source.head:
        return source.path if source.data is None else source.data
    return rewritten(source, encoding)


def rewritten(source: Source, encoding: str) -> bytes:
    """The text as UTF-8 with line feeds, signs that cannot be read replaced."""
    text = source.read().decode(encoding, errors="replace").replace("\x00", "")
    return text.replace("\r\n", "\n").replace("\r", "\n").encode("utf-8")
