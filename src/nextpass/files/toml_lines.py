"""The line of every key of a TOML file, so that a message can point at the place.

The standard library parses; it keeps no lines. This small scanner walks the same text for structure alone and notes
where each key and each element of an array begins. It runs only on text that the parser has accepted, so that it need
not understand a single value. `design/toml_key_lines.py` holds the comparison with the other ways to get lines.
"""

import re
import tomllib
from bisect import bisect_right

# Names of keys, and places of elements in an array, which count from 0.
KeyPath = tuple[str | int, ...]

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
