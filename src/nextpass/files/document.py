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
from nextpass.words import phrase

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
        remedy = phrase("refusal.files.is_no", kind=kind)
        raise refusal(phrase("refusal.files.nested"), Where(file=file), remedy) from error
    except tomllib.TOMLDecodeError as error:
        raise _syntax_refusal(file, text, str(error), refusal) from error
    except ValueError as error:
        remedy = phrase("refusal.files.fewer_digits")
        raise refusal(phrase("refusal.files.number_too_long"), Where(file=file), remedy) from error
    if not values:
        raise refusal(phrase("refusal.files.no_keys"), Where(file=file), phrase("refusal.files.give", kind=kind))
    return Document(file=file, values=values, lines=lines)


def _text(file: Path, refusal: type[FileError], kind: str) -> str:
    where = Where(file=file)
    try:
        # `os.path` answers False where `pathlib` raises, as on a name that is too long.
        if os.path.isdir(file):
            raise refusal(phrase("refusal.files.is_folder"), where, phrase("refusal.files.give_in_it", kind=kind))
        if not os.path.isfile(file):
            raise refusal(phrase("refusal.files.no_such_file"), where, phrase("refusal.files.give_path", kind=kind))
        if file.stat().st_size > LARGEST_BYTES:
            what = phrase("refusal.common.larger", megabytes=LARGEST_BYTES // 1_000_000)
            raise refusal(what, where, phrase("refusal.files.is_no", kind=kind))
        raw = file.read_bytes()
    except (OSError, ValueError) as error:  # ValueError: a NUL in the path
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        remedy = phrase("refusal.files.check_path")
        raise refusal(phrase("refusal.common.unread", reason=reason), where, remedy) from error
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise refusal(phrase("refusal.files.utf16"), where, phrase("refusal.files.save_as_utf8"))
    if b"\0" in raw:
        raise refusal(phrase("refusal.files.no_text_file"), where, phrase("refusal.files.give", kind=kind))
    try:
        # Editors of one family put a byte order mark before UTF-8: it means nothing.
        text = raw.decode("utf-8").removeprefix("\ufeff")
    except UnicodeDecodeError as error:
        before = raw[: error.start]
        place = Where(file=file, line=before.count(b"\n") + 1, column=error.start - (before.rfind(b"\n") + 1) + 1)
        what = phrase("refusal.files.no_utf8", byte=f"0x{raw[error.start]:02x}")
        raise refusal(what, place, phrase("refusal.files.save_file_as_utf8")) from error
    if not text.strip():
        raise refusal(phrase("refusal.files.empty"), where, phrase("refusal.files.give", kind=kind))
    # As the parser does it; a lone carriage return stays, and the parser refuses it.
    return text.replace("\r\n", "\n")


_PLACE = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")
_TWICE = re.compile(r"Cannot declare \((.*)\) twice")
# What the parser says better said, and what to do about it.
_PARSER_SAYS = {
    "Cannot overwrite a value": (phrase("refusal.toml.key_twice"), phrase("refusal.files.remove_one")),
    "Unclosed array": (phrase("refusal.toml.open_list"), phrase("refusal.toml.close_list")),
    "Unclosed inline table": (
        phrase("refusal.toml.open_braces"),
        phrase("refusal.toml.close_braces", opening="{", closing="}"),
    ),
    "Unterminated string": (phrase("refusal.toml.open_text"), phrase("refusal.toml.close_text")),
}
# What a line looks like when it has one of the usual faults, and what to do about it.
_USUAL_FAULTS = (
    (re.compile(r"=\s*[+-]?\d+,\d+\s*(#|$)"), phrase("refusal.toml.decimal_comma")),
    (re.compile(r"=\s*[+-]?\d[\d_.]*\s*[A-Za-z%°/]+\s*(#|$)"), phrase("refusal.toml.unit_beside")),
    (re.compile(r"=\s*(True|False|yes|no|on|off|Yes|No|On|Off)\s*(#|$)"), phrase("refusal.value.true_or_false")),
    (re.compile(r"=\s*\.\d"), phrase("refusal.toml.zero_before_point")),
    (re.compile(r"=\s*[+-]?\d+\.\s*(#|$)"), phrase("refusal.toml.digit_after_point")),
    (re.compile(r"=\s*0\d"), phrase("refusal.toml.leading_zeros")),
    (re.compile(r"=\s*[A-Za-z]"), phrase("refusal.toml.unquoted_text")),
    (re.compile(r"=\s*(#|$)"), phrase("refusal.toml.no_value")),
    (re.compile(r"^\s*[\w.-]+\s*:"), phrase("refusal.toml.colon")),
    (re.compile(r"^\s*\[[^\]]*(#|$)"), phrase("refusal.toml.open_header")),
    (re.compile(r"=\s*(\"[^\"]*|'[^']*)$"), phrase("refusal.toml.open_quotation")),
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
    says: str
    remedy: str
    if twice := _TWICE.fullmatch(what):
        says = phrase("refusal.toml.table_twice", name=".".join(re.findall("'([^']*)'", twice[1])))
        remedy = phrase("refusal.files.remove_one")
    else:
        says, remedy = _PARSER_SAYS.get(what, (what[:1].lower() + what[1:], ""))
    remedy = remedy or next((advice for pattern, advice in _USUAL_FAULTS if pattern.search(written)), "")
    remedy = remedy or phrase("refusal.toml.correct_line", written=written.strip()[:60])
    return refusal(phrase("refusal.toml.invalid", what=says), Where(file=file, line=line, column=column), remedy)
