"""How a channel is shown: its name in words, its unit, and its values in that unit."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nextpass.report.reader import Reader
from nextpass.units import shown_speed
from nextpass.words import keys

FloatArray = NDArray[np.float64]

# Ending of a canonical channel name: unit and decimals; pressures and speeds follow the reader instead.
_ENDINGS: dict[str, tuple[str, int]] = {
    "_rpm": ("rpm", 0),
    "_c": ("°C", 1),
    "_deg": ("°", 1),
    "_mps2": ("m/s²", 2),
    "_degps": ("°/s", 1),
    "_nm": ("N m", 0),
    "_v": ("V", 2),
    "_kgps": ("kg/s", 3),
    "_m": ("m", 1),
    "_s": ("s", 2),
}
# Ratios 0..1 that people read in percent.
_PERCENT = ("throttle", "pedal", "duty", "ethanol", "trim")


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """Shown form of a channel: ``shown = values * factor + offset``.

    Parameters
    ----------
    label : str
        What the channel is called in the reader's language.
    unit : str
        Of the shown values; empty for a bare number.
    decimals : int
        That its figures are worth.
    """

    label: str
    unit: str
    decimals: int
    factor: float = 1.0
    offset: float = 0.0

    def shown(self, values: FloatArray) -> FloatArray:
        """Canonical values in the shown unit."""
        return np.asarray(values * self.factor + self.offset, dtype=np.float64)


def quantity_of(name: str, reader: Reader, is_canonical: bool = True) -> Quantity:
    """How a channel is shown to a reader.

    Parameters
    ----------
    name : str
        Canonical name, or the column's own.
    reader : Reader
        Language and units.
    is_canonical : bool
        False for a column that no channel was found for: shown as the log has it.

    Returns
    -------
    Quantity
        Name, unit and conversion.
    """
    if not is_canonical:
        return Quantity(label=name, unit="", decimals=2)
    label = channel_label(name, reader)
    if name.endswith(("_kpa", "_kpa_gauge")):
        return _pressure(name, label, reader)
    if name.endswith("_mps"):
        return Quantity(label=label, unit=reader.speed_unit, decimals=1, factor=shown_speed(1.0, reader.units))
    for ending, (unit, decimals) in _ENDINGS.items():
        if name.endswith(ending):
            return Quantity(label=label, unit=unit, decimals=decimals)
    if any(word in name for word in _PERCENT):
        return Quantity(label=label, unit="%", decimals=1, factor=100.0)
    return Quantity(label=label, unit="", decimals=3 if "lambda" in name else 0)


def channel_label(name: str, reader: Reader) -> str:
    """Name of a channel in the reader's language; one without a text of its own shows its canonical name.

    Parameters
    ----------
    name : str
        Canonical name, such as ``manifold_pressure_kpa``.
    reader : Reader
        For the language.

    Returns
    -------
    str
        Without the unit.
    """
    key = f"channel.{name}"
    if key in keys(reader.language):
        return reader.says(key)
    for ending in (*_ENDINGS, "_kpa_gauge", "_kpa", "_mps"):
        if name.endswith(ending):
            return name.removesuffix(ending).replace("_", " ")
    return name.replace("_", " ")


def _pressure(name: str, label: str, reader: Reader) -> Quantity:
    per_kpa = reader.pressure_value(1.0) - reader.pressure_value(0.0)
    decimals = {"bar": 2, "kpa": 0, "psi": 1}[reader.units.pressure]
    # A rail stands over its own reference and an oil gauge over the air: neither has an absolute form to show.
    if name.endswith("_kpa_gauge") or name.startswith("rail_"):
        return Quantity(label=label, unit=reader.pressure_step_unit, decimals=decimals, factor=per_kpa)
    return Quantity(
        label=label, unit=reader.pressure_unit, decimals=decimals, factor=per_kpa, offset=reader.pressure_value(0.0)
    )
