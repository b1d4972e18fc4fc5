"""A car file as a form: each key with what stands there, and the same file again with some of it changed.

The file stays the owner's: comments and order are kept, only the values that were changed are written, and whatever
comes out is read strictly before it is kept.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from nextpass.errors import SettingError, Where
from nextpass.files import CAR_TABLES, ONE_FUEL, Key, Table
from nextpass.words import phrase

KeyPath = tuple[str, ...]
_LISTS = ("numbers", "number_or_numbers")


@dataclass(frozen=True, slots=True, kw_only=True)
class FormRow:
    """One key of a car file.

    Parameters
    ----------
    path : tuple of str
        Names of the tables and the key; a pump stands by its place in the list.
    key : Key
        Its kind, unit and range.
    text : str
        What stands in the file, as a person writes it; empty where the key is left out.
    """

    path: KeyPath
    key: Key
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FormTable:
    """One table of a car file: its name, the fuel's or pump's own name where it has one, and its keys."""

    name: str
    own_name: str
    rows: tuple[FormRow, ...]


def car_form(file_text: str) -> tuple[FormTable, ...]:
    """Tables of a car file with what stands at each key; adjusters are left to their own form.

    Parameters
    ----------
    file_text : str
        A car file that reads.

    Returns
    -------
    tuple of FormTable
        In the order of the contract, each pump and each fuel as a table of its own.
    """
    values = tomlkit.parse(file_text).unwrap()
    return tuple(_tables(values))


def changed_file(file_text: str, changes: Mapping[KeyPath, str]) -> str:
    """A car file with other values at some keys.

    Parameters
    ----------
    file_text : str
        A car file that reads.
    changes : Mapping[tuple of str, str]
        By path, what a person wrote: an empty text takes the key out.

    Returns
    -------
    str
        TOML; read it strictly before keeping it.

    Raises
    ------
    SettingError
        A text is no value of its key.
    """
    document = tomlkit.parse(file_text)
    known = {row.path: row.key for table in car_form(file_text) for row in table.rows}
    for path, text in changes.items():
        _put(document, path, _value(known[path], path, text) if text.strip() else None)
    return tomlkit.dumps(document)


def with_table(file_text: str, path: KeyPath, values: Mapping[str, object]) -> str:
    """A car file with a table put in, in place of an older one of that path: an adjuster, a fuel.

    Parameters
    ----------
    file_text : str
        A car file that reads.
    path : tuple of str
        Such as ``("adjusters", "line_lock")``.
    values : Mapping[str, object]
        Its keys.

    Returns
    -------
    str
        TOML; read it strictly before keeping it.
    """
    document = tomlkit.parse(file_text)
    _put(document, path, dict(values))
    return tomlkit.dumps(document)


def without_table(file_text: str, path: KeyPath) -> str:
    """A car file without a table; nothing happens where there is none.

    Parameters
    ----------
    file_text : str
        A car file that reads.
    path : tuple of str
        Such as ``("adjusters", "line_lock")``.

    Returns
    -------
    str
        TOML; read it strictly before keeping it.
    """
    document = tomlkit.parse(file_text)
    _put(document, path, None)
    return tomlkit.dumps(document)


def _tables(values: Mapping[str, Any]) -> Iterator[FormTable]:
    for table in CAR_TABLES:
        if table.name == "guards":
            for name, fuel in values.get("fuels", {}).items():
                yield FormTable(name="fuels", own_name=name, rows=_rows(ONE_FUEL, ("fuels", name), fuel))
        if table.name == "car":
            continue
        yield FormTable(name=table.name, own_name="", rows=_rows(table, (table.name,), values.get(table.name, {})))
        for key in table.keys:
            if key.kind == "tables":
                yield from _pumps(key, (table.name, key.name), values.get(table.name, {}).get(key.name, []))


def _pumps(key: Key, path: KeyPath, pumps: list[Mapping[str, Any]]) -> Iterator[FormTable]:
    inner = Table(name=key.name, meaning=key.meaning, keys=key.keys)
    for place, pump in enumerate(pumps):
        yield FormTable(name=key.name, own_name=str(pump.get("name", "")), rows=_rows(inner, (*path, str(place)), pump))


def _rows(table: Table, path: KeyPath, values: Mapping[str, Any]) -> tuple[FormRow, ...]:
    return tuple(
        FormRow(path=(*path, key.name), key=key, text=_text(key, values.get(key.name)))
        for key in table.keys
        if key.kind != "tables"
    )


def _text(key: Key, value: object) -> str:
    if value is None:
        return ""
    if key.kind == "points" and isinstance(value, list):
        return ", ".join(" ".join(f"{number:g}" for number in point) for point in value)
    if isinstance(value, list):
        return ", ".join(f"{number:g}" for number in value)
    return f"{value:g}" if isinstance(value, float) else str(value)


def _value(key: Key, path: KeyPath, text: str) -> object:
    if key.kind in ("text", "choice"):
        return text.strip()
    try:
        if key.kind == "points":
            return [[_number(figure) for figure in point.split()] for point in text.split(",") if point.strip()]
        if key.kind in _LISTS:
            numbers = [_number(figure) for figure in text.replace(";", ",").split(",") if figure.strip()]
            return numbers[0] if key.kind == "number_or_numbers" and len(numbers) == 1 else numbers
        return _number(text)
    except ValueError as error:
        raise SettingError(
            phrase("refusal.setting.text_no_number", text=text),
            Where(key=".".join(path)),
            phrase("refusal.setting.write_such_as", example=key.example),
        ) from error


def _number(text: str) -> int | float:
    number = float(text)
    return int(number) if number.is_integer() and "." not in text and "e" not in text.lower() else number


def _put(document: tomlkit.TOMLDocument, path: KeyPath, value: object) -> None:
    table: Any = document
    for name in path[:-1]:
        place: Any = int(name) if isinstance(table, list) else name
        if not isinstance(table, list) and place not in table:
            if value is None:
                return
            table[place] = tomlkit.table()
        table = table[place]
    if value is None:
        table.pop(path[-1], None)
        return
    try:
        table[path[-1]] = value
    except (TOMLKitError, ValueError) as error:
        raise SettingError(phrase("refusal.setting.unwritable", value=value), Where(key=".".join(path))) from error
