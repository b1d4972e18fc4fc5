"""Can the log be believed: channels stuck, clipped or swapped, too few rows a second, low voltage?"""

import numpy as np
from numpy.typing import NDArray

from nextpass.review.findings.evidence import Evidence
from nextpass.review.findings.finding import Finding, Severity, worded
from nextpass.review.findings.traction import axle_slip

FloatArray = NDArray[np.float64]

# Channels that no pull leaves unchanged, and those whose range ends where boosted engines go.
LIVELY = (
    "engine_rpm",
    "vehicle_speed_mps",
    "wheel_speed_fl_mps",
    "wheel_speed_fr_mps",
    "wheel_speed_rl_mps",
    "wheel_speed_rr_mps",
    "gps_speed_mps",
    "longitudinal_acceleration_mps2",
    "manifold_pressure_kpa",
    "lambda_bank1",
    "lambda_bank2",
    "injector_duty",
    "rail_pressure_kpa",
)
RANGED = ("manifold_pressure_kpa", "charge_pressure_kpa", "lambda_bank1", "lambda_bank2", "rail_pressure_kpa")
BATTERY = "battery_v"
# Swapped axles: the free one seems to spin while the driven one does not.
SWAPPED_SLIP = 0.10


def find(evidence: Evidence) -> tuple[Finding, ...]:
    """Stuck, clipped, swapped; slow log; battery.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Finding
    """
    return (
        *_stuck(evidence),
        *_clipped(evidence),
        *_swapped_axles(evidence),
        *_slow_log(evidence),
        *_battery(evidence),
    )


def _stuck(evidence: Evidence) -> list[Finding]:
    moving = evidence.between(evidence.motion.moved_s + 0.3, evidence.lift_s)
    found = []
    for name in LIVELY:
        values = evidence.series(name)
        if values is None:
            continue
        known = np.where(moving, values, np.nan)
        change = np.abs(np.diff(known, prepend=known[0]))
        with np.errstate(invalid="ignore"):
            still = evidence.stretches(moving & np.isfinite(values) & (change < 1e-9), evidence.limits["stuck_s"])
        if still and not _is_clipped(values, still[0].samples):
            longest = max(still, key=lambda stretch: stretch.end_s - stretch.start_s)
            figures = {"stuck_at": float(values[longest.first]), "stuck_s": longest.end_s - longest.start_s}
            span = (longest.start_s, longest.end_s)
            found.append(worded("sensor-stuck", Severity.ACT, *span, (name,), figures, channel=name))
    return found


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
            found.append(worded("sensor-clipped", Severity.ACT, *span, (name,), figures, channel=name))
    return found


def _swapped_axles(evidence: Evidence) -> list[Finding]:
    """A free axle that spins while the driven one rolls: the wheel speeds of the axles are swapped."""
    share = evidence.car.driveline.front_drive_share
    if 0.0 < share < 1.0:
        return []
    free, driven = ("front", "rear") if share <= 0.0 else ("rear", "front")
    free_slip, driven_slip = axle_slip(evidence, free), axle_slip(evidence, driven)
    if free_slip is None or driven_slip is None:
        return []
    with np.errstate(invalid="ignore"):
        odd = (free_slip > SWAPPED_SLIP) & (driven_slip < 0.5 * SWAPPED_SLIP)
        odd &= evidence.between(evidence.motion.moved_s, evidence.lift_s)
    seconds = evidence.seconds(odd)
    if seconds < 2.0 * evidence.limits["slip_watch_s"]:
        return []
    times = evidence.time_s[odd]
    figures = {"free_axle_slip_ratio": float(np.median(free_slip[odd])), "swapped_s": seconds}
    channels = ("wheel_speed_fl_mps", "wheel_speed_rl_mps")
    return [worded("sensors-swapped", Severity.ACT, float(times[0]), float(times[-1]), channels, figures)]


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
