"""From the values of a TOML file to the fields of a record, by a table of keys; every fault is noted with its place.

A reading goes on after a fault, so that one run can show them all. What is inconsistent between keys is judged by the
reader of the file, and only where the keys themselves are sound.
"""

import difflib
import math
from collections.abc import Collection, Iterable, Mapping
from datetime import date, datetime, time
from typing import Any, Generic, TypeVar

from nextpass.car import Assumed
from nextpass.errors import FileError, Where
from nextpass.files.keys import Key, Table
from nextpass.files.toml_lines import Document, KeyPath
from nextpass.files.toml_text import key_text, value_text
from nextpass.units import convert

# Longest piece of a wrong value that a message repeats.
_SHOWN_LETTERS = 40
# No key or adjuster of a car comes near it.
_LARGEST_NUMBER = 1e15


Refusal = TypeVar("Refusal", bound=FileError)


class Reading(Generic[Refusal]):
    """One file being read: its faults so far, and what was assumed."""

    def __init__(self, document: Document, refusal: type[Refusal], kind: str) -> None:
        self.document = document
        self.refusal = refusal
        self.kind = kind
        self.faults: list[Refusal] = []
        self.assumed: list[Assumed] = []
        self.misspelt: set[str] = set()  # tables that are there under a wrong name: not missing as well

    def fault(
        self, path: KeyPath, what: str, remedy: str, *, names_key: bool = True, element: int | None = None
    ) -> None:
        """Note that something is wrong at a path; `names_key` puts the key in front of `what`.

        `element` takes the line of one element of a list, where `what` says itself which one it is.
        """
        line = self.document.line(path if element is None else (*path, element))
        where = Where(file=self.document.file, line=line, key=dotted(path) if names_key and path else None)
        self.faults.append(self.refusal(what, where, remedy))

    def raise_first(self) -> None:
        """Raise the first fault in the order of the file; missing keys come last in their table."""
        if self.faults:
            raise self.faults[0]

    def top(self, tables: Iterable[Table], named: Collection[str] = ()) -> None:
        """Check the tables at the top of the file against those that it may hold."""
        known = {table.name: table for table in tables}
        names = [*known, *named]
        for name, value in self.document.values.items():
            if name in names:
                continue
            owner = next((table.name for table in known.values() if name in table.by_name), None)
            if not isinstance(value, dict) and owner:
                self.fault((name,), f"{name} stands before any table", f"move it under [{owner}]", names_key=False)
                continue
            shown = f"[{name}]" if isinstance(value, dict) else name
            what = f"{shown} is not a table of a {self.kind}"
            self.misspelt |= {near} if (near := nearest(name, names)) else set()
            self.fault((name,), what, _nearest_remedy(name, names, "[{}]"), names_key=False)

    def table_at(self, path: KeyPath, *, required: bool) -> Mapping[str, Any] | None:
        """The table at a path as the file holds it; None, with a fault where it is required, when it is not there."""
        holder: Any = self.document.values
        for part in path:
            holder = holder.get(part) if isinstance(holder, dict) else None
        if holder is None:
            if required and path[0] not in self.misspelt:
                self.fault(
                    path, f"[{dotted(path)}] is missing", f"write [{dotted(path)}] with its keys", names_key=False
                )
            return None
        if not isinstance(holder, dict):
            self.fault(path, f"{described(holder)}, not a table", f"write [{dotted(path)}] and its keys below it")
            return None
        return holder

    def named_tables(self, name: str) -> dict[str, Mapping[str, Any]]:
        """The tables under ``[name.*]``, at least one, by the name that the owner chose."""
        holder = self.table_at((name,), required=True)
        if holder is not None and not holder:
            self.fault((name,), f"[{name}] holds nothing", f"write a [{name}.NAME] for each", names_key=False)
        tables = {}
        for inner in holder or {}:
            table = self.table_at((name, inner), required=True)
            if table is not None:
                tables[inner] = table
        return tables

    def fields(self, path: KeyPath, table: Table, others: Iterable[Table] = ()) -> dict[str, Any]:
        """Fields of the record that a table describes; `others` are searched for the owner of a misplaced key."""
        values = self.table_at(path, required=table.required)
        if values is None and table.required:
            return {}
        return self.keys(path, values or {}, table.keys, others)

    def keys(
        self, path: KeyPath, values: Mapping[str, Any], keys: Iterable[Key], others: Iterable[Table] = ()
    ) -> dict[str, Any]:
        """Fields of the given keys from the values of one table."""
        by_name = {key.name: key for key in keys}
        excused = {self._unknown(path, name, by_name, others) for name in values if name not in by_name}
        fields: dict[str, Any] = {}
        for name, key in by_name.items():
            if name in values:
                value = self.value((*path, name), key, values[name])
                if value is not None:
                    fields[key.record_field] = value
            elif key.default is not None:
                fields[key.record_field] = key.in_program(key.default.value)
                self.assumed.append(
                    Assumed(key=dotted((*path, name)), shown=key.default.shown, origin=key.default.origin)
                )
        for name, key in by_name.items():
            if key.required and name not in values and name not in excused:
                unit = f" [{key.unit}]" if key.unit else ""
                self.fault(
                    path,
                    f"{dotted((*path, name))} is missing from {_holder(path)}",
                    f"write for example {name} = {value_text(key.example)} ({key.meaning}{unit})",
                    names_key=False,
                )
        return fields

    def _unknown(self, path: KeyPath, name: str, by_name: Mapping[str, Key], others: Iterable[Table]) -> str | None:
        """Note an unknown key; the known key that was probably meant."""
        what = f"{dotted((*path, name))} is not a key of {_holder(path)}"
        owner = next((table.name for table in others if name in table.by_name and name not in by_name), None)
        if owner is not None:
            self.fault((*path, name), what, f"it belongs under [{owner}]", names_key=False)
            return None
        near = nearest(name, by_name)
        remedy = f"did you mean {near}?" if near else f"known keys are {', '.join(by_name)}"
        self.fault((*path, name), what, remedy, names_key=False)
        return near

    def value(self, path: KeyPath, key: Key, value: object) -> Any:
        """Value of one key, in the unit of the program; None, with a fault, where it cannot be."""
        match key.kind:
            case "number" | "whole":
                return self.number(path, key, value)
            case "text":
                return self._text(path, key, value)
            case "flag":
                if isinstance(value, bool):
                    return value
                self.fault(path, f"{described(value)}, neither true nor false", "write true or false")
            case "choice":
                if isinstance(value, str) and value in key.choices:
                    return value
                self.fault(
                    path,
                    f"{described(value)}, not one of {', '.join(key.choices)}",
                    _nearest_remedy(value, key.choices, '"{}"'),
                )
            case "numbers":
                return self._numbers(path, key, value)
            case "number_or_numbers":
                if isinstance(value, list):
                    return self._numbers(path, key, value)
                number = self.number(path, key, value)
                return None if number is None else (float(number),)
            case "names":
                return self._names(path, key, value)
            case "name_or_names":
                if isinstance(value, list):
                    return self._names(path, key, value)
                name = self._text(path, key, value)
                return None if name is None else (name,)
            case "points":
                return self._points(path, key, value)
            case "moment":
                return self._moment(path, value)
            case "tables":
                return self._tables(path, key, value)
        return None

    def number(self, path: KeyPath, key: Key, value: object) -> float | int | None:
        """A number in its range, in the unit of the program."""
        unit = f" {key.unit}" if key.unit else ""
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.fault(path, f"{described(value)}, not a number", _number_remedy(path, key, value))
            return None
        # Not a number fails every comparison, and a whole number may be too large to become a float.
        if not abs(value) <= _LARGEST_NUMBER:
            shown = value_text(value)[:_SHOWN_LETTERS]
            remedy = f"write a plain number{unit and ' in'}{unit}"
            self.fault(path, f"{shown} is not a number that can be used", remedy)
            return None
        if key.kind == "whole" and value != int(value):
            self.fault(path, f"{value:g} is not a whole number", f"write {math.floor(value)} or {math.ceil(value)}")
            return None
        if not key.low <= value <= key.high:
            span = f"{key.low:g} to {key.high:g}{unit}"
            slip = _unit_slip(key, value)
            self.fault(
                path,
                f"{value:g}{unit} is outside {span} ({key.bound})",
                f"did you mean {slip}?" if slip else f"write a value from {span}",
            )
            return None
        return int(value) if key.kind == "whole" else key.in_program(value)

    def _text(self, path: KeyPath, key: Key, value: object) -> str | None:
        if not isinstance(value, str):
            self.fault(path, f"{described(value)}, not text", f"write {key.name} = {value_text(str(value))}")
        elif not value.strip() and not key.may_be_empty:
            self.fault(path, "holds no text", f"write for example {key.name} = {value_text(key.example)}")
        else:
            return value
        return None

    def _list(self, path: KeyPath, key: Key, value: object) -> list[Any] | None:
        example = f"write for example {key.name} = {value_text(key.example)}"
        if not isinstance(value, list):
            self.fault(path, f"{described(value)}, not a list", example)
            return None
        least, most = key.counts
        if not least <= len(value) <= most:
            self.fault(path, f"holds {len(value)} values, not {least} to {most}", example)
            return None
        return value

    def _numbers(self, path: KeyPath, key: Key, value: object) -> tuple[float, ...] | None:
        values = self._list(path, key, value)
        if values is None:
            return None
        numbers = [self.number((*path, place), key, item) for place, item in enumerate(values)]
        return None if None in numbers else tuple(float(number) for number in numbers if number is not None)

    def _names(self, path: KeyPath, key: Key, value: object) -> tuple[str, ...] | None:
        values = self._list(path, key, value)
        if values is None:
            return None
        names = [self._text((*path, place), key, item) for place, item in enumerate(values)]
        for place, name in enumerate(names):
            if name is not None and name in names[:place]:
                self.fault((*path, place), f'"{name}" stands here twice', "remove one")
                return None
        return None if None in names else tuple(name for name in names if name is not None)

    def _points(self, path: KeyPath, key: Key, value: object) -> tuple[tuple[float, float], ...] | None:
        values = self._list(path, key, value)
        if values is None:
            return None
        rpm_key = Key(
            name="rpm", kind="number", meaning="", example=0, unit="rpm", low=0, high=20_000, bound="engines of cars"
        )
        points: list[tuple[float, float]] = []
        for place, item in enumerate(values):
            here = (*path, place)
            if not isinstance(item, list) or len(item) != 2:
                self.fault(here, f"{described(item)}, not a pair", "write [rpm, value], such as [4500, 680]")
                return None
            rpm, number = self.number((*here, 0), rpm_key, item[0]), self.number((*here, 1), key, item[1])
            if rpm is None or number is None:
                return None
            if points and rpm <= points[-1][0]:
                self.fault(
                    here,
                    f"{rpm:g} rpm does not lie above the {points[-1][0]:g} rpm before it",
                    "write the points in rising rpm",
                )
                return None
            points.append((float(rpm), float(number)))
        return tuple(points)

    def _moment(self, path: KeyPath, value: object) -> datetime | None:
        if isinstance(value, datetime):
            return value
        example = "write date and time without quotation marks, such as 2026-05-02T14:10:00+01:00"
        self.fault(path, f"{described(value)}, not a date with its time", example)
        return None

    def _tables(self, path: KeyPath, key: Key, value: object) -> list[dict[str, Any]] | None:
        values = self._list(path, key, value)
        if values is None:
            return None
        tables = []
        for place, item in enumerate(values):
            if not isinstance(item, dict):
                self.fault((*path, place), f"{described(item)}, not a table", f"write [[{dotted(path)}]] and its keys")
                return None
            before = len(self.faults)
            fields = self.keys((*path, place), item, key.keys)
            if len(self.faults) > before:
                return None
            tables.append(fields)
        return tables


def dotted(path: KeyPath) -> str:
    """A key path as people write it; elements of lists count from 1: ``driveline.gear_ratios #3``."""
    shown = ""
    for part in path:
        if isinstance(part, int):
            shown += f" #{part + 1}"
        else:
            shown += f"{'.' if shown else ''}{key_text(part)}"
    return shown


def _holder(path: KeyPath) -> str:
    return f"[{dotted(path)}]" if path else "this file"


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word that was probably meant, if any is near."""
    by_case = {name.casefold(): name for name in known}
    near = difflib.get_close_matches(word.casefold(), by_case, n=1)
    return by_case[near[0]] if near else None


def _nearest_remedy(word: object, known: Collection[str], form: str) -> str:
    near = nearest(word, known) if isinstance(word, str) else None
    return f"did you mean {form.format(near)}?" if near else f"write one of {', '.join(map(form.format, known))}"


def described(value: object) -> str:
    """A wrong value and what it is, such as ``"1795" is text``."""
    kinds: tuple[tuple[type | tuple[type, ...], str], ...] = (
        (bool, "a switch value"),
        ((int, float), "a number"),
        (str, "text"),
        (list, "a list"),
        (dict, "a table"),
        (datetime, "a date with its time"),
        ((date, time), "a date or a time alone"),
    )
    kind = next(name for types, name in kinds if isinstance(value, types))
    shown = value_text(value)
    if len(shown) > _SHOWN_LETTERS:
        shown = f"{shown[:_SHOWN_LETTERS]}..."
    return f"{shown} is {kind}"


def _number_remedy(path: KeyPath, key: Key, value: object) -> str:
    name = f"{key.name} = " if isinstance(path[-1], str) else ""
    if isinstance(value, str):
        try:
            return f"write {name}{float(value.replace(',', '.')):g}, without quotation marks"
        except ValueError:
            pass
    unit = f", in {key.unit}" if key.unit else ""
    example = key.example if not isinstance(key.example, list) else key.example[0]
    return f"write a number{unit}, such as {value_text(example)}"


# Units in which people have the same figure at hand, by the unit of the key: (its name, file units in one of them).
_SLIPS: Mapping[str, tuple[str, ...]] = {
    "kPa": ("bar", "psi", "mbar", "inHg"),
    "kg": ("lb",),
    "m": ("mm", "cm", "in"),
    "l": ("cm3",),
    "s": ("ms",),
    "kJ": ("J",),
    "°C": ("K", "°F"),
    "%": ("fraction",),
    "": ("%",),
    "m/s": ("km/h",),
}

# Below it nobody writes a share of these keys as a percentage.
_LEAST_PERCENTAGE = 2.0


def _unit_slip(key: Key, value: float) -> str | None:
    """What the value would be if it was written in another unit than the key's, where that is possible."""
    for unit in _SLIPS.get(key.unit, ()):
        if unit == "%" and value < _LEAST_PERCENTAGE:
            continue
        there = convert(float(value), unit, key.unit or "fraction")
        if key.low <= there <= key.high:
            as_written = f"{value:g} {unit}" if unit != "fraction" else f"the share {value:g}"
            return f"{there:.4g} ({as_written})"
    return None
