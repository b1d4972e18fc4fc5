"""The person who reads a card, a report or a page: language, units, and the barometer for gauge pressures.

Everything that is shown passes through here, so that card, report and screen write a value in the same way: with its
unit, with ± where it is estimated, and as a dash with a reason where the data cannot support it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from nextpass.car import GEAR_PRESSURE_CAP, LAUNCH_PRESSURE, MODELLED, Adjuster, AdjusterValue
from nextpass.measure import Absent, Estimate, Measured
from nextpass.units import (
    ShownUnits,
    convert,
    pressure_decimals,
    pressure_kpa,
    pressure_step_unit,
    shown_pressure,
    shown_speed,
    speed_unit_text,
)
from nextpass.words import number, signed, text

# Standard atmosphere (ISO 2533): only for gauge readings where no day gives a barometer.
STANDARD_BAROMETER_KPA = 101.325
# Shown in the reader's unit; a pressure among the owner's own adjusters stays as the car's own dial has it, since
# nobody knows whether an offset of theirs has a zero to move.
_PRESSURES = (LAUNCH_PRESSURE, GEAR_PRESSURE_CAP)
_TIME_DECIMALS = 2
_SPEED_DECIMALS = 1
# Units by the ending of a name, as car files and answers write them.
_NAME_UNITS = {
    "_rpm": "rpm",
    "_kpa": "kPa",
    "_nm": "N m",
    "_c": "°C",
    "_deg": "°",
    "_pct": "%",
    "_kj": "kJ",
    "_s": "s",
    "_ms": "ms",
    "_l": "l",
    "_kg": "kg",
    "_kgpm3": "kg/m³",
    "_kgps": "kg/s",
    "_kgm2": "kg m²",
    "_l_h": "l/h",
    "_kpa_gauge": "kPa gauge",
    "_j": "J",
    "_j_per_k": "J/K",
    "_k": "K",
    "_w": "W",
    "_mps": "m/s",
    "_m2": "m²",
    "_m": "m",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Reader:
    """Who reads, and under which barometer.

    Parameters
    ----------
    language : str
        One of `words.LANGUAGES`.
    units : ShownUnits
        How pressures and speeds are shown.
    barometer_kpa : float
        For gauge pressures [kPa].
    """

    language: str = "en"
    units: ShownUnits = field(default_factory=ShownUnits)
    barometer_kpa: float = STANDARD_BAROMETER_KPA

    def says(self, key: str, **values: object) -> str:
        """Text of a key in the reader's language."""
        return text(key, self.language, **values)

    def number(self, value: float, decimals: int = 0) -> str:
        """Figure as the reader's language writes it."""
        return number(value, decimals, self.language)

    def signed(self, value: float, decimals: int = 0) -> str:
        """Figure with its sign, as a change is written."""
        return signed(value, decimals, self.language)

    @property
    def pressure_unit(self) -> str:
        """Unit and reference of shown pressures, such as ``bar abs``."""
        return self.says(f"unit.{self.units.reference}", unit=self.pressure_step_unit)

    @property
    def pressure_step_unit(self) -> str:
        """Unit of a difference of pressures: it needs no reference."""
        return pressure_step_unit(self.units)

    @property
    def speed_unit(self) -> str:
        """Unit of shown speeds."""
        return speed_unit_text(self.units)

    def pressure_value(self, kpa: float) -> float:
        """Absolute pressure [kPa] in the reader's unit and reference."""
        return shown_pressure(kpa, self.units, self.barometer_kpa)

    def pressure_kpa(self, value: float) -> float:
        """Absolute pressure [kPa] of a value in the reader's unit and reference."""
        return pressure_kpa(value, self.units, self.barometer_kpa)

    def pressure(self, kpa: float) -> str:
        """Absolute pressure [kPa] as a figure without its unit."""
        return self.number(self.pressure_value(kpa), pressure_decimals(self.units))

    def pressure_change(self, kpa: float) -> str:
        """Difference of pressures [kPa] as a signed figure without its unit."""
        return self.signed(convert(kpa, "kPa", self.units.pressure), pressure_decimals(self.units))

    def pressure_with_unit(self, kpa: float) -> str:
        """Absolute pressure [kPa] with unit and reference."""
        return f"{self.pressure(kpa)} {self.pressure_unit}"

    def speed(self, mps: float) -> str:
        """Speed [m/s] as a figure without its unit."""
        return self.number(shown_speed(mps, self.units), _SPEED_DECIMALS)

    def speed_mps(self, value: float) -> float:
        """Speed [m/s] of a value in the reader's unit."""
        return value / shown_speed(1.0, self.units)

    def seconds(self, seconds: float) -> str:
        """Time [s] as a figure without its unit."""
        return self.number(seconds, _TIME_DECIMALS)

    def seconds_range(self, low_s: float, high_s: float) -> str:
        """Two times [s] and the dash between them, without the unit."""
        return f"{self.seconds(low_s)} – {self.seconds(high_s)}"

    def speed_range(self, low_mps: float, high_mps: float) -> str:
        """Two speeds [m/s] and the dash between them, without the unit."""
        return f"{self.speed(low_mps)} – {self.speed(high_mps)}"

    def clock(self, name: str, measured: Measured) -> "Shown":
        """A value of a timeslip by its field name, in the reader's units."""
        match measured:
            case Absent():
                return Shown(value="–", plus_minus="", unit="", reason=measured.reason)
            case Estimate() if name.endswith("_mps"):
                factor = shown_speed(1.0, self.units)
                return Shown(
                    value=self.speed(measured.value),
                    plus_minus=self.number(measured.plus_minus * factor, _SPEED_DECIMALS),
                    unit=self.speed_unit,
                )
            case Estimate():
                return Shown(value=self.seconds(measured.value), plus_minus=self.seconds(measured.plus_minus), unit="s")

    def adjuster_name(self, name: str) -> str:
        """What an adjuster is called; the owner's own ones keep their name, without underscores and unit."""
        if name in MODELLED:
            return self.says(f"adjuster.{name}")
        ending = _unit_ending(name)
        return name.removesuffix(ending).replace("_", " ")

    def adjuster_value(self, name: str, value: AdjusterValue) -> "Shown":
        """Value of an adjuster; a value a gear becomes a list."""
        if isinstance(value, bool):
            return Shown(value=self.says("switch.on" if value else "switch.off"))
        if isinstance(value, str):
            return Shown(value=value)
        if isinstance(value, tuple):
            figures = [self.adjuster_value(name, item).value for item in value]
            return Shown(value=" · ".join(figures), unit=self.adjuster_unit(name))
        if name in _PRESSURES:
            return Shown(value=self.pressure(value), unit=self.pressure_unit)
        return Shown(value=self.number(value, _decimals_of(value)), unit=self.adjuster_unit(name))

    def adjuster_unit(self, name: str) -> str:
        """Unit of an adjuster, from the ending of its name; empty where it has none."""
        return self.pressure_unit if name in _PRESSURES else self.unit_of(name)

    def evidence(self, name: str, value: float) -> tuple[str, str]:
        """Name and figure of a piece of evidence, with the unit that its name ends in."""
        ending = _unit_ending(name)
        decimals = 3 if abs(value) < 1.0 else (2 if abs(value) < 10.0 else 1)
        label = name.removesuffix(ending).replace("_", " ")
        figure = self.number(value, min(decimals, _decimals_of(value)))
        return label, f"{figure} {_NAME_UNITS.get(ending, '')}".strip()

    def guard(self, name: str, value: float) -> str:
        """Value of a guard in the unit of its name."""
        return self.number(value, 2 if "lambda" in name else _decimals_of(round(value, 1)))

    def unit_of(self, name: str) -> str:
        """Unit that a name of the contract ends in; empty where it has none."""
        return _NAME_UNITS.get(_unit_ending(name), "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A value as it is written: figure, ± and unit apart, so that each can be set in its own size.

    Parameters
    ----------
    reason : str
        Why there is no value; empty where there is one.
    """

    value: str
    plus_minus: str = ""
    unit: str = ""
    reason: str = ""

    def __str__(self) -> str:
        return " ".join(part for part in (self.value, self.plus_minus and f"±{self.plus_minus}", self.unit) if part)


def owner_adjusters(adjusters: Mapping[str, Adjuster]) -> tuple[Adjuster, ...]:
    """Adjusters that the simulation does not understand: the owner's own, in the order of the car file."""
    return tuple(adjuster for name, adjuster in adjusters.items() if name not in MODELLED)


def _unit_ending(name: str) -> str:
    endings = [ending for ending in _NAME_UNITS if name.endswith(ending)]
    return max(endings, key=len, default="")


def _decimals_of(value: float) -> int:
    figure = f"{value:.3f}".rstrip("0")
    return len(figure.partition(".")[2])
