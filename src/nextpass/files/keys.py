"""How a key of a file is described: as data that reading, writing, `car new` and the reference pages share.

A table of keys was chosen over model classes that validate themselves: the message has to name the line, the unit, the
reason of the range and what to write instead, and the same words stand as comments in the file that `car new` writes.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from nextpass.car import Default
from nextpass.units import convert

# Decimals that tell any two floats apart.
_ENOUGH_DIGITS = 17

KeyKind = Literal[
    "number",
    "whole",
    "text",
    "flag",
    "choice",
    "numbers",  # a list of numbers
    "number_or_numbers",  # one number for all, or a list
    "names",  # a list of texts
    "name_or_names",  # one text, or a list
    "points",  # a list of [rpm, value]
    "moment",  # date and time
    "tables",  # an array of tables
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One key of a file.

    Parameters
    ----------
    name : str
        As it stands in the file, unit in the name.
    kind : KeyKind
        What its value has to be.
    meaning : str
        One line for the comment beside it.
    example : object
        What a person may write.
    unit, inside : str
        Unit in the file, and unit in the program where that is another one.
    low, high : float
        Range of what is physically possible, in the unit of the file.
    bound : str
        Why the range is what it is.
    counts : tuple of int
        Least and greatest number of elements of a list.
    choices : tuple of str
        Of a choice.
    field : str
        Field of the record, where its name differs from the key's.
    default : Default or None
        What is assumed where the file leaves the key out.
    required : bool
        Whether the file must hold it; a key that is neither required nor has a default takes the record's own.
    may_be_empty : bool
        Whether a text may be empty.
    keys : tuple of Key
        Of each table in an array of tables.
    """

    name: str
    kind: KeyKind
    meaning: str
    example: object
    unit: str = ""
    inside: str = ""
    low: float = -math.inf
    high: float = math.inf
    bound: str = ""
    counts: tuple[int, int] = (1, 1_000)
    choices: tuple[str, ...] = ()
    field: str = ""
    default: Default | None = None
    required: bool = True
    may_be_empty: bool = False
    keys: tuple["Key", ...] = ()

    @property
    def record_field(self) -> str:
        """Name of the record's field that takes the value."""
        return self.field or self.name

    def in_program(self, value: float) -> float:
        """A value of the file in the unit of the program."""
        return convert(float(value), self.unit, self.inside) if self.inside else float(value)

    def in_file(self, value: float) -> float:
        """The shortest decimal that `in_program` turns into this value: 57 %, not 56.99999999999999."""
        if not self.inside:
            return value
        converted = convert(value, self.inside, self.unit)
        shortened = (float(f"{converted:.{digits}g}") for digits in range(1, _ENOUGH_DIGITS + 1))
        return next((number for number in shortened if self.in_program(number) == value), converted)


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table of a file with its keys; `required` says whether the file must hold it."""

    name: str
    meaning: str
    keys: tuple[Key, ...]
    required: bool = True

    @property
    def by_name(self) -> Mapping[str, Key]:
        """The keys by their name."""
        return {key.name: key for key in self.keys}
