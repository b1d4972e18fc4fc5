"""Can the log be believed: channels stuck, clipped or swapped, speed by driven wheels alone, few rows, low voltage?"""

import numpy as np
from numpy.typing import NDArray

from nextpass.review.attempt import MOVING
from nextpass.review.findings.evidence import GAP_INTERVALS, Evidence
from nextpass.review.findings.finding import Finding, Severity, worded
from nextpass.review.gear import AXLES
from nextpass.words import keys, phrase

FloatArray = NDArray[np.float64]

# Channels whose range ends where boosted engines go.
RANGED = ("manifold_pressure_kpa", "charge_pressure_kpa", "lambda_bank1", "lambda_bank2", "rail_pressure_kpa")
BATTERY = "battery_v"
WHEELS = tuple(name for axle in AXLES.values() for name in axle)
SPUN_LEAST_MPS = 3.0
# The launch's hold before the first movement is looked at as well.
HELD_BEFORE_S = 0.6
# Of a 90 % interval, in standard deviations.
HALF_WIDTH = 1.645


def find(evidence: Evidence) -> tuple[Finding, ...]:
    """Stuck, clipped, swapped, turned; gaps; speed that may flatter; slow log; battery.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Finding
    """
    return (
        *_doubted(evidence),
        *_gaps(evidence),
        *_clipped(evidence),
        *_flattering(evidence),
        *_slow_log(evidence),
        *_battery(evidence),
    )


def _doubted(evidence: Evidence) -> list[Finding]:
    """What was set aside or put right before anything was computed."""
    found = []
    for doubt in evidence.doubts:
        span = (doubt.start_s, doubt.end_s)
        if doubt.kind == "swapped":
            figures = {"free_axle_slip_ratio": doubt.value}
            found.append(worded("sensors-swapped", Severity.ACT, *span, doubt.channels, figures))
        elif doubt.kind == "reversed":
            # Put right when the log was read, and of no effect on what follows.
            found.append(worded("sensor-reversed", Severity.NOTE, *span, doubt.channels, {}))
        else:
            figures = {"reads": doubt.value, f"{doubt.kind}_s": doubt.end_s - doubt.start_s}
            code = f"sensor-{doubt.kind}"
            channel = _spoken(doubt.channels[0])
            found.append(worded(code, Severity.ACT, *span, doubt.channels, figures, channel=channel))
    return found


def _spoken(channel: str) -> str:
    """Name of a channel in words, where it has one."""
    key = f"channel.{channel}"
    return phrase(key) if key in keys("en") else channel


def _gaps(evidence: Evidence) -> list[Finding]:
    """Stretches under power in which no channel that moves was written."""
    start_s, end_s = evidence.motion.moved_s - HELD_BEFORE_S, evidence.lift_s
    written = [
        evidence.log[name].time_s[np.isfinite(evidence.log[name].values)] for name in MOVING if name in evidence.log
    ]
    if not written:
        return []
    times = np.unique(np.concatenate(written))
    times = np.concatenate([[start_s], times[(times > start_s) & (times < end_s)], [end_s]])
    gaps = np.diff(times)
    long = np.flatnonzero(gaps > max(evidence.limits["gap_s"], GAP_INTERVALS * evidence.period_s))
    if long.size == 0:
        return []
    first, last = int(long[0]), int(long[-1])
    figures = {"gap_s_max": float(gaps[long].max()), "gaps": float(long.size), "gap_s": float(gaps[long].sum())}
    return [worded("log-gap", Severity.WATCH, float(times[first]), float(times[last + 1]), (), figures)]


def _is_clipped(values: FloatArray, samples: slice) -> bool:
    """Whether a flat stretch lies at the very end of what the channel ever shows, and the channel moves otherwise."""
    level, finite = values[samples][0], values[np.isfinite(values)]
    moves = float(np.ptp(finite)) > 0.0
    return bool(moves and level >= finite.max() and np.count_nonzero(finite == level) > 3)


def _clipped(evidence: Evidence) -> list[Finding]:
    found = []
    for name in RANGED:
        values = evidence.series(name)
        if values is None or not np.isfinite(values).any():
            continue
        with np.errstate(invalid="ignore"):
            at_end = evidence.is_pulling & (np.abs(values - np.nanmax(values)) < 1e-9)
        flat = evidence.stretches(at_end, evidence.limits["clipped_s"])
        if flat and _is_clipped(values, flat[0].samples):
            figures = {"clipped_at": float(np.nanmax(values)), "clipped_s": evidence.seconds(at_end)}
            span = (flat[0].start_s, flat[-1].end_s)
            found.append(worded("sensor-clipped", Severity.ACT, *span, (name,), figures, channel=_spoken(name)))
    return found


def _flattering(evidence: Evidence) -> list[Finding]:
    """Driven wheels are all that tells speed: a note, and more where they turned faster than the car can have gone."""
    motion, trace = evidence.motion, evidence.trace
    if motion.sensors != ("wheels",):
        return []
    spun_s = 0.0
    if trace is not None:
        ground = np.interp(evidence.time_s, motion.time_s, motion.speed_mps)
        scale = float(np.mean(list(motion.wheel_scale.values())))
        with np.errstate(invalid="ignore"):
            beyond = trace.driven_mps / scale > (1.0 + evidence.limits["slip_ratio"]) * np.maximum(
                ground, SPUN_LEAST_MPS
            )
        spun_s = evidence.seconds(beyond & evidence.between(motion.moved_s, evidence.lift_s))
    figures = {"spun_s": spun_s, "distance_plus_minus_m": HALF_WIDTH * float(motion.distance_sd_m[-1])}
    severity = Severity.WATCH if spun_s >= evidence.limits["slip_watch_s"] else Severity.NOTE
    span = (motion.moved_s, evidence.lift_s)
    channels = tuple(name for name in (*WHEELS, "vehicle_speed_mps") if name in evidence.log)
    return [worded("speed-flattering", severity, *span, channels, figures)]


def _slow_log(evidence: Evidence) -> list[Finding]:
    rate_hz = evidence.log.quality.rate_hz
    if not 0.0 < rate_hz < evidence.limits["slow_log_hz"]:
        return []
    figures = {"rate_hz": rate_hz, "unresolved_s": 1.0 / rate_hz}
    span = (float(evidence.time_s[0]), float(evidence.time_s[-1]))
    return [worded("log-slow", Severity.NOTE, *span, (), figures)]


def _battery(evidence: Evidence) -> list[Finding]:
    volts = evidence.series(BATTERY)
    if volts is None:
        return []
    powered = evidence.between(evidence.motion.moved_s, evidence.lift_s)
    width = max(int(0.2 / evidence.period_s), 1)
    smooth = np.convolve(np.nan_to_num(volts, nan=99.0), np.ones(width) / width, mode="same")
    low = evidence.stretches(powered & (smooth < evidence.limits["battery_watch_v"]), 0.2)
    if not low:
        return []
    least = min(float(smooth[stretch.samples].min()) for stretch in low)
    severity = Severity.ACT if least < evidence.limits["battery_act_v"] else Severity.WATCH
    span = (low[0].start_s, low[-1].end_s)
    return [worded("battery-low", severity, *span, (BATTERY,), {"battery_v_min": least})]
