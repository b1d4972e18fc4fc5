"""Does the car pull as its pressure says, roll as it should, and was it driven to the beam?"""

import numpy as np
from numpy.typing import NDArray

from nextpass.physics import engine
from nextpass.physics.roadload import effective_mass_kg
from nextpass.physics.strip import BEAM_660FT_M, BEAM_1320FT_M
from nextpass.review.findings.evidence import Evidence
from nextpass.review.findings.finding import Finding, Severity, worded
from nextpass.review.findings.traction import axle_slip
from nextpass.review.gear import AXLES
from nextpass.review.phases import Phase
from nextpass.review.power import PowerPoint, power_points, road_load_n
from nextpass.review.timeslip import time_at_distance

FloatArray = NDArray[np.float64]

# Manifold pressure that carries no more than the engine's own friction (common practice: about that of idle).
FRICTION_PRESSURE_KPA = 30.0
# Gears are compared at like engine speed where their pressures differ by this.
LEAST_PRESSURE_KPA = 10.0
# A tyre that slips by this much is about to spin (a road tyre pulls hardest at about 0.1; Pacejka).
SPINS = 0.08
# A coast must last this long to be judged, after the lift has settled.
COAST_S, SETTLE_S = 1.5, 0.5
# An engine that turns this much over idle on the coast is still coupled to the wheels.
COUPLED_OVER_IDLE = 1.3
# Strips end at one of these beams; a lift within this of the longer one has lost nothing.
BEAMS_M = (BEAM_660FT_M, BEAM_1320FT_M)
# A try given up before this part of the strip is its driver's decision, not a mistake at the beam.
GIVEN_UP = 0.55


def find(evidence: Evidence) -> tuple[Finding, ...]:
    """Torque that fades as pressure rises, drag on the coast, a lift before the beam.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Finding
    """
    return (*_fades(evidence), *_drags(evidence), *_lifted_early(evidence))


def _fades(evidence: Evidence) -> list[Finding]:
    """Less torque for each kilopascal in a gear of more pressure than in one of less, at like engine speed."""
    points = power_points(
        evidence.car, evidence.record.conditions, evidence.log, evidence.motion, evidence.trace, evidence.phases
    )
    slips = [slip for axle in AXLES if (slip := axle_slip(evidence, axle)) is not None]
    points = tuple(point for point in points if not any(_spins(evidence, slip, point) for slip in slips))
    by_gear = {gear: [point for point in points if point.gear == gear] for gear in {point.gear for point in points}}
    found = []
    for gear in sorted(by_gear)[1:]:
        if gear - 1 not in by_gear:
            continue
        pairs = _like(by_gear[gear - 1], by_gear[gear])
        rise = [upper.manifold_pressure_kpa - lower.manifold_pressure_kpa for lower, upper in pairs]
        if not pairs or not np.median(rise) > LEAST_PRESSURE_KPA:
            continue
        fade = 1.0 - float(np.median([_per_pressure(upper) / _per_pressure(lower) for lower, upper in pairs]))
        if fade > evidence.limits["power_fades"]:
            figures = {
                "torque_fade": fade,
                "manifold_pressure_kpa": float(np.median([upper.manifold_pressure_kpa for _, upper in pairs])),
                "pressure_rise_kpa": float(np.median(rise)),
            }
            span = (by_gear[gear][0].start_s, by_gear[gear][-1].end_s)
            channels = ("longitudinal_acceleration_mps2", "manifold_pressure_kpa", "engine_rpm")
            found.append(worded("power-fades", Severity.ACT, *span, channels, figures, gear=gear))
    return found


def _spins(evidence: Evidence, slip: FloatArray, point: PowerPoint) -> bool:
    """Whether an axle slips over a stretch: the car's pull then says little of the engine's torque."""
    inside = slip[evidence.between(point.start_s, point.end_s)]
    return bool(np.isfinite(inside).any() and np.nanmedian(inside) > SPINS)


def _like(lower: list[PowerPoint], upper: list[PowerPoint]) -> list[tuple[PowerPoint, PowerPoint]]:
    """Points of two gears at like engine speed."""
    pairs = [(low, min(upper, key=lambda high: abs(high.engine_rpm - low.engine_rpm))) for low in lower]
    return [(low, high) for low, high in pairs if abs(high.engine_rpm - low.engine_rpm) < 150.0]


def _per_pressure(point: PowerPoint) -> float:
    """Torque for each kilopascal over friction: brake torque is close to affine in manifold pressure (Heywood)."""
    return point.crank_torque_nm.value / (point.manifold_pressure_kpa - FRICTION_PRESSURE_KPA)


def _drags(evidence: Evidence) -> list[Finding]:
    """A coast-down that slows more than air, rolling and the coupled engine explain."""
    coast = next((phase for phase in evidence.phases if phase.kind == "coast"), None)
    if coast is None or coast.end_s - coast.start_s < COAST_S + SETTLE_S or _brakes(evidence, coast):
        return []
    motion = evidence.motion
    inside = (motion.time_s > coast.start_s + SETTLE_S) & (motion.time_s < coast.end_s)
    if np.count_nonzero(inside) < 10:
        return []
    slope = float(np.polyfit(motion.time_s[inside], motion.speed_mps[inside], 1)[0])
    speed = np.array(float(np.mean(motion.speed_mps[inside])))
    car = evidence.car
    mass = effective_mass_kg(car.chassis.mass_kg, car.driveline.wheel_inertia_kgm2, car.tyres.rolling_radius_m)
    load_n = float(road_load_n(car, evidence.record.conditions, speed)) + _engine_brake_n(evidence, coast)
    excess = -slope - load_n / float(mass)
    if excess < evidence.limits["drag_mps2"]:
        return []
    figures = {
        "coast_mps2": slope,
        "expected_coast_mps2": -load_n / float(mass),
        "speed_kmh": 3.6 * float(speed),
        "excess_drag_n": excess * float(mass),
    }
    channels = ("longitudinal_acceleration_mps2", "vehicle_speed_mps")
    return [worded("drag-high", Severity.WATCH, coast.start_s, coast.end_s, channels, figures)]


def _brakes(evidence: Evidence, coast: Phase) -> bool:
    for name, least in (("brake_switch", 0.5), ("brake_pressure_kpa", 100.0)):
        brake = evidence.series(name)
        if brake is not None and np.nanmax(brake[evidence.between(coast.start_s, coast.end_s)], initial=0.0) > least:
            return True
    return False


def _engine_brake_n(evidence: Evidence, coast: Phase) -> float:
    """Force of an engine that is dragged along [N], 0 where it idles by itself."""
    trace = evidence.trace
    inside = evidence.between(coast.start_s + SETTLE_S, coast.end_s)
    if trace is None or not inside.any() or coast.gear is None:
        return 0.0
    rpm = float(np.median(trace.engine_rpm[inside]))
    if rpm < COUPLED_OVER_IDLE * evidence.car.engine.idle_rpm:
        return 0.0
    logged = evidence.series("clutch_torque_nm")
    if logged is not None and np.isfinite(logged[inside]).any():
        torque_nm = max(-float(np.nanmedian(logged[inside])), 0.0)
    else:
        friction_kpa = engine.motoring_friction_kpa(rpm)
        torque_nm = float(engine.torque_nm(friction_kpa, evidence.car.engine.displacement_l))
    overall = evidence.car.driveline.gear_ratios[coast.gear - 1] * evidence.car.driveline.final_drive
    return torque_nm * overall / evidence.motion.rolling_radius_m


def _lifted_early(evidence: Evidence) -> list[Finding]:
    """The throttle closed before the beam of the strip that the try was driven over."""
    motion, lift_s = evidence.motion, evidence.lift_s
    lift = next((phase for phase in evidence.phases if phase.kind == "lift"), None)
    if lift is None or not motion.from_rest:
        return []
    at_m = float(np.interp(lift_s, motion.time_s, motion.distance_m))
    beam_m = next((beam for beam in BEAMS_M if at_m < beam + evidence.limits["early_lift_m"]), None)
    if beam_m is None or at_m > beam_m - evidence.limits["early_lift_m"] or at_m < GIVEN_UP * beam_m:
        return []
    at_speed = float(np.interp(lift_s, motion.time_s, motion.speed_mps))
    figures = {"lift_m": at_m, "before_beam_m": beam_m - at_m, "speed_kmh": 3.6 * at_speed}
    reached_s = time_at_distance(motion, beam_m)
    if reached_s is not None:
        before = (motion.time_s > lift_s - 0.5) & (motion.time_s < lift_s)
        pull = max(float(np.median(motion.acceleration_mps2[before])), 0.0) if before.any() else 0.0
        # Constant acceleration to the beam: v t + a t^2/2 = s.
        held_s = 2.0 * (beam_m - at_m) / (at_speed + float(np.sqrt(at_speed**2 + 2.0 * pull * (beam_m - at_m))))
        figures["lost_s"] = reached_s - lift_s - held_s
    return [worded("early-lift", Severity.WATCH, lift_s, lift.end_s, ("pedal", "throttle"), figures)]
