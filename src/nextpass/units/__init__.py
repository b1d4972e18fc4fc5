"""Units that people read and write, and their conversion to the one unit that the program uses inside."""

from nextpass.units.conversion import convert
from nextpass.units.shown import (
    ShownUnits,
    pressure_decimals,
    pressure_kpa,
    pressure_step_unit,
    pressure_unit_text,
    shown_pressure,
    shown_speed,
    shown_units,
    speed_unit_text,
)
from nextpass.units.unit import (
    CANONICAL,
    Reference,
    Unit,
    air_fuel_ratio,
    canonical_unit,
    read_unit,
    unit_of,
)

__all__ = [
    "CANONICAL",
    "Reference",
    "ShownUnits",
    "Unit",
    "air_fuel_ratio",
    "canonical_unit",
    "convert",
    "pressure_decimals",
    "pressure_kpa",
    "pressure_step_unit",
    "pressure_unit_text",
    "read_unit",
    "shown_pressure",
    "shown_speed",
    "shown_units",
    "speed_unit_text",
    "unit_of",
]
