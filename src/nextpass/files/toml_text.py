"""Values and keys as TOML text that reads back as the same value."""

import json
import re
from collections.abc import Iterable, Mapping
from datetime import date, datetime, time

from nextpass.files.keys import Key

_BARE = re.compile(r"[A-Za-z0-9_-]+")


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
    """Any value of a TOML file."""
    match value:
        case bool():
            return "true" if value else "false"
        case int():
            return str(value)
        case float():
            return number_text(value)
        case str():
            return text_text(value)
        case datetime() | date() | time():
            return value.isoformat()
        case Mapping():
            return f"{{ {', '.join(f'{key_text(name)} = {value_text(item)}' for name, item in value.items())} }}"
        case Iterable():
            return f"[{', '.join(value_text(item) for item in value)}]"
    raise TypeError(f"{value!r} has no place in a TOML file")


def field_text(key: Key, value: object) -> str:
    """The value of a record's field as the file has it, in the unit of its key."""
    if isinstance(value, float):
        return number_text(key.in_file(value))
    if isinstance(value, tuple) and len(value) == 1 and key.kind in ("number_or_numbers", "name_or_names"):
        return value_text(value[0])
    return value_text(value)
