"""A TOML file with the line of every key, so that a message can point at the place.

The standard library parses; it keeps no lines. A second, small scanner walks the same text for structure alone and
notes where each key and each element of an array begins. It runs only on text that the parser has accepted, so that it
need not understand a single value. `design/toml_key_lines.py` holds the comparison with the other ways to get lines.
"""

import re
import tomllib
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from nextpass.errors import FileError, Where

KeyPath = tuple[str | int, ...]

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
        if file.is_dir():
            raise refusal("is a folder, not a file", where, f"give the {kind} in it")
        if not file.is_file():
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


_BLANK = re.compile(r"(?:[ \t\n\r]|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_STRING = re.compile(
    r'"""(?:[^"\\]|\\.|"{1,2}(?!"))*"{3,5}' r"|'''(?:[^']|'{1,2}(?!'))*'{3,5}" r'|"(?:[^"\\]|\\.)*"' r"|'[^']*'",
    re.DOTALL,
)
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_SCALAR = re.compile(r"[^,\]}#\n]+")


class _Scanner:
    """One walk over TOML text that the parser has accepted."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.line_starts = [0, *(match.end() for match in re.finditer("\n", text))]
        self.lines: dict[KeyPath, int] = {}
        self.elements: dict[KeyPath, int] = {}  # how many tables an array of tables has had so far

    def scan(self) -> dict[KeyPath, int]:
        table: KeyPath = ()
        while self.skip(_BLANK) < len(self.text):
            if self.text[self.at] == "[":
                table = self.header()
            else:
                self.assignment(table)
        return self.lines

    def header(self) -> KeyPath:
        line = self.line
        is_array = self.text.startswith("[[", self.at)
        self.at += 2 if is_array else 1
        parts = self.key()
        self.at += 2 if is_array else 1
        path: KeyPath = ()
        for depth, part in enumerate(parts, start=1):
            path += (part,)
            is_last = depth == len(parts)
            if is_last and not is_array:
                self.lines[path] = line
            else:
                self.lines.setdefault(path, line)
            if is_last and is_array:
                index = self.elements.get(path, -1) + 1
                self.elements[path] = index
                path += (index,)
                self.lines[path] = line
            elif path in self.elements:
                path += (self.elements[path],)
        return path

    def assignment(self, table: KeyPath) -> None:
        line = self.line
        path = table
        for part in self.key():
            path += (part,)
            self.lines.setdefault(path, line)
        self.at += 1  # the =
        self.skip(_SPACE)
        self.value(path)

    def key(self) -> list[str]:
        parts = []
        while True:
            self.skip(_SPACE)
            if quoted := _STRING.match(self.text, self.at):
                self.at = quoted.end()
                parts.append(str(tomllib.loads(f"key = {quoted[0]}")["key"]))
            else:
                start = self.at
                self.skip(_BARE)
                parts.append(self.text[start : self.at])
            self.skip(_SPACE)
            if self.text[self.at] != ".":
                return parts
            self.at += 1

    def value(self, path: KeyPath) -> None:
        opening = self.text[self.at]
        if opening == "[":
            self.array(path)
        elif opening == "{":
            self.inline_table(path)
        elif opening in "\"'":
            self.skip(_STRING)
        else:
            self.skip(_SCALAR)

    def array(self, path: KeyPath) -> None:
        self.at += 1
        index = 0
        self.skip(_BLANK)
        while self.text[self.at] != "]":
            element = (*path, index)
            self.lines[element] = self.line
            self.value(element)
            self.skip(_BLANK)
            if self.text[self.at] == ",":
                self.at += 1
                self.skip(_BLANK)
            index += 1
        self.at += 1

    def inline_table(self, path: KeyPath) -> None:
        self.at += 1
        self.skip(_BLANK)
        while self.text[self.at] != "}":
            self.assignment(path)
            self.skip(_BLANK)
            if self.text[self.at] == ",":
                self.at += 1
                self.skip(_BLANK)
        self.at += 1

    def skip(self, pattern: re.Pattern[str]) -> int:
        match = pattern.match(self.text, self.at)
        if match:
            self.at = match.end()
        return self.at

    @property
    def line(self) -> int:
        return bisect_right(self.line_starts, self.at)


def key_lines(text: str) -> dict[KeyPath, int]:
    """Line, counted from 1, of every table, key and array element of TOML text that the parser accepts.

    Parameters
    ----------
    text : str
        Valid TOML with line feeds as line ends.

    Returns
    -------
    dict
        From key path to line; elements of arrays count from 0.
    """
    return _Scanner(text).scan()
