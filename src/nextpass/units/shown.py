"""The units in which a person asked to see pressures and speeds; files and answers keep theirs."""

import difflib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from nextpass.errors import UnitError
from nextpass.units.conversion import convert
from nextpass.words import phrase

PressureUnit = Literal["bar", "kpa", "psi"]
PressureReference = Literal["absolute", "gauge"]
SpeedUnit = Literal["kmh", "mph"]

# Name and decimals of shown pressures: a step of 5 kPa must show in every unit.
_PRESSURES: Mapping[PressureUnit, tuple[str, int]] = {"bar": ("bar", 2), "kpa": ("kPa", 0), "psi": ("psi", 1)}
_SPEEDS: Mapping[SpeedUnit, str] = {"kmh": "km/h", "mph": "mph"}


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownUnits:
    """How a person wants pressures and speeds shown; files and answers keep theirs."""

    pressure: PressureUnit = "bar"
    reference: PressureReference = "absolute"
    speed: SpeedUnit = "kmh"


# Field of `ShownUnits` and its value, by the word that asks for it.
_SHOWN_WORDS: Mapping[str, tuple[str, str]] = {
    "bar": ("pressure", "bar"),
    "kpa": ("pressure", "kpa"),
    "psi": ("pressure", "psi"),
    "absolute": ("reference", "absolute"),
    "gauge": ("reference", "gauge"),
    "km/h": ("speed", "kmh"),
    "kmh": ("speed", "kmh"),
    "mph": ("speed", "mph"),
}


def shown_units(words: str) -> ShownUnits:
    """What a person asked to see, such as ``psi,gauge,mph``; what they leave out stays bar, absolute, km/h.

    Parameters
    ----------
    words : str
        Words parted by commas or blanks, in any order and case.

    Raises
    ------
    UnitError
        A word is none of these, or two name the same thing.
    """
    chosen: dict[str, str] = {}
    for word in re.split(r"[,\s]+", words.strip().casefold()):
        if not word:
            continue
        if word not in _SHOWN_WORDS:
            near = difflib.get_close_matches(word, _SHOWN_WORDS, n=1)
            remedy = phrase("refusal.common.meant", near=near[0]) if near else phrase("refusal.units.shown_words")
            raise UnitError(phrase("refusal.units.not_shown", word=word), remedy=remedy)
        field, value = _SHOWN_WORDS[word]
        if chosen.setdefault(field, value) != value:
            raise UnitError(
                phrase("refusal.units.twice", words=words),
                remedy=phrase("refusal.units.one_of_two", first=chosen[field], second=value),
            )
    return ShownUnits(**chosen)  # type: ignore[arg-type]  # the table holds only the literals


def shown_pressure(kpa: float, shown: ShownUnits, barometer_kpa: float) -> float:
    """An absolute pressure [kPa] as the number to show, under the given barometer [kPa]."""
    return convert(kpa - _zero_kpa(shown, barometer_kpa), "kPa", shown.pressure)


def pressure_kpa(value: float, shown: ShownUnits, barometer_kpa: float) -> float:
    """The absolute pressure [kPa] of a number as it is shown: what `shown_pressure` makes, taken back."""
    return convert(value, shown.pressure, "kPa") + _zero_kpa(shown, barometer_kpa)


def _zero_kpa(shown: ShownUnits, barometer_kpa: float) -> float:
    return barometer_kpa if shown.reference == "gauge" else 0.0


def pressure_step_unit(shown: ShownUnits) -> str:
    """Unit of a difference of pressures, which counts from nothing."""
    return _PRESSURES[shown.pressure][0]


def pressure_unit_text(shown: ShownUnits) -> str:
    """Unit of shown pressures with what they count from, such as ``bar abs``."""
    return f"{pressure_step_unit(shown)} {'gauge' if shown.reference == 'gauge' else 'abs'}"


def pressure_decimals(shown: ShownUnits) -> int:
    """Decimals of shown pressures."""
    return _PRESSURES[shown.pressure][1]


def shown_speed(mps: float, shown: ShownUnits) -> float:
    """A speed [m/s] as the number to show."""
    return convert(mps, "m/s", shown.speed)


def speed_unit_text(shown: ShownUnits) -> str:
    """Unit of shown speeds."""
    return _SPEEDS[shown.speed]
