"""One value of a file, judged by its key: what the program takes it for, or why it cannot be."""

import math
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from typing import TypeVar

from nextpass.files.keys import Key, KeyKind
from nextpass.files.toml_lines import KeyPath
from nextpass.files.toml_text import value_text
from nextpass.files.wording import cut, nearest_remedy, unit_slip, wrong_kind
from nextpass.words import phrase

# No key of a car comes near it.
LARGEST_NUMBER = 1e15
_RPM = Key(
    name="rpm",
    kind="number",
    meaning="engine speed",
    example=4500,
    unit="rpm",
    low=0,
    high=20_000,
    bound=phrase("file_key.bound.all_engines"),
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
        raise ValueFault(wrong_kind("number", value), _number_remedy(key, value, named=named))
    # Not a number fails every comparison, and a whole number may be too large to become a float.
    if not abs(value) <= LARGEST_NUMBER:
        plain = phrase("refusal.value.plain_in", unit=key.unit) if key.unit else phrase("refusal.value.plain")
        raise ValueFault(phrase("refusal.value.unusable", shown=cut(value)), plain)
    if not key.low <= value <= key.high:
        span = phrase("refusal.value.span", low=key.low, high=key.high, unit=unit)
        what = phrase("refusal.value.outside", value=value, unit=unit, span=span, bound=key.bound)
        raise ValueFault(what, unit_slip(key, value) or phrase("refusal.value.from_span", span=span))
    return key.in_program(value)


def read_list(key: Key, value: object) -> list[object]:
    """A list of as many elements as the key allows.

    Raises
    ------
    ValueFault
        It is none, or too short or too long.
    """
    example = phrase("refusal.value.for_example", shown=f"{key.name} = {value_text(key.example)}")
    if not isinstance(value, list):
        raise ValueFault(wrong_kind("list", value), example)
    least, most = key.counts
    if not least <= len(value) <= most:
        raise ValueFault(phrase("refusal.value.wrong_count", held=len(value), least=least, most=most), example)
    return value


def _whole(key: Key, value: object) -> int:
    number = read_number(key, value)
    if number != int(number):
        below, above = math.floor(number), math.ceil(number)
        raise ValueFault(
            phrase("refusal.value.not_whole", number=number), phrase("refusal.value.either", first=below, second=above)
        )
    return int(number)


def _text(key: Key, value: object, *, named: bool = True) -> str:
    name = f"{key.name} = " if named else ""
    if not isinstance(value, str):
        quoted = phrase("refusal.common.write", what=f"{name}{value_text(value_text(value))}")
        raise ValueFault(wrong_kind("text", value), quoted)
    if not value.strip() and not key.may_be_empty:
        example = key.example[0] if isinstance(key.example, list) else key.example
        shown = f"{name}{value_text(example)}"
        raise ValueFault(phrase("refusal.value.no_text"), phrase("refusal.value.for_example", shown=shown))
    return value


def _flag(_: Key, value: object) -> bool:
    if not isinstance(value, bool):
        raise ValueFault(wrong_kind("flag", value), phrase("refusal.value.true_or_false"))
    return value


def _choice(key: Key, value: object) -> str:
    if not isinstance(value, str) or value not in key.choices:
        remedy = nearest_remedy(value, key.choices, '"{}"')
        raise ValueFault(wrong_kind("choice", value, choices=", ".join(key.choices)), remedy)
    return value


def _moment(_: Key, value: object) -> datetime:
    if not isinstance(value, datetime):
        raise ValueFault(wrong_kind("moment", value), phrase("refusal.value.write_moment"))
    return value


def _numbers(key: Key, value: object) -> tuple[float, ...]:
    return _each(read_list(key, value), lambda item: read_number(key, item, named=False))


def _names(key: Key, value: object) -> tuple[str, ...]:
    names = _each(read_list(key, value), lambda item: _text(key, item, named=False))
    for place, name in enumerate(names):
        if name in names[:place]:
            what = phrase("refusal.value.twice", shown=value_text(name))
            raise ValueFault(what, phrase("refusal.files.remove_one"), (place,))
    return names


def _points(key: Key, value: object) -> tuple[tuple[float, float], ...]:
    points = _each(read_list(key, value), lambda item: _point(key, item))
    for place in range(1, len(points)):
        rpm, before_rpm = points[place][0], points[place - 1][0]
        if rpm <= before_rpm:
            what = phrase("refusal.value.not_rising", rpm=rpm, before_rpm=before_rpm)
            raise ValueFault(what, phrase("refusal.value.rising_rpm"), (place,))
    return points


def _point(key: Key, value: object) -> tuple[float, float]:
    if not isinstance(value, list) or len(value) != 2:
        raise ValueFault(wrong_kind("pair", value), phrase("refusal.value.write_pair"))
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
            shown = f"{f'{key.name} = ' if named else ''}{number:g}"
            return phrase("refusal.value.unquoted", shown=shown)
    example = value_text(key.example[0] if isinstance(key.example, list) else key.example)
    if key.unit:
        return phrase("refusal.value.number_in", unit=key.unit, example=example)
    return phrase("refusal.value.number_such_as", example=example)


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
