"""What the guards' figures came to in a pass, read from its log: the measured counterpart of the simulation's peaks.

Only time under load in a gear counts, up to the lift, or to the finish where a simulated pass is the counterpart. A
running median of three samples takes single outliers; what a log has no channel for is left out.
"""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.signal import medfilt

from nextpass.log import Channel, Log
from nextpass.review import GroundSpeed, Phase, ReviewedPass

FloatArray = NDArray[np.float64]

FINISH_M = 402.336
# Mixture swings while a gear comes in and pressure follows [s]; a gear that is used for less than twice that shows
# little of what it comes to.
ENTRY_S = 0.4
SHOWN_S = 2.0 * ENTRY_S
# Where several channels tell the same, the first that is there counts.
HIGHEST = {
    "injector_duty": ("injector_duty",),
    "knock_retard_deg": ("knock_retard_deg",),
    "charge_air_c": ("charge_temperature_c", "intake_temperature_c"),
    "gearbox_oil_c": ("gearbox_oil_temperature_c",),
}
BANKS = ("lambda_bank1", "lambda_bank2")


def run_end_s(motion: GroundSpeed, phases: Sequence[Phase]) -> float:
    """Finish or lift, whichever comes first [s], on the log's clock."""
    finish_s = float(np.interp(FINISH_M, motion.distance_m, motion.time_s))
    lifts = [phase.start_s for phase in phases if phase.kind in ("lift", "coast")]
    return min([finish_s, float(motion.time_s[-1]), *lifts])


def peaks_to_finish(one: ReviewedPass) -> Mapping[str, float]:
    """What `guard_peaks` gives up to the finish, where the simulation ends: air and duty still rise until the lift."""
    motion = one.review.ground_speed
    return guard_peaks(one, np.inf if motion is None else run_end_s(motion, one.review.phases))


def duty_by_gear(one: ReviewedPass) -> Mapping[int, float]:
    """Greatest injector duty of each gear that a pass used for `SHOWN_S` up to the finish, by gear counted from 1."""
    motion, duty = one.review.ground_speed, one.log.get("injector_duty")
    if duty is None:
        return {}
    end_s = np.inf if motion is None else run_end_s(motion, one.review.phases)
    found: dict[int, float] = {}
    for phase in one.review.phases:
        until_s = min(phase.end_s, end_s)
        if phase.kind == "gear" and phase.gear is not None and until_s - phase.start_s >= SHOWN_S:
            values = _within(duty, [(phase.start_s, until_s)])
            if values.size:
                found[phase.gear] = max(float(values.max()), found.get(phase.gear, 0.0))
    return found


def guard_peaks(one: ReviewedPass, end_s: float = np.inf) -> Mapping[str, float]:
    """Measured extremes of a pass by the simulation's names, in the program's units.

    Parameters
    ----------
    one : ReviewedPass
    end_s : float
        What comes later on the log's clock does not count [s].

    Returns
    -------
    Mapping[str, float]
        Without what the log cannot show.
    """
    gears = [phase for phase in one.review.phases if phase.kind == "gear" and phase.start_s < end_s]
    spans = [(phase.start_s, min(phase.end_s, end_s)) for phase in gears]
    found: dict[str, float] = {}
    for name, channels in HIGHEST.items():
        present = [one.log[channel] for channel in channels if channel in one.log]
        values = _within(present[0], spans) if present else np.empty(0)
        if values.size:
            found[name] = float(values.max())
    settled = [(start + ENTRY_S, end) for start, end in spans if end - start > SHOWN_S]
    banks = [_within(one.log[name], settled) for name in BANKS if name in one.log]
    leanest = [float(np.quantile(values, 0.95)) for values in banks if values.size]
    if leanest:
        found["wot_lambda"] = max(leanest)
    drop = _rail_drop(one.log, settled)
    if drop is not None:
        found["rail_pressure_drop"] = drop
    return found


def _within(channel: Channel, spans: list[tuple[float, float]]) -> FloatArray:
    """Samples inside any of the spans, smoothed."""
    values = medfilt(channel.values, 3) if channel.values.size >= 3 else channel.values
    inside = np.zeros(channel.time_s.shape, dtype=bool)
    for start, end in spans:
        inside |= (channel.time_s >= start) & (channel.time_s <= end)
    kept = values[inside]
    return np.asarray(kept[np.isfinite(kept)])


def _rail_drop(log: Log, spans: list[tuple[float, float]]) -> float | None:
    """Deepest fall of the rail under its target, or under its own level before the pass; 0 where it never falls."""
    rail = log.get("rail_pressure_kpa")
    if rail is None or not spans:
        return None
    under_load = _within(rail, spans)
    target = log.get("rail_target_kpa")
    before = rail.values[rail.time_s < spans[0][0]]
    level = _within(target, spans) if target is not None else before[np.isfinite(before)]
    if not under_load.size or not level.size:
        return None
    return max(0.0, 1.0 - float(np.quantile(under_load, 0.02)) / float(np.median(level)))
