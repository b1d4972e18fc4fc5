"""Which part of the strip a difference comes from: beam to beam, and gear by gear.

A gear covers another stretch of the strip in each pass, so that its bounds are the places at which the first group
shifted on average: both groups are timed over the same metres, and the parts add up to the whole.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from nextpass.physics import strip
from nextpass.review import ReviewedPass

FloatArray = NDArray[np.float64]

BEAM_STRETCHES: Final = tuple(zip((strip.ROLLOUT_M, *strip.BEAMS_M[:-1]), strip.BEAMS_M, strict=True))
"""Start and end of each stretch between beams [m]; the first begins at the rollout, where the clock starts."""

# A gear that is left before this many metres have passed in it is no stretch of its own.
_SHORTEST_M = 3.0


def time_between(one: ReviewedPass, start_m: float, end_m: float) -> float:
    """Time of a pass from one distance to another by its log [s]; nan where it was not tracked that far.

    Parameters
    ----------
    one : ReviewedPass
    start_m, end_m : float
        From the stage line [m].
    """
    motion = one.review.ground_speed
    if motion is None or not motion.from_rest or motion.distance_m[-1] < end_m:
        return float("nan")
    distance = np.maximum.accumulate(motion.distance_m)
    start_s, end_s = np.interp([start_m, end_m], distance, motion.time_s)
    return float(end_s - start_s)


def gear_bounds(passes: Sequence[ReviewedPass]) -> tuple[tuple[int, float, float], ...]:
    """Gear, start and end [m] of the stretch that each gear covers on average in some passes.

    Parameters
    ----------
    passes : sequence of ReviewedPass
        Of one group.

    Returns
    -------
    tuple of (int, float, float)
        From the rollout to the finish without gaps; empty where no log tells the gears.
    """
    shifts: dict[int, list[float]] = {}
    for one in passes:
        motion = one.review.ground_speed
        if motion is None or not motion.from_rest:
            continue
        for phase in one.review.phases:
            if phase.kind == "shift" and phase.gear is not None:
                middle_s = 0.5 * (phase.start_s + phase.end_s)
                shifts.setdefault(phase.gear, []).append(float(np.interp(middle_s, motion.time_s, motion.distance_m)))
    # A gear that only some of the passes reached has no place that is common to them.
    common = [gear for gear, places in sorted(shifts.items()) if len(places) == max(map(len, shifts.values()))]
    bounds, start_m = [], strip.ROLLOUT_M
    for gear in common:
        end_m = float(np.mean(shifts[gear]))
        if start_m + _SHORTEST_M < end_m < strip.BEAM_1320FT_M - _SHORTEST_M:
            bounds.append((gear, start_m, end_m))
            start_m = end_m
    return (*bounds, (bounds[-1][0] + 1, start_m, strip.BEAM_1320FT_M)) if bounds else ()
