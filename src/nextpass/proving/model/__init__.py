"""The judge's equations of motion, compiled: one part a file, and the pass that strings their steps together.

Base SI throughout (Pa, K, rad/s, J), which `nextpass.proving.pack` converts to. Nothing here is shared with the
planner's own model.
"""

from nextpass.proving.model.compiled import compiled
from nextpass.proving.model.layout import CONSTANTS, GEARS, STATE, TALLY, flat
from nextpass.proving.model.run import run_pass

__all__ = ["CONSTANTS", "GEARS", "STATE", "TALLY", "compiled", "flat", "run_pass"]
