"""What the car was doing when: staged, launch, each gear, each shift, lift, coast."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from nextpass.log import Log
from nextpass.review.gear import LOCKED_WITHIN, GearTrace
from nextpass.review.speed import GroundSpeed

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

PhaseKind = Literal["staged", "launch", "gear", "shift", "lift", "coast"]

# The clutch counts as closed after this long in the ratio of the gear.
CLOSED_FOR_S = 0.08
# The torque cut begins at most this long before the ratio is left.
LONGEST_CUT_S = 0.25
# A shift takes no longer than this, whatever the ratio says afterwards: a slipping clutch is another matter.
LONGEST_SHIFT_S = 0.8
# The box cuts torque by closing the throttle to less than this part of its opening around the shift.
PULLING_ABOVE, AROUND_S = 0.7, 0.6
# Pedal or throttle below this for this long is the driver's own lift, not the box's torque cut.
LIFTED_BELOW = 0.5
LIFTED_FOR_S = 0.45


@dataclass(frozen=True, slots=True, kw_only=True)
class Phase:
    """One stretch of a pass; `gear` is the gear that was being left in a shift, None when standing or unknown."""

    kind: PhaseKind
    gear: int | None
    start_s: float
    end_s: float


def find_phases(log: Log, motion: GroundSpeed, trace: GearTrace | None) -> tuple[Phase, ...]:
    """The phases of one try in order, without gaps between them."""
    start_s, end_s = float(motion.time_s[0]), float(motion.time_s[-1])
    phases = [Phase(kind="staged", gear=None, start_s=start_s, end_s=motion.moved_s)]
    lift_s = lift_time(log, motion) or end_s
    if trace is None:
        phases.append(Phase(kind="gear", gear=None, start_s=motion.moved_s, end_s=lift_s))
    else:
        phases.extend(_under_power(log, trace, motion.moved_s, lift_s))
    if lift_s < end_s:
        settled_s = min(lift_s + 0.3, end_s)
        gear = None if trace is None else _gear_at(trace, lift_s)
        phases.append(Phase(kind="lift", gear=gear, start_s=lift_s, end_s=settled_s))
        phases.append(Phase(kind="coast", gear=gear, start_s=settled_s, end_s=end_s))
    return tuple(phase for phase in phases if phase.end_s > phase.start_s)


def lift_time(log: Log, motion: GroundSpeed) -> float | None:
    """When the driver closed the pedal for good after the launch [s], None where the log does not tell."""
    for name in ("pedal", "throttle"):
        channel = log.get(name)
        if channel is None:
            continue
        after = (channel.time_s > motion.moved_s + 0.2) & (channel.time_s <= motion.time_s[-1])
        time_s, is_low = channel.time_s[after], channel.values[after] < LIFTED_BELOW
        return _first_lasting(time_s, is_low, LIFTED_FOR_S)
    return None


def _first_lasting(time_s: FloatArray, condition: NDArray[np.bool_], for_s: float) -> float | None:
    edges = np.flatnonzero(np.diff(np.concatenate([[False], condition, [False]]).astype(np.int8)))
    for first, stop in edges.reshape(-1, 2):
        if time_s[min(stop, time_s.size - 1)] - time_s[first] >= for_s:
            return float(time_s[first])
    return None


def _under_power(log: Log, trace: GearTrace, moved_s: float, lift_s: float) -> list[Phase]:
    """Launch, gears and shifts between the first move and the lift."""
    inside = np.flatnonzero((trace.time_s >= moved_s) & (trace.time_s <= lift_s))
    if inside.size < 3:
        return []
    first_gear = _first_gear(trace, inside)
    changes = [int(i) for i in inside[1:] if trace.gear[i] != trace.gear[i - 1] and trace.gear[i] > 0]
    stop = changes[0] if changes else int(inside[-1])
    closed_s = min(_closed_after(trace, int(inside[0]), stop), float(trace.time_s[stop]))
    phases = [Phase(kind="launch", gear=first_gear, start_s=moved_s, end_s=closed_s)]
    since = closed_s
    is_open = _throttle_open(log, trace)
    for place, i in enumerate(changes):
        left = int(trace.gear[i - 1]) or first_gear
        nearby = changes[place + 1] if place + 1 < len(changes) else int(inside[-1])
        opened_s, reached_s = _shift_bounds(trace, is_open, i, nearby)
        opened_s = max(opened_s, since)
        phases.append(Phase(kind="gear", gear=left, start_s=since, end_s=opened_s))
        phases.append(Phase(kind="shift", gear=left, start_s=opened_s, end_s=min(reached_s, lift_s)))
        since = min(max(reached_s, opened_s), lift_s)
    phases.append(Phase(kind="gear", gear=_gear_at(trace, lift_s) or first_gear, start_s=since, end_s=lift_s))
    return phases


def _first_gear(trace: GearTrace, inside: NDArray[np.int64]) -> int | None:
    gears = trace.gear[inside]
    known = gears[gears > 0]
    return int(known[0]) if known.size else None


def _closed_after(trace: GearTrace, start: int, stop: int) -> float:
    """When the launch clutch has closed: the first time that engine and wheels stay in the ratio."""
    stretch = slice(start, stop + 1)
    closed = _first_lasting(trace.time_s[stretch], trace.is_locked[stretch], CLOSED_FOR_S)
    return float(trace.time_s[stop]) if closed is None else closed


def _shift_bounds(trace: GearTrace, is_open: BoolArray, change: int, nearby: int) -> tuple[float, float]:
    """From the torque cut or leaving the old ratio to the new ratio under torque again, whichever is wider."""
    times = trace.time_s
    pulling = trace.is_locked & is_open
    # Engine speed comes down on the new ratio and may swing through it: meeting it once is enough.
    met = (trace.clutch_slip_rpm <= LOCKED_WITHIN * trace.engine_rpm) & is_open
    opened = change
    while opened > 0 and not pulling[opened - 1] and times[change] - times[opened - 1] < LONGEST_SHIFT_S:
        # A throttle that was low long before the ratio was left is no part of the shift.
        if trace.is_locked[opened - 1] and times[change] - times[opened - 1] > LONGEST_CUT_S:
            break
        opened -= 1
    reached = change
    while reached < nearby and not met[reached] and times[reached] - times[change] < LONGEST_SHIFT_S:
        # A throttle that stays low while the new gear drives is held by something else than the shift.
        if _drives_held(trace, is_open, reached):
            break
        reached += 1
    return float(times[opened]), float(times[reached])


def _drives_held(trace: GearTrace, is_open: BoolArray, index: int) -> bool:
    """Whether the new gear drives from a sample on, throttle low all along, for longer than any cut of torque lasts."""
    until = int(np.searchsorted(trace.time_s, trace.time_s[index] + LONGEST_CUT_S))
    ahead = slice(index, until + 1)
    return bool(trace.is_locked[ahead].all() and not is_open[ahead].any())


def _throttle_open(log: Log, trace: GearTrace) -> BoolArray:
    """Whether the throttle is about as open as it is around the moment; true where it is not logged."""
    throttle = log.get("throttle")
    if throttle is None:
        return np.ones(trace.time_s.size, dtype=np.bool_)
    opening = np.nan_to_num(throttle.at(trace.time_s), nan=1.0)
    around = max(int(AROUND_S / float(np.median(np.diff(trace.time_s)))), 1)
    usual = np.max(sliding_window_view(np.pad(opening, around, mode="edge"), 2 * around + 1), axis=1)
    return np.asarray(opening > PULLING_ABOVE * usual)


def _gear_at(trace: GearTrace, time_s: float) -> int | None:
    index = int(np.clip(np.searchsorted(trace.time_s, time_s, side="right") - 1, 0, trace.time_s.size - 1))
    gear = int(trace.gear[index])
    return gear if gear > 0 else None
