"""How messages speak of keys and values: paths as people write them, the word that was meant, the unit that slipped."""

import difflib
from collections.abc import Collection, Iterable, Mapping
from datetime import date, datetime, time

from nextpass.files.keys import Key
from nextpass.files.toml_lines import KeyPath
from nextpass.files.toml_text import key_text, value_text
from nextpass.units import convert
from nextpass.words import Phrase, phrase

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
    return f"[{dotted(path)}]" if path else phrase("refusal.files.this_file")


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word that was probably meant, if any is near."""
    by_case = {name.casefold(): name for name in known}
    near = difflib.get_close_matches(word.casefold(), by_case, n=1)
    return by_case[near[0]] if near else None


def nearest_remedy(word: object, known: Collection[str], form: str = "{}") -> str:
    """The known word that was probably meant, or all that there are, each in the given form."""
    near = nearest(word, known) if isinstance(word, str) else None
    if near:
        return phrase("refusal.common.meant", near=form.format(near))
    return phrase("refusal.common.write_one_of", known=", ".join(map(form.format, known)))


_KINDS: tuple[tuple[type | tuple[type, ...], str], ...] = (
    (bool, "switch"),
    ((int, float), "number"),
    (str, "text"),
    (list, "list"),
    (dict, "table"),
    (datetime, "moment"),
    ((date, time), "date_or_time"),
)


def wrong_kind(wanted: str, value: object, **more: object) -> Phrase:
    """What a wrong value is instead of what is wanted, such as ``"1795" is text, not a number``.

    Parameters
    ----------
    wanted : str
        Key of the text below ``refusal.value.wanted``.
    value : object
        As the file has it.
    **more : object
        What else the text says.
    """
    kind = next(name for types, name in _KINDS if isinstance(value, types))
    is_kind = phrase(f"refusal.value.kind.{kind}")
    return phrase(f"refusal.value.wanted.{wanted}", shown=cut(value), kind=is_kind, **more)


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


def unit_slip(key: Key, value: float) -> Phrase | None:
    """Whether a value out of range was written in another unit than the key's, as a question; None where not."""
    for unit in _SLIPS.get(key.unit, ()):
        if unit == "%" and value < _LEAST_PERCENTAGE:
            continue
        there = convert(float(value), unit, key.unit or "fraction")
        if key.low <= there <= key.high:
            slip = "share" if unit == "fraction" else "unit"
            return phrase(f"refusal.value.slip_{slip}", there=f"{there:.4g}", value=f"{value:g}", unit=unit)
    return None
