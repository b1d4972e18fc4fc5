"""Values and keys as TOML text that reads back as the same value."""

import json
import re
from collections.abc import Iterable
from datetime import datetime

from nextpass.files.keys import Key
from nextpass.files.reading import inside
from nextpass.units import convert

_BARE = re.compile(r"[A-Za-z0-9_-]+")
# Decimals that tell any two floats apart.
_ENOUGH_DIGITS = 17


def key_text(name: str) -> str:
    """A key, in quotation marks where TOML asks for them."""
    return name if _BARE.fullmatch(name) else text_text(name)


def text_text(text: str) -> str:
    """A text in quotation marks."""
    # JSON escapes what TOML wants escaped, but for the delete character.
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def number_text(number: float) -> str:
    """The shortest decimal that reads back as the same number; whole numbers without a point."""
    return str(int(number)) if float(number).is_integer() and abs(number) < 1e15 else repr(float(number))


def value_text(value: object) -> str:
    """Any value that a car or pass file holds."""
    match value:
        case bool():
            return "true" if value else "false"
        case int() | float():
            return number_text(value)
        case str():
            return text_text(value)
        case datetime():
            return value.isoformat()
        case Iterable():
            return f"[{', '.join(value_text(item) for item in value)}]"
    raise TypeError(f"{value!r} has no place in a car or pass file")


def field_text(key: Key, value: object) -> str:
    """The value of a record's field as the file has it, in the unit of its key."""
    if key.inside and isinstance(value, int | float):
        return number_text(_in_file_unit(key, float(value)))
    if key.kind == "number_or_numbers" and isinstance(value, tuple) and len(value) == 1:
        return value_text(value[0])
    return value_text(value)


def _in_file_unit(key: Key, value: float) -> float:
    """The shortest decimal that the reader turns into this value: 57 %, not 56.99999999999999."""
    converted = convert(value, key.inside, key.unit)
    shortened = (float(f"{converted:.{digits}g}") for digits in range(1, _ENOUGH_DIGITS + 1))
    return next((number for number in shortened if inside(key, number) == value), converted)
