"""The proving ground: invented cars, strips, drivers, days, sensors and loggers, to judge review, fit and plan by.

A richer model of the pass than the planner's own, which shares no code with it but the formulas of `physics`. The
truth stays here; what a reader of the written folders gets is what a real car would have given.
"""

from nextpass.proving.demo_day import DemoDay, DemoPass, demo_day, drive_demo_pass
from nextpass.proving.drive import OUTPUTS, drive_many, drive_pass, mean_et
from nextpass.proving.driver import Driver, Luck, draw_luck, no_luck
from nextpass.proving.faults import (
    CODE_FAULTS,
    FAULTS,
    Fault,
    FaultyPass,
    drive_faulty,
    faulty_log_text,
    write_faulty_folder,
)
from nextpass.proving.fleet import Entry, cautious_setup, fleet
from nextpass.proving.guided import GuidedLog, coast_downs, idle_balance, leak_down, pump_stages
from nextpass.proving.logger import DIALECTS, Logger, SensorSet, any_logger, log_text, logged
from nextpass.proving.outcome import GuardFigures, Outcome
from nextpass.proving.pass_folder import write_car_file, write_pass_folder
from nextpass.proving.pulls import pulls_text
from nextpass.proving.season import Drift, SeasonPass, season
from nextpass.proving.sensors import Mounting
from nextpass.proving.strip import Strip
from nextpass.proving.truth import ProvingCar

__all__ = [
    "CODE_FAULTS",
    "DIALECTS",
    "FAULTS",
    "OUTPUTS",
    "DemoDay",
    "DemoPass",
    "Drift",
    "Driver",
    "Entry",
    "Fault",
    "FaultyPass",
    "GuardFigures",
    "GuidedLog",
    "Logger",
    "Luck",
    "Mounting",
    "Outcome",
    "ProvingCar",
    "SeasonPass",
    "SensorSet",
    "Strip",
    "any_logger",
    "cautious_setup",
    "coast_downs",
    "demo_day",
    "draw_luck",
    "drive_demo_pass",
    "drive_faulty",
    "drive_many",
    "drive_pass",
    "faulty_log_text",
    "fleet",
    "idle_balance",
    "leak_down",
    "log_text",
    "logged",
    "mean_et",
    "no_luck",
    "pulls_text",
    "pump_stages",
    "season",
    "write_car_file",
    "write_faulty_folder",
    "write_pass_folder",
]
