"""The channels that nextpass knows, read from `vocabulary.toml`.

A channel has one name, one quantity and one unit; the unit stands at the end of the name. A name with ``{n}`` or
``{wheel}`` in the file stands for one channel a cylinder or a wheel.
"""

import math
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any, Literal

WHEELS = {"fl": "front left", "fr": "front right", "rl": "rear left", "rr": "rear right"}

PressureReference = Literal["", "absolute", "gauge", "as logged"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChannelKind:
    """What is known of one channel before any log is read.

    Parameters
    ----------
    name : str
        Canonical name, unit at its end.
    quantity : str
        One of `nextpass.units.CANONICAL`.
    plausible : tuple of float
        Lowest and highest value that the channel can truly have, in its unit.
    reaches : float
        The greatest reading of a whole log is at least this; -inf where nothing is known.
    is_step : bool
        Jumps and holds: gear, switches, targets.
    is_lively : bool
        Must move when the engine or the car does.
    saturates : bool
        Resting at the greatest value is normal.
    reference : str
        Of a pressure: what the canonical value counts from.
    other_bank : str
        Of a channel of bank 1: the same of bank 2; empty where there is none.
    meaning : str
        One line for the documentation.
    aliases : tuple of str
        In plain words, not yet normalised.
    """

    name: str
    quantity: str
    plausible: tuple[float, float]
    reaches: float
    is_step: bool
    is_lively: bool
    saturates: bool
    reference: PressureReference
    other_bank: str
    meaning: str
    aliases: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Vocabulary:
    """All channels by name, the spellings of each word, and the words that say nothing."""

    channels: Mapping[str, ChannelKind]
    spellings: Mapping[str, str]
    noise: frozenset[str]


def _expanded(name: str, table: Mapping[str, Any]) -> Iterator[tuple[str, tuple[str, ...]]]:
    aliases = tuple(table["aliases"])
    if "{n}" in name:
        for number in range(1, int(table["numbered"]) + 1):
            yield name.format(n=number), tuple(alias.format(n=number) for alias in aliases)
    elif "{wheel}" in name:
        for short, words in WHEELS.items():
            yield name.format(wheel=short), tuple(alias.format(wheel=words) for alias in aliases)
    else:
        yield name, aliases


def _kinds(name: str, table: Mapping[str, Any]) -> Iterator[ChannelKind]:
    low, high = table["range"]
    for full_name, aliases in _expanded(name, table):
        yield ChannelKind(
            name=full_name,
            quantity=table["quantity"],
            plausible=(float(low), float(high)),
            reaches=float(table.get("reaches", -math.inf)),
            is_step=table.get("kind", "smooth") == "step",
            is_lively=table.get("lively", False),
            saturates=table.get("saturates", False),
            reference=table.get("reference", ""),
            other_bank=table.get("other_bank", ""),
            meaning=table["meaning"],
            aliases=aliases,
        )


@cache
def vocabulary() -> Vocabulary:
    """The vocabulary that comes with the program."""
    text = resources.files("nextpass.log").joinpath("vocabulary.toml").read_text(encoding="utf-8")
    tables = tomllib.loads(text)
    words: Mapping[str, list[str]] = tables.pop("words")
    noise = frozenset(tables.pop("noise")["words"])
    channels = {kind.name: kind for name, table in tables.items() for kind in _kinds(name, table)}
    spellings = {spelling: word for word, others in words.items() for spelling in (word, *others)}
    return Vocabulary(channels=channels, spellings=spellings, noise=noise)
