"""How messages speak of keys and values: paths as people write them, the word that was meant, the unit that slipped."""

import difflib
from collections.abc import Collection, Iterable, Mapping
from datetime import date, datetime, time

from nextpass.files.keys import Key
from nextpass.files.toml_lines import KeyPath
from nextpass.files.toml_text import key_text, value_text
from nextpass.units import convert

# Longest piece of a wrong value that a message repeats.
SHOWN_LETTERS = 40


def dotted(path: KeyPath) -> str:
    """A key path as people write it; elements of lists count from 1: ``fuel_system.pumps #2.drive``."""
    shown = ""
    for part in path:
        if isinstance(part, int):
            shown += f" #{part + 1}"
        else:
            shown += f"{'.' if shown else ''}{key_text(part)}"
    return shown


def holder(path: KeyPath) -> str:
    """The table at a path, as messages name it."""
    return f"[{dotted(path)}]" if path else "this file"


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word that was probably meant, if any is near."""
    by_case = {name.casefold(): name for name in known}
    near = difflib.get_close_matches(word.casefold(), by_case, n=1)
    return by_case[near[0]] if near else None


def nearest_remedy(word: object, known: Collection[str], form: str = "{}") -> str:
    """The known word that was probably meant, or all that there are, each in the given form."""
    near = nearest(word, known) if isinstance(word, str) else None
    return f"did you mean {form.format(near)}?" if near else f"write one of {', '.join(map(form.format, known))}"


_KINDS: tuple[tuple[type | tuple[type, ...], str], ...] = (
    (bool, "a switch value"),
    ((int, float), "a number"),
    (str, "text"),
    (list, "a list"),
    (dict, "a table"),
    (datetime, "a date with its time"),
    ((date, time), "a date or a time alone"),
)


def described(value: object) -> str:
    """A wrong value and what it is, such as ``"1795" is text``."""
    return f"{cut(value)} is {next(name for types, name in _KINDS if isinstance(value, types))}"


def cut(value: object) -> str:
    """A value as a file has it, cut where it is long."""
    shown = value_text(value)
    return shown if len(shown) <= SHOWN_LETTERS else f"{shown[:SHOWN_LETTERS]}..."


# Units in which people have the same figure at hand, by the unit of the key.
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


def unit_slip(key: Key, value: float) -> str | None:
    """What a value out of range would be if it was written in another unit than the key's, where that is possible."""
    for unit in _SLIPS.get(key.unit, ()):
        if unit == "%" and value < _LEAST_PERCENTAGE:
            continue
        there = convert(float(value), unit, key.unit or "fraction")
        if key.low <= there <= key.high:
            as_written = f"{value:g} {unit}" if unit != "fraction" else f"the share {value:g}"
            return f"{there:.4g} ({as_written})"
    return None
