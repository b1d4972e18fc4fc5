"""Sums of the day before: one each, showing its work.

Each takes plain figures or the car's records and returns a `WorkedSum`: inputs, steps with their formula, results with
their ±, and what to beware of. Nothing is read, written or remembered here.
"""

from nextpass.workbench.charge import charge_sum
from nextpass.workbench.day import day_sum
from nextpass.workbench.gearing import gearing_sum
from nextpass.workbench.launch import launch_sum
from nextpass.workbench.other_hands import OtherHands, other_hands
from nextpass.workbench.supply import SupplyAssumptions, supply_sum
from nextpass.workbench.tank import MEASURED_SHARE, PUMP_SHARE, blend_sum
from nextpass.workbench.tyres import cold_pressure_sum, hot_pressure_sum, size_sum
from nextpass.workbench.worked import Line, WorkedSum

__all__ = [
    "MEASURED_SHARE",
    "PUMP_SHARE",
    "Line",
    "OtherHands",
    "SupplyAssumptions",
    "WorkedSum",
    "blend_sum",
    "charge_sum",
    "cold_pressure_sum",
    "day_sum",
    "gearing_sum",
    "hot_pressure_sum",
    "launch_sum",
    "other_hands",
    "size_sum",
    "supply_sum",
]
