"""Did the launch go as it was set: engine speed held, clutch let in well, engine on boost, clutch not cooked?"""

import numpy as np
from numpy.typing import NDArray

from nextpass.physics import clutch, roadload
from nextpass.review.findings.evidence import Evidence
from nextpass.review.findings.finding import Finding, Severity, worded
from nextpass.review.phases import Phase

FloatArray = NDArray[np.float64]

# Length of the hold before the car moves that is looked at, and what just before it is left out.
HOLD_S, BEFORE_MOVE_S = 0.6, 0.08
# A limiter that cuts many times a second holds the speed by its mean over this long; what moves that mean is hunting.
LIMITER_S = 0.1
# How long after the first movement the clutch may pull the engine down, and the mean that one sample's noise hides in.
DIP_WITHIN_S, DIP_MEAN_S = 0.6, 0.06
# Engine above this multiple of idle is held for a launch, not waiting.
HELD_OVER_IDLE = 1.4
# Share of the launch's acceleration that counts as let in.
LET_IN = 0.8
# An engine has fallen when it turns slower than this part of its launch speed.
FALLEN = 0.9
TYPICAL_AIR_KGPM3 = 1.2
# Heat at the guard and this far over it is more than one more launch should be risked with.
HEAT_STOP = 1.25


def find(evidence: Evidence) -> tuple[Finding, ...]:
    """Launch speed not held, slow release, engine pulled down at the release, bog, clutch heat.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Finding
    """
    launch = next((phase for phase in evidence.phases if phase.kind == "launch"), None)
    if launch is None or evidence.trace is None or not evidence.motion.from_rest:
        return ()
    bogs = _bogs(evidence)
    # A bog at the start is what pulling the engine down leads to: said once.
    is_bogged = any(bog.start_s < launch.start_s + DIP_WITHIN_S for bog in bogs)
    candidates = (
        _rpm_off(evidence),
        _slow_release(evidence, launch),
        None if is_bogged else _pulled_down(evidence, launch),
        _clutch_heat(evidence, launch),
    )
    return (*bogs, *(finding for finding in candidates if finding is not None))


def _held(evidence: Evidence, mean_s: float) -> FloatArray | None:
    """Engine speed held before the car moves, as a running mean; None where it was not held over idle."""
    assert evidence.trace is not None
    end_s = evidence.motion.moved_s - BEFORE_MOVE_S
    rpm = evidence.smoothed(evidence.trace.engine_rpm, mean_s)[evidence.between(end_s - HOLD_S, end_s)]
    if rpm.size < 5 or np.median(rpm) < HELD_OVER_IDLE * evidence.car.engine.idle_rpm:
        return None
    return rpm


def _rpm_off(evidence: Evidence) -> Finding | None:
    rpm = _held(evidence, LIMITER_S)
    if rpm is None:
        return None
    end_s = evidence.motion.moved_s - BEFORE_MOVE_S
    wanted = evidence.record.setup.launch_rpm
    median, spread = float(np.median(rpm)), float(np.percentile(rpm, 95) - np.percentile(rpm, 5))
    off = abs(median - wanted) > evidence.limits["launch_rpm_off"] * wanted
    if not off and spread < evidence.limits["launch_rpm_spread"]:
        return None
    figures = {"launch_rpm_set": wanted, "launch_rpm_held": median, "launch_rpm_spread": spread}
    severity = Severity.ACT if off else Severity.WATCH
    return worded("launch-rpm", severity, end_s - HOLD_S, end_s, ("engine_rpm",), figures)


def _pulled_down(evidence: Evidence, launch: Phase) -> Finding | None:
    """Engine speed that falls far below the held one as the clutch bites: it took more torque than the engine had."""
    rpm = _held(evidence, DIP_MEAN_S)
    if rpm is None:
        return None
    assert evidence.trace is not None
    held_rpm = float(np.median(rpm))
    after = evidence.between(launch.start_s, launch.start_s + DIP_WITHIN_S)
    course = evidence.smoothed(evidence.trace.engine_rpm, DIP_MEAN_S)[after]
    if course.size < 3 or float(course.min()) > (1.0 - evidence.limits["launch_dip"]) * held_rpm:
        return None
    lowest_s = float(evidence.time_s[after][int(np.argmin(course))])
    figures = {
        "launch_rpm_held": held_rpm,
        "engine_rpm_min": float(course.min()),
        "launch_dip_ratio": 1.0 - float(course.min()) / held_rpm,
    }
    channels = ("engine_rpm", "clutch_torque_nm")
    return worded("launch-dip", Severity.WATCH, launch.start_s, lowest_s, channels, figures, gear=launch.gear)


def _slow_release(evidence: Evidence, launch: Phase) -> Finding | None:
    motion = evidence.motion
    inside = (motion.time_s >= launch.start_s) & (motion.time_s <= max(launch.end_s, launch.start_s + 0.5))
    time_s, acceleration = motion.time_s[inside], motion.acceleration_mps2[inside]
    if time_s.size < 6:
        return None
    width = max(int(0.1 / float(np.median(np.diff(time_s)))), 1)
    smooth = np.convolve(acceleration, np.ones(width) / width, mode="same")
    full = float(np.percentile(smooth, 90))
    reached_s = float(time_s[int(np.argmax(smooth >= LET_IN * full))]) - launch.start_s
    if reached_s < evidence.limits["release_s"]:
        return None
    figures = {"release_s": reached_s, "launch_acceleration_mps2": full}
    end_s = launch.start_s + reached_s
    channels = ("engine_rpm", "longitudinal_acceleration_mps2")
    return worded("slow-release", Severity.WATCH, launch.start_s, end_s, channels, figures, gear=launch.gear)


def _bogs(evidence: Evidence) -> list[Finding]:
    """Full throttle below the boost threshold with pressure far short of its target: the engine fell off boost."""
    assert evidence.trace is not None
    pressure, target = evidence.series("manifold_pressure_kpa"), evidence.series("target_pressure_kpa")
    if pressure is None or target is None:
        return []
    limits = evidence.limits
    powered = np.zeros(evidence.time_s.size, dtype=np.bool_)
    for phase in evidence.phases:
        if phase.kind in ("launch", "gear"):
            powered |= evidence.between(phase.start_s, phase.end_s)
    # A launch that is set below the boost threshold is the calibrator's choice: a bog falls clearly below both.
    low_rpm = min(evidence.car.engine.boost_threshold_rpm, FALLEN * evidence.record.setup.launch_rpm)
    with np.errstate(invalid="ignore"):
        low = evidence.trace.engine_rpm < low_rpm
        short = pressure < (1.0 - limits["bog_shortfall"]) * target
    found = []
    for stretch in evidence.stretches(powered & low & short, limits["bog_s"]):
        figures = {
            "engine_rpm_min": float(np.min(evidence.trace.engine_rpm[stretch.samples])),
            "manifold_pressure_kpa_min": float(np.nanmin(pressure[stretch.samples])),
            "target_pressure_kpa": float(np.nanmax(target[stretch.samples])),
            "bog_s": stretch.end_s - stretch.start_s,
        }
        channels = ("engine_rpm", "manifold_pressure_kpa", "target_pressure_kpa")
        gear = evidence.gear_of(stretch)
        found.append(worded("bog", Severity.ACT, stretch.start_s, stretch.end_s, channels, figures, gear=gear))
    return found


def _clutch_heat(evidence: Evidence, launch: Phase) -> Finding | None:
    guard_j = evidence.car.guards.clutch_energy_j
    heat_j = launch_heat_j(evidence, launch)
    if not np.isfinite(heat_j) or heat_j < guard_j:
        return None
    figures = {
        "clutch_energy_kj": heat_j / 1000.0,
        "clutch_energy_guard_kj": guard_j / 1000.0,
        "clutch_rise_k": float(clutch.temperature_rise_k(heat_j, evidence.car.clutch.heat_capacity_j_per_k)),
    }
    severity = Severity.STOP if heat_j > HEAT_STOP * guard_j else Severity.ACT
    channels = ("engine_rpm", "clutch_torque_nm")
    return worded("clutch-heat", severity, launch.start_s, launch.end_s, channels, figures, gear=launch.gear)


def launch_heat_j(evidence: Evidence, launch: Phase) -> float:
    """Heat that the launch put into the clutch [J].

    From the logged clutch torque, else from the torque that the car's own acceleration asks for; nan where neither
    gear nor engine speed is known.
    """
    trace = evidence.trace
    inside = evidence.between(launch.start_s, launch.end_s)
    if trace is None or launch.gear is None or np.count_nonzero(inside) < 2:
        return float("nan")
    logged = evidence.series("clutch_torque_nm")
    torque = _torque_from_motion(evidence, launch.gear) if logged is None else np.nan_to_num(logged)
    slip = np.nan_to_num(trace.clutch_slip_rpm)
    heat = clutch.slip_heat_j(evidence.time_s[inside], np.maximum(torque[inside], 0.0), np.maximum(slip[inside], 0.0))
    return float(heat)


def _torque_from_motion(evidence: Evidence, gear: int) -> FloatArray:
    car, motion = evidence.car, evidence.motion
    speed = np.interp(evidence.time_s, motion.time_s, motion.speed_mps)
    acceleration = np.interp(evidence.time_s, motion.time_s, motion.acceleration_mps2)
    mass = car.chassis.mass_kg + 4.0 * car.driveline.wheel_inertia_kgm2 / car.tyres.rolling_radius_m**2
    force = mass * acceleration + roadload.drag_n(speed, TYPICAL_AIR_KGPM3, car.chassis.drag_area_m2)
    force = force + roadload.rolling_resistance_n(car.chassis.mass_kg, car.chassis.rolling_resistance)
    ratio = car.driveline.gear_ratios[gear - 1] * car.driveline.final_drive
    return np.asarray(force * motion.rolling_radius_m / (ratio * car.driveline.efficiency))
