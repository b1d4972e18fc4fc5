"""Does the box shift briskly and hold: clutch slip after lock-up, slow or flaring shifts, the rev limiter?"""

import numpy as np
from numpy.typing import NDArray

from nextpass.physics import clutch
from nextpass.review.findings.evidence import Evidence
from nextpass.review.findings.finding import Finding, Severity, worded
from nextpass.review.gear import driven_wheel_speed

FloatArray = NDArray[np.float64]

# How long before its shift an engine speed may peak.
LATE_LOOK_S = 0.3


def find(evidence: Evidence) -> tuple[Finding, ...]:
    """Clutch slip after lock-up, slow shift, late shift, flare, rev limiter.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Finding
    """
    if evidence.trace is None:
        return ()
    return (
        *_clutch_slip(evidence),
        *_slow_shifts(evidence),
        *_late_shifts(evidence),
        *_flares(evidence),
        *_rev_limiter(evidence),
    )


def _clutch_slip(evidence: Evidence) -> list[Finding]:
    trace, limits = evidence.trace, evidence.limits
    assert trace is not None
    slip = _measured_slip(evidence)
    torque = _clutch_torque(evidence)
    with np.errstate(invalid="ignore"):
        slipping = evidence.is_pulling & (slip > limits["clutch_slip_rpm"])
    found = []
    for gear, stretches in evidence.by_gear(evidence.stretches(slipping, limits["clutch_slip_s"])).items():
        stretch = max(stretches, key=lambda one: float(np.percentile(slip[one.samples], 90)))
        rpm = float(np.percentile(slip[stretch.samples], 90))
        figures = {"clutch_slip_rpm_p90": rpm, "clutch_slip_s": sum(one.end_s - one.start_s for one in stretches)}
        if torque is not None and np.isfinite(torque[stretch.samples]).any():
            carried = float(np.nanmedian(torque[stretch.samples]))
            figures["clutch_torque_nm"] = carried
            figures["clutch_heat_kw"] = float(clutch.slip_power_w(carried, rpm)) / 1000.0
        severity = Severity.STOP if rpm > limits["clutch_slip_stop_rpm"] else Severity.ACT
        span = (stretch.start_s, stretch.end_s)
        channels = ("engine_rpm", "clutch_torque_nm")
        found.append(worded("clutch-slip", severity, *span, channels, figures, gear=gear))
    return found


def _measured_slip(evidence: Evidence) -> FloatArray:
    """Clutch slip by wheels and gear, else by the input shaft [rpm].

    A box with two clutches has two input shafts, of which a log seldom says which one it shows: wheels come first.
    """
    assert evidence.trace is not None
    shaft = evidence.series("input_shaft_rpm")
    if shaft is None or driven_wheel_speed(evidence.car, evidence.log, evidence.time_s) is not None:
        return evidence.trace.clutch_slip_rpm
    return evidence.trace.engine_rpm - shaft


def _clutch_torque(evidence: Evidence) -> FloatArray | None:
    logged = evidence.series("clutch_torque_nm")
    return evidence.series("engine_torque_nm") if logged is None else logged


def _slow_shifts(evidence: Evidence) -> list[Finding]:
    """Shifts slower than this box can, by its file or by the pass's own other shifts."""
    shifts = [phase for phase in evidence.phases if phase.kind == "shift"]
    taken = np.array([phase.end_s - phase.start_s for phase in shifts])
    usual_s, limits = evidence.car.driveline.shift_time_s, evidence.limits
    found = []
    for place, phase in enumerate(shifts):
        others = np.delete(taken, place)
        # A shift is timed between samples: half a period at either end is not known.
        act_s = usual_s + limits["shift_over_s"] + evidence.period_s
        watch_s = act_s
        if others.size > 1:
            own_usual_s = float(np.median(others)) + evidence.period_s
            act_s = min(act_s, own_usual_s + limits["shift_over_others_s"])
            watch_s = min(act_s, own_usual_s + limits["shift_watch_s"])
        if taken[place] > watch_s:
            severity = Severity.ACT if taken[place] > act_s else Severity.WATCH
            figures = {"shift_s": float(taken[place]), "shift_usual_s": usual_s}
            if others.size:
                figures["other_shifts_s"] = float(np.median(others))
            span = (phase.start_s, phase.end_s)
            found.append(worded("slow-shift", severity, *span, ("engine_rpm", "gear"), figures, gear=phase.gear))
    return found


def _late_shifts(evidence: Evidence) -> list[Finding]:
    """Upshifts whose engine speed peaks over the set one: a box that is on time peaks just below it."""
    trace = evidence.trace
    assert trace is not None
    over, ends = [], []
    for phase in evidence.phases:
        if phase.kind == "shift":
            inside = evidence.between(phase.start_s - LATE_LOOK_S, phase.end_s)
            if inside.any():
                over.append(float(trace.engine_rpm[inside].max()) - evidence.record.setup.shift_rpm)
                ends.append(phase.end_s)
    if len(over) < 2 or np.median(over) < evidence.limits["late_shift_rpm"]:
        return []
    figures = {"over_shift_rpm": float(np.median(over)), "shift_rpm": evidence.record.setup.shift_rpm}
    return [worded("late-shift", Severity.WATCH, ends[0], ends[-1], ("engine_rpm",), figures)]


def _flares(evidence: Evidence) -> list[Finding]:
    """Engine speed that rises over the old ratio while a shift is under way: neither clutch holds it."""
    trace = evidence.trace
    assert trace is not None
    found = []
    for phase in evidence.phases:
        if phase.kind != "shift" or phase.gear is None:
            continue
        inside = evidence.between(phase.start_s, phase.end_s)
        over = trace.engine_rpm[inside] - trace.rpm_per_mps[phase.gear - 1] * trace.driven_mps[inside]
        if over.size and float(np.max(over)) > evidence.limits["flare_rpm"]:
            figures = {"flare_rpm": float(np.max(over)), "shift_s": phase.end_s - phase.start_s}
            found.append(
                worded(
                    "shift-flare", Severity.ACT, phase.start_s, phase.end_s, ("engine_rpm",), figures, gear=phase.gear
                )
            )
    return found


def _rev_limiter(evidence: Evidence) -> list[Finding]:
    trace = evidence.trace
    assert trace is not None
    limit = evidence.car.engine.rev_limit_rpm
    powered = evidence.between(evidence.motion.moved_s, evidence.lift_s)
    at_limit = powered & (trace.engine_rpm > evidence.limits["rev_limiter"] * limit)
    found = []
    for gear, stretches in evidence.by_gear(evidence.stretches(at_limit, evidence.limits["rev_limiter_s"])).items():
        figures = {
            "engine_rpm_max": max(float(np.max(trace.engine_rpm[stretch.samples])) for stretch in stretches),
            "rev_limit_rpm": limit,
            "rev_limiter_s": sum(stretch.end_s - stretch.start_s for stretch in stretches),
        }
        span = (stretches[0].start_s, stretches[-1].end_s)
        found.append(worded("rev-limiter", Severity.ACT, *span, ("engine_rpm",), figures, gear=gear))
    return found
