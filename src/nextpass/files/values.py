"""One value of a file, judged by its key: what the program takes it for, or why it cannot be."""

import math
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from typing import TypeVar

from nextpass.files.keys import Key, KeyKind
from nextpass.files.toml_lines import KeyPath
from nextpass.files.toml_text import value_text
from nextpass.files.wording import cut, described, nearest_remedy, unit_slip

# No key of a car comes near it.
LARGEST_NUMBER = 1e15
_RPM = Key(
    name="rpm", kind="number", meaning="engine speed", example=4500, unit="rpm", low=0, high=20_000, bound="engines"
)

Given = TypeVar("Given")
Item = TypeVar("Item")


class ValueFault(Exception):  # noqa: N818 - a fault of the file, which its reader notes
    """What is wrong with a value, what to write instead, and where within it."""

    def __init__(self, what: str, remedy: str, within: KeyPath = ()) -> None:
        super().__init__(what, remedy, within)
        self.what = what
        self.remedy = remedy
        self.within = within


def read_value(key: Key, value: object) -> object:
    """The value of a key, numbers in the unit of the program.

    Parameters
    ----------
    key : Key
        Of any kind but tables.
    value : object
        As the parser gives it.

    Raises
    ------
    ValueFault
        The value cannot be one of this key.
    """
    return _READERS[key.kind](key, value)


def read_number(key: Key, value: object, *, named: bool = True) -> float:
    """A number in its range, in the unit of the program; `named` says whether it stands after its key's name.

    Raises
    ------
    ValueFault
        It is none, or out of range.
    """
    unit = f" {key.unit}" if key.unit else ""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueFault(f"{described(value)}, not a number", _number_remedy(key, value, named=named))
    # Not a number fails every comparison, and a whole number may be too large to become a float.
    if not abs(value) <= LARGEST_NUMBER:
        raise ValueFault(
            f"{cut(value)} is not a number that can be used", f"write a plain number{unit and ' in'}{unit}"
        )
    if not key.low <= value <= key.high:
        span = f"{key.low:g} to {key.high:g}{unit}"
        slip = unit_slip(key, value)
        remedy = f"did you mean {slip}?" if slip else f"write a value from {span}"
        raise ValueFault(f"{value:g}{unit} is outside {span} ({key.bound})", remedy)
    return key.in_program(value)


def read_list(key: Key, value: object) -> list[object]:
    """A list of as many elements as the key allows.

    Raises
    ------
    ValueFault
        It is none, or too short or too long.
    """
    example = f"write for example {key.name} = {value_text(key.example)}"
    if not isinstance(value, list):
        raise ValueFault(f"{described(value)}, not a list", example)
    least, most = key.counts
    if not least <= len(value) <= most:
        raise ValueFault(f"holds {len(value)} values, not {least} to {most}", example)
    return value


def _whole(key: Key, value: object) -> int:
    number = read_number(key, value)
    if number != int(number):
        raise ValueFault(f"{number:g} is not a whole number", f"write {math.floor(number)} or {math.ceil(number)}")
    return int(number)


def _text(key: Key, value: object, *, named: bool = True) -> str:
    name = f"{key.name} = " if named else ""
    if not isinstance(value, str):
        raise ValueFault(f"{described(value)}, not text", f"write {name}{value_text(value_text(value))}")
    if not value.strip() and not key.may_be_empty:
        example = key.example[0] if isinstance(key.example, list) else key.example
        raise ValueFault("holds no text", f"write for example {name}{value_text(example)}")
    return value


def _flag(_: Key, value: object) -> bool:
    if not isinstance(value, bool):
        raise ValueFault(f"{described(value)}, neither true nor false", "write true or false")
    return value


def _choice(key: Key, value: object) -> str:
    if not isinstance(value, str) or value not in key.choices:
        remedy = nearest_remedy(value, key.choices, '"{}"')
        raise ValueFault(f"{described(value)}, not one of {', '.join(key.choices)}", remedy)
    return value


def _moment(_: Key, value: object) -> datetime:
    if not isinstance(value, datetime):
        example = "write date and time without quotation marks, such as 2026-05-02T14:10:00+01:00"
        raise ValueFault(f"{described(value)}, not a date with its time", example)
    return value


def _numbers(key: Key, value: object) -> tuple[float, ...]:
    return _each(read_list(key, value), lambda item: read_number(key, item, named=False))


def _names(key: Key, value: object) -> tuple[str, ...]:
    names = _each(read_list(key, value), lambda item: _text(key, item, named=False))
    for place, name in enumerate(names):
        if name in names[:place]:
            raise ValueFault(f"{value_text(name)} stands here twice", "remove one", (place,))
    return names


def _points(key: Key, value: object) -> tuple[tuple[float, float], ...]:
    points = _each(read_list(key, value), lambda item: _point(key, item))
    for place in range(1, len(points)):
        rpm, before_rpm = points[place][0], points[place - 1][0]
        if rpm <= before_rpm:
            what = f"{rpm:g} rpm does not lie above the {before_rpm:g} rpm before it"
            raise ValueFault(what, "write the points in rising rpm", (place,))
    return points


def _point(key: Key, value: object) -> tuple[float, float]:
    if not isinstance(value, list) or len(value) != 2:
        raise ValueFault(f"{described(value)}, not a pair", "write [rpm, value], such as [4500, 680]")
    rpm, number = _each(
        list(zip((_RPM, key), value, strict=True)), lambda pair: read_number(pair[0], pair[1], named=False)
    )
    return rpm, number


def _each(values: Sequence[Given], read: Callable[[Given], Item]) -> tuple[Item, ...]:
    """Every element as it is read; a fault names the element that has it."""
    items = []
    for place, value in enumerate(values):
        try:
            items.append(read(value))
        except ValueFault as fault:
            raise ValueFault(fault.what, fault.remedy, (place, *fault.within)) from fault
    return tuple(items)


def _number_remedy(key: Key, value: object, *, named: bool) -> str:
    if isinstance(value, str):
        try:
            number = float(value.replace(",", "."))
        except ValueError:
            pass
        else:
            return f"write {f'{key.name} = ' if named else ''}{number:g}, without quotation marks"
    unit = f", in {key.unit}" if key.unit else ""
    example = key.example[0] if isinstance(key.example, list) else key.example
    return f"write a number{unit}, such as {value_text(example)}"


def _number_or_numbers(key: Key, value: object) -> tuple[float, ...]:
    return _numbers(key, value) if isinstance(value, list) else (read_number(key, value),)


def _name_or_names(key: Key, value: object) -> tuple[str, ...]:
    return _names(key, value) if isinstance(value, list) else (_text(key, value),)


_READERS: Mapping[KeyKind, Callable[[Key, object], object]] = {
    "number": read_number,
    "whole": _whole,
    "text": _text,
    "flag": _flag,
    "choice": _choice,
    "moment": _moment,
    "numbers": _numbers,
    "names": _names,
    "points": _points,
    "number_or_numbers": _number_or_numbers,
    "name_or_names": _name_or_names,
}
