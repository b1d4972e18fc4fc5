"""What the car was doing when: staged, launch, each gear, each shift, lift, coast."""

from dataclasses import dataclass
from typing import Literal

PhaseKind = Literal["staged", "launch", "gear", "shift", "lift", "coast"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Phase:
    """One stretch of a pass; `gear` is the gear that was being left in a shift, None when standing or unknown."""

    kind: PhaseKind
    gear: int | None
    start_s: float
    end_s: float
