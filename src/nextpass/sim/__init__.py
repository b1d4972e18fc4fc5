"""One pass of a fitted car in about a millisecond."""

from nextpass.sim.bound import PerfectTraction, perfect_traction, without_slip
from nextpass.sim.car_row import REFERENCE_CHARGE_C
from nextpass.sim.drive import Run, compile_kernels, drive, drive_many, sample_many
from nextpass.sim.kernel import MAX_GEARS, OUTPUTS, PER_GEAR, TRACES
from nextpass.sim.pack import pack, pack_car, pack_setups, until, with_pass_luck, with_setup
from nextpass.sim.parameters import Parameters, Versions, default_parameters
from nextpass.sim.tight import drive_tightly

__all__ = [
    "MAX_GEARS",
    "OUTPUTS",
    "PER_GEAR",
    "REFERENCE_CHARGE_C",
    "TRACES",
    "Parameters",
    "PerfectTraction",
    "Run",
    "Versions",
    "compile_kernels",
    "default_parameters",
    "drive",
    "drive_many",
    "drive_tightly",
    "pack",
    "pack_car",
    "pack_setups",
    "perfect_traction",
    "sample_many",
    "until",
    "with_pass_luck",
    "with_setup",
    "without_slip",
]
