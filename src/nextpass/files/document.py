"""A TOML file as its values with their lines, or one refusal that says why it is none."""

import os
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from nextpass.errors import FileError, Where
from nextpass.files.toml_lines import KeyPath, key_lines

# A car file has 2 kB. What is far larger is another file given by mistake, such as a log.
LARGEST_BYTES = 1_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """A parsed file and the line of each key path in it; array elements count from 0 in a path.

    `file` is None for values that were given in another way, as answers to questions are.
    """

    file: Path | None
    values: Mapping[str, Any]
    lines: Mapping[KeyPath, int]

    def line(self, path: KeyPath) -> int | None:
        """Line of a key, or of the nearest table around it; None for the file as a whole."""
        while path and path not in self.lines:
            path = path[:-1]
        return self.lines.get(path)


def load_toml(file: Path, refusal: type[FileError], kind: str) -> Document:
    """A TOML file with its lines.

    Parameters
    ----------
    file : Path
        The file to read.
    refusal : type of FileError
        What to raise.
    kind : str
        What the file should be, such as ``car file``.

    Raises
    ------
    FileError
        Of the type `refusal`: no such file, not a file, not text in UTF-8, empty, or not TOML.
    """
    text = _text(file, refusal, kind)
    try:
        values = tomllib.loads(text)
        lines = key_lines(text)
    except RecursionError as error:
        raise refusal("brackets are nested too deeply to be read", Where(file=file), f"this is no {kind}") from error
    except tomllib.TOMLDecodeError as error:
        raise _syntax_refusal(file, text, str(error), refusal) from error
    except ValueError as error:
        raise refusal("a number in it is too long to be read", Where(file=file), "write fewer digits") from error
    if not values:
        raise refusal("holds no keys", Where(file=file), f"give a {kind}")
    return Document(file=file, values=values, lines=lines)


def _text(file: Path, refusal: type[FileError], kind: str) -> str:
    where = Where(file=file)
    try:
        # `os.path` answers False where `pathlib` raises, as on a name that is too long.
        if os.path.isdir(file):
            raise refusal("is a folder, not a file", where, f"give the {kind} in it")
        if not os.path.isfile(file):
            raise refusal("there is no such file", where, f"give the path of a {kind}")
        if file.stat().st_size > LARGEST_BYTES:
            raise refusal(f"is larger than {LARGEST_BYTES // 1_000_000} MB", where, f"this is no {kind}")
        raw = file.read_bytes()
    except (OSError, ValueError) as error:  # ValueError: a NUL in the path
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise refusal(f"cannot be read: {reason}", where, "check the path and its permissions") from error
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise refusal("is written in UTF-16", where, "save it as UTF-8")
    if b"\0" in raw:
        raise refusal("is not a text file", where, f"give a {kind}")
    try:
        # Editors of one family put a byte order mark before UTF-8: it means nothing.
        text = raw.decode("utf-8").removeprefix("\ufeff")
    except UnicodeDecodeError as error:
        before = raw[: error.start]
        place = Where(file=file, line=before.count(b"\n") + 1, column=error.start - (before.rfind(b"\n") + 1) + 1)
        raise refusal(f"byte 0x{raw[error.start]:02x} is not text in UTF-8", place, "save the file as UTF-8") from error
    if not text.strip():
        raise refusal("is empty", where, f"give a {kind}")
    # As the parser does it; a lone carriage return stays, and the parser refuses it.
    return text.replace("\r\n", "\n")


_PLACE = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")
_TWICE = re.compile(r"Cannot declare \((.*)\) twice")
# What the parser says better said, and what to do about it.
_PARSER_SAYS = {
    "Cannot overwrite a value": ("a key stands here for the second time", "remove one"),
    "Unclosed array": ("a list is not closed", "close the list that begins above with ]"),
    "Unclosed inline table": ("a table in braces is not closed", "close the { that begins above with }"),
    "Unterminated string": ("a text is not closed", "close the quotation mark that begins above"),
}
# What a line looks like when it has one of the usual faults, and what to do about it.
_USUAL_FAULTS = (
    (re.compile(r"=\s*[+-]?\d+,\d+\s*(#|$)"), "write the decimal point as a point, not a comma"),
    (
        re.compile(r"=\s*[+-]?\d[\d_.]*\s*[A-Za-z%°/]+\s*(#|$)"),
        "write the number alone; its unit stands in the key's name",
    ),
    (re.compile(r"=\s*(True|False|yes|no|on|off|Yes|No|On|Off)\s*(#|$)"), "write true or false"),
    (re.compile(r"=\s*\.\d"), "write a zero before the decimal point"),
    (re.compile(r"=\s*[+-]?\d+\.\s*(#|$)"), "write a digit after the decimal point, or none"),
    (re.compile(r"=\s*0\d"), "write the number without leading zeros"),
    (re.compile(r"=\s*[A-Za-z]"), "put text between quotation marks"),
    (re.compile(r"=\s*(#|$)"), "write a value after the ="),
    (re.compile(r"^\s*[\w.-]+\s*:"), "write key = value, with =, not :"),
    (re.compile(r"^\s*\[[^\]]*(#|$)"), "close the [ with ]"),
    (re.compile(r"=\s*(\"[^\"]*|'[^']*)$"), "close the quotation mark"),
)


def _syntax_refusal(file: Path, text: str, message: str, refusal: type[FileError]) -> FileError:
    place = _PLACE.search(message)
    what = message[: place.start()] if place else message
    if place and place[1]:
        line, column = int(place[1]), int(place[2])
    else:
        line, column = text.rstrip("\n").count("\n") + 1, 1
    lines = text.split("\n")
    written = lines[line - 1] if line <= len(lines) else ""
    if column == 1 and line > 1 and not written.strip():
        # The parser notices at the start of the next line what is wrong at the end of this one.
        line, written = line - 1, lines[line - 2]
        column = len(written) + 1
    if twice := _TWICE.fullmatch(what):
        names = re.findall("'([^']*)'", twice[1])
        what, remedy = f"[{'.'.join(names)}] stands here for the second time", "remove one"
    else:
        what, remedy = _PARSER_SAYS.get(what, (what, ""))
    remedy = remedy or next((advice for pattern, advice in _USUAL_FAULTS if pattern.search(written)), "")
    remedy = remedy or f"correct this line: {written.strip()[:60]}"
    what = what[:1].lower() + what[1:]
    return refusal(f"not valid TOML: {what}", Where(file=file, line=line, column=column), remedy)
