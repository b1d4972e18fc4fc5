"""The car and what is set and met in one pass: records without any input or output."""

from nextpass.car.adjuster import (
    FUEL,
    GEAR_PRESSURE_CAP,
    LAUNCH_PRESSURE,
    LAUNCH_RPM,
    MODELLED,
    SHIFT_RPM,
    Adjuster,
    AdjusterKind,
    AdjusterValue,
)
from nextpass.car.car import Assumed, Car, Chassis, Clutch, Driveline, Engine, Fuel, FuelSystem, Pump, Tyres
from nextpass.car.conditions import Conditions
from nextpass.car.defaults import DEFAULTS, Default
from nextpass.car.guard import Guards
from nextpass.car.ledger_entry import ENTRY_KINDS, EntryKind, LedgerEntry
from nextpass.car.pass_record import PassRecord
from nextpass.car.plausible import Doubt, doubts
from nextpass.car.setting import SettingFault, checked_setup, setting, setting_fault
from nextpass.car.setup import Setup
from nextpass.car.strip_clocks import StripClocks

__all__ = [
    "DEFAULTS",
    "ENTRY_KINDS",
    "FUEL",
    "GEAR_PRESSURE_CAP",
    "LAUNCH_PRESSURE",
    "LAUNCH_RPM",
    "MODELLED",
    "SHIFT_RPM",
    "Adjuster",
    "AdjusterKind",
    "AdjusterValue",
    "Assumed",
    "Car",
    "Chassis",
    "Clutch",
    "Conditions",
    "Default",
    "Doubt",
    "Driveline",
    "Engine",
    "EntryKind",
    "Fuel",
    "FuelSystem",
    "Guards",
    "LedgerEntry",
    "PassRecord",
    "Pump",
    "SettingFault",
    "Setup",
    "StripClocks",
    "Tyres",
    "checked_setup",
    "doubts",
    "setting",
    "setting_fault",
]
