"""What a judge of units says of one column."""

from dataclasses import dataclass

import numpy as np

from nextpass.log.channel import FloatArray
from nextpass.log.column import Column
from nextpass.units import Unit
from nextpass.words import phrase

# Confidence in the unit; the name's own confidence multiplies it.
CONFIRMED = 0.99  # written, and the values can be nothing else
WRITTEN = 0.93  # written, and nothing speaks against it
BY_VALUES = 0.92  # not written, but only one unit fits the values
BY_NAME = 0.85  # not written; the name itself says it, and the values do not speak against it
DOUBTFUL = 0.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Conversion:
    """Canonical value = reading * scale + offset, or one over it; readings in `blank` are no values.

    `floor` is the reading at and below which the sensor shows nothing. `stands_for` has readings with a meaning of
    their own, as (reading, canonical value); `is_whole` leaves out what lies between two whole readings.
    """

    scale: float = 1.0
    offset: float = 0.0
    is_inverse: bool = False
    floor: float = -np.inf
    blank: tuple[float, ...] = ()
    stands_for: tuple[tuple[float, float], ...] = ()
    is_whole: bool = False

    def apply(self, readings: FloatArray) -> FloatArray:
        """Canonical values; nan where there is none."""
        values = readings * self.scale + self.offset
        if self.is_inverse:
            with np.errstate(divide="ignore"):
                values = 1.0 / values
            values[~np.isfinite(values)] = np.nan
        if np.isfinite(self.floor):
            values[readings <= self.floor] = np.nan
        if self.is_whole:
            values[readings != np.round(readings)] = np.nan
        for reading in self.blank:
            values[readings == reading] = np.nan
        for reading, value in self.stands_for:
            values[readings == reading] = value
        return values


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """How a column is to be read as a channel, or what must be asked first.

    Parameters
    ----------
    conversion : Conversion
        Meaningless while there is a question.
    unit : str
        As taken, shown to people: ``psi gauge``.
    confidence : float
        0..1, of the unit alone.
    reason : str
        Why, a clause.
    question : str
        What must be answered before the column can be used; empty where nothing must.
    choices : tuple of str
        Units that may be meant, as an answer writes them.
    remark : str
        What a user should know although the column is used.
    """

    conversion: Conversion
    unit: str
    confidence: float
    reason: str
    question: str = ""
    choices: tuple[str, ...] = ()
    remark: str = ""


def conversion_of(unit: Unit) -> Conversion:
    """Conversion to the canonical unit of the quantity; the reference of a pressure is not looked at."""
    return Conversion(scale=unit.scale, offset=unit.offset, is_inverse=unit.is_inverse)


def asked(question: str, choices: tuple[str, ...], reason: str, confidence: float = DOUBTFUL) -> Verdict:
    """A verdict that must wait for an answer."""
    return Verdict(
        conversion=Conversion(),
        unit="",
        confidence=confidence,
        reason=reason,
        question=question,
        choices=choices,
    )


def impossible(column: Column, unit: str, choices: tuple[str, ...]) -> Verdict:
    """The question about a unit that is written and in which the readings cannot be."""
    question = phrase("log.plain.not_possible", unit=unit, low=column.low, high=column.high)
    return asked(question, choices, phrase("log.plain.written_impossible"))


def together(first: str, second: str) -> str:
    """Two clauses as one text; either may be empty."""
    return phrase("log.and", first=first, second=second) if first and second else first or second
