"""What can be set at the track: a number on its step, a choice, a switch, or a button held by hand."""

import math
from dataclasses import dataclass, field
from typing import Literal

AdjusterKind = Literal["number", "choice", "switch", "momentary"]
AdjusterValue = float | tuple[float, ...] | str | bool

# The adjusters that the simulation understands; every other one is the owner's own.
LAUNCH_RPM = "launch_rpm"
LAUNCH_PRESSURE = "launch_pressure_kpa"
GEAR_PRESSURE_CAP = "gear_pressure_cap_kpa"
SHIFT_RPM = "shift_rpm"
FUEL = "fuel"
MODELLED = (LAUNCH_RPM, LAUNCH_PRESSURE, GEAR_PRESSURE_CAP, SHIFT_RPM, FUEL)


@dataclass(frozen=True, slots=True, kw_only=True)
class Adjuster:
    """One thing that can be set.

    Parameters
    ----------
    name : str
        As in the car file, unit in the name where it has one.
    kind : {"number", "choice", "switch", "momentary"}
        A momentary adjuster is held by hand: it is noted, never planned.
    minimum, maximum, step : float
        Of a number; nan otherwise.
    per_gear : bool
        A number with one value a gear.
    values : tuple of str
        Of a choice.
    """

    name: str
    kind: AdjusterKind
    minimum: float = math.nan
    maximum: float = math.nan
    step: float = math.nan
    per_gear: bool = False
    values: tuple[str, ...] = field(default=())

    def on_step(self, value: float) -> float:
        """Nearest value that can be dialled in: on the step that starts at `minimum`, inside the range."""
        steps = round((min(max(value, self.minimum), self.maximum) - self.minimum) / self.step)
        last = math.floor((self.maximum - self.minimum) / self.step + 1e-9)
        return round(self.minimum + min(steps, last) * self.step, 9)

    def is_on_step(self, value: float) -> bool:
        """Whether the value can be dialled in exactly."""
        return math.isclose(self.on_step(value), value, rel_tol=0.0, abs_tol=1e-6 * max(self.step, 1.0))
