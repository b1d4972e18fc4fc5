"""Texts by key and language, read once from the tables beside this file."""

import re
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any

from nextpass.words.figures import with_decimal_mark

# Endonyms: a language is offered under the name that its speakers give it.
LANGUAGES: Mapping[str, str] = MappingProxyType({"en": "English", "de": "Deutsch"})
# What these say is copied into a file, and there a decimal mark is a point in every language.
_QUOTES_A_FILE = ("refusal.files.", "refusal.value.", "refusal.setting.", "refusal.toml.", "doubt.ethanol_share.remedy")
_FIGURE = re.compile(r"[+-]?\d+\.\d+")


class Phrase(str):
    """An English text that knows its key and values, so that it can be said in another language.

    Parameters
    ----------
    key : str
        Dotted path in the tables.
    values : Mapping[str, object]
        What the placeholders hold; a value may itself be a phrase.
    """

    __slots__ = ("key", "values")

    key: str
    values: dict[str, object]

    def __new__(cls, key: str, values: Mapping[str, object]) -> "Phrase":
        """Text of the key in English, with the key kept."""
        self = super().__new__(cls, text(key, "en", **values))
        self.key = key
        self.values = dict(values)
        return self

    # A str pickles as its text alone; the key must cross to worker processes too.
    def __reduce__(self) -> tuple[type["Phrase"], tuple[str, dict[str, object]]]:
        return Phrase, (self.key, self.values)


def phrase(key: str, **values: object) -> Phrase:
    """Text of a key as a string that can be translated later.

    Parameters
    ----------
    key : str
        Dotted path in the tables.
    **values : object
        What the placeholders hold.

    Returns
    -------
    Phrase
        The English text.
    """
    return Phrase(key, values)


def translated(text_or_phrase: str, language: str) -> str:
    """Same text in another language, where it is a phrase; a plain string is the user's own and stays.

    Parameters
    ----------
    text_or_phrase : str
        Any text of a record.
    language : str
        One of `LANGUAGES`.

    Returns
    -------
    str
        The text to show.
    """
    if isinstance(text_or_phrase, Phrase):
        return text(text_or_phrase.key, language, **text_or_phrase.values)
    return text_or_phrase


def to_data(said: object) -> object:
    """A text as JSON takes it, its key and values kept where it is a phrase; anything else as it is."""
    if isinstance(said, Phrase):
        return {"key": said.key, "values": {name: to_data(value) for name, value in said.values.items()}}
    return said


def from_data(data: Any) -> Any:
    """What `to_data` was given."""
    if isinstance(data, dict):
        return Phrase(data["key"], {name: from_data(value) for name, value in data["values"].items()})
    return data


def text(key: str, language: str = "en", **values: object) -> str:
    """Text of a key in a language, placeholders filled.

    Parameters
    ----------
    key : str
        Dotted path in the tables.
    language : str
        One of `LANGUAGES`.
    **values : object
        What the placeholders hold; phrases among them are translated, figures written as the language writes them.

    Returns
    -------
    str
        The text to show.

    Raises
    ------
    KeyError
        No such key or language: a fault of the program, which the tests look for.
    """
    template = _texts(language)[key]
    if not values:
        return template
    shown = {name: _said(value, language) for name, value in values.items()}
    if not key.startswith(_QUOTES_A_FILE):
        shown = {name: _Figure(value, language) if _is_figure(value) else value for name, value in shown.items()}
    return template.format(**shown)


def keys(language: str) -> frozenset[str]:
    """Every key that a language has.

    Parameters
    ----------
    language : str
        One of `LANGUAGES`.

    Returns
    -------
    frozenset of str
        Dotted paths.
    """
    return frozenset(_texts(language))


def _said(value: object, language: str) -> object:
    return translated(value, language) if isinstance(value, Phrase) else value


class _Figure:
    """A number, or one that was rounded to text already, as a template shows it in a language."""

    def __init__(self, value: object, language: str) -> None:
        self._value = value
        self._language = language

    def __format__(self, spec: str) -> str:
        return with_decimal_mark(format(self._value, spec), self._language)

    # A template that quotes what it is given means it as it stands.
    def __repr__(self) -> str:
        return repr(self._value)


def _is_figure(value: object) -> bool:
    return isinstance(value, float) or (isinstance(value, str) and _FIGURE.fullmatch(value) is not None)


@cache
def _texts(language: str) -> dict[str, str]:
    if language not in LANGUAGES:
        raise KeyError(language)
    found: dict[str, str] = {}
    for table in sorted(files("nextpass.words").iterdir(), key=lambda entry: entry.name):
        # One table for what all pages share, and one for each part that has many texts of its own.
        if table.name == f"{language}.toml" or table.name.endswith(f".{language}.toml"):
            found |= _flat(tomllib.loads(table.read_text(encoding="utf-8")))
    return found


def _flat(table: Mapping[str, Any], path: str = "") -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    for name, value in table.items():
        key = f"{path}.{name}" if path else name
        found += _flat(value, key) if isinstance(value, dict) else [(key, str(value))]
    return found
