"""One pass of a fitted car in about a millisecond."""

from nextpass.sim.drive import Run, compile_kernels, drive, drive_many, sample_many
from nextpass.sim.kernel import MAX_GEARS, OUTPUTS, PER_GEAR, TRACES
from nextpass.sim.pack import pack, pack_car, pack_setups, with_setup
from nextpass.sim.parameters import Parameters, default_parameters

__all__ = [
    "MAX_GEARS",
    "OUTPUTS",
    "PER_GEAR",
    "TRACES",
    "Parameters",
    "Run",
    "compile_kernels",
    "default_parameters",
    "drive",
    "drive_many",
    "pack",
    "pack_car",
    "pack_setups",
    "sample_many",
    "with_setup",
]
