"""What the strip's own clocks said of a pass: the timeslip that the driver brings back."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class StripClocks:
    """Times from the rollout [s] and trap speeds [m/s] of the strip; None where the slip does not say.

    The fields carry the names of the answers, in the program's units.
    """

    t60ft_s: float | None = None
    t330ft_s: float | None = None
    t660ft_s: float | None = None
    v660ft_mps: float | None = None
    t1000ft_s: float | None = None
    et_s: float | None = None
    trap_mps: float | None = None
