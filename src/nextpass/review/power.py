"""What the engine truly gave: power and torque at wheels and crank by gear and engine speed, from the car's motion.

In each gear, once the clutch is closed, the acceleration over a stretch of engine speed gives the force at the tyres:
car and wheels accelerated, air, rolling and slope overcome. Through gear and efficiency it gives the crank's torque,
with the engine's own inertia put back. The ± holds the scatter of the acceleration, the scale of the speed, and what
an owner usually does not know of mass, drag and losses. Limits: a spinning wheel makes the crank figure too low.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car, Conditions
from nextpass.log import Log
from nextpass.measure import Estimate
from nextpass.physics import air, clutch, roadload, standards
from nextpass.review.gear import GearTrace
from nextpass.review.phases import Phase
from nextpass.review.speed import GroundSpeed

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

Standard = Literal["SAE J1349", "ISO 1585", "DIN 70020"]

STEP_RPM = 500.0
# A stretch of engine speed must last this long and hold this many samples of speed to give an acceleration.
LEAST_S, LEAST_SAMPLES = 0.15, 4
# After a shift the driveline swings for this long.
SETTLE_S = 0.25
# What an owner usually knows of his car (common practice), as standard deviations of the values in the car file.
MASS_SD, ROAD_LOAD_SD, EFFICIENCY_SD = 0.015, 0.08, 0.03
# Scatter of neighbouring samples is shared: one in this many counts.
SHARED_SAMPLES = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerPoint:
    """One stretch of engine speed in one gear.

    Parameters
    ----------
    engine_rpm, speed_mps : float
        Middle of the stretch.
    manifold_pressure_kpa : float
        Mean over it, nan where not logged.
    """

    gear: int
    start_s: float
    end_s: float
    engine_rpm: float
    speed_mps: float
    manifold_pressure_kpa: float
    wheel_power_w: Estimate
    crank_power_w: Estimate
    crank_torque_nm: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """Factor of a standard on measured power, and whether the standard accepts the day's weather."""

    standard: Standard
    factor: float
    applies: bool


def correction(standard: Standard, conditions: Conditions) -> Correction:
    """Weather correction by a standard.

    Parameters
    ----------
    standard : str
        One of `Standard`.
    conditions : Conditions

    Returns
    -------
    Correction
        For engines without pressure charging; see `physics.standards`. DIN 70020 states no bounds: it always applies.
    """
    temperature_c, pressure_kpa = conditions.air_temperature_c, conditions.pressure_kpa
    dry_kpa = air.dry_pressure_kpa(temperature_c, pressure_kpa, conditions.humidity)
    if standard == "SAE J1349":
        factor = float(standards.sae_j1349_factor(dry_kpa, temperature_c))
        return Correction(
            standard=standard, factor=factor, applies=bool(standards.sae_j1349_applies(dry_kpa, temperature_c))
        )
    if standard == "ISO 1585":
        factor = float(standards.iso_1585_factor(dry_kpa, temperature_c))
        return Correction(standard=standard, factor=factor, applies=bool(standards.iso_1585_applies(factor)))
    factor = float(standards.din_70020_factor(pressure_kpa, temperature_c))
    return Correction(standard=standard, factor=factor, applies=True)


def power_points(
    car: Car, conditions: Conditions, log: Log, motion: GroundSpeed, trace: GearTrace | None, phases: tuple[Phase, ...]
) -> tuple[PowerPoint, ...]:
    """Power and torque by gear and engine speed.

    Parameters
    ----------
    car : Car
    conditions : Conditions
        Air, slope and wind of the pass.
    log : Log
    motion : GroundSpeed
    trace : GearTrace or None
    phases : tuple of Phase

    Returns
    -------
    tuple of PowerPoint
        By time; empty where gear or engine speed is not known.
    """
    if trace is None:
        return ()
    points = []
    for phase in phases:
        if phase.kind == "gear" and phase.gear is not None:
            inside = (trace.time_s >= phase.start_s + SETTLE_S) & (trace.time_s <= phase.end_s) & trace.is_locked
            for stretch in _stretches(trace.time_s, trace.engine_rpm, inside):
                point = _point(car, conditions, log, motion, trace, phase.gear, stretch)
                if point is not None:
                    points.append(point)
    return tuple(points)


def tractive_force_n(
    car: Car, conditions: Conditions, speed_mps: FloatArray, acceleration_mps2: FloatArray
) -> FloatArray:
    """Force at the tyres that moves a car so, its turning wheels included.

    Parameters
    ----------
    car : Car
    conditions : Conditions
    speed_mps, acceleration_mps2 : ndarray, same shape

    Returns
    -------
    ndarray, same shape
        [N].
    """
    chassis, driveline = car.chassis, car.driveline
    mass_kg = roadload.effective_mass_kg(chassis.mass_kg, driveline.wheel_inertia_kgm2, car.tyres.rolling_radius_m)
    return np.asarray(mass_kg * acceleration_mps2 + road_load_n(car, conditions, speed_mps))


def road_load_n(car: Car, conditions: Conditions, speed_mps: FloatArray) -> FloatArray:
    """Drag in the day's air and wind, rolling resistance and slope by the car file [N]."""
    chassis = car.chassis
    density = air.density_kgpm3(conditions.air_temperature_c, conditions.pressure_kpa, conditions.humidity)
    drag = roadload.drag_n(speed_mps, density, chassis.drag_area_m2, conditions.headwind_mps)
    rolling = roadload.rolling_resistance_n(chassis.mass_kg, chassis.rolling_resistance, conditions.slope)
    return np.asarray(drag + rolling + roadload.slope_n(chassis.mass_kg, conditions.slope))


def _stretches(time_s: FloatArray, rpm: FloatArray, inside: BoolArray) -> Iterator[tuple[float, float]]:
    """Times in which the engine speed crosses each step, first to last."""
    index = np.flatnonzero(inside)
    if index.size < LEAST_SAMPLES:
        return
    cells = np.floor(rpm[index] / STEP_RPM)
    for cell in np.unique(cells):
        times = time_s[index[cells == cell]]
        if times[-1] - times[0] >= LEAST_S:
            yield float(times[0]), float(times[-1])


def _point(
    car: Car,
    conditions: Conditions,
    log: Log,
    motion: GroundSpeed,
    trace: GearTrace,
    gear: int,
    stretch: tuple[float, float],
) -> PowerPoint | None:
    start_s, end_s = stretch
    within = (motion.time_s >= start_s) & (motion.time_s <= end_s)
    if np.count_nonzero(within) < LEAST_SAMPLES:
        return None
    time_s, speed = motion.time_s[within], motion.speed_mps[within]
    acceleration, acceleration_sd = _slope(time_s, speed)
    middle_mps = float(np.mean(speed))
    scale = float(np.mean(motion.speed_sd_mps[within])) / middle_mps
    acceleration_sd = float(np.hypot(acceleration_sd, scale * acceleration))
    engine = (trace.time_s >= start_s) & (trace.time_s <= end_s)
    rpm_rate, _ = _slope(trace.time_s[engine], trace.engine_rpm[engine])
    rpm = float(np.mean(trace.engine_rpm[engine]))
    force = float(tractive_force_n(car, conditions, np.array(middle_mps), np.array(acceleration)))
    load = float(road_load_n(car, conditions, np.array(middle_mps)))
    inertial_sd = float(np.hypot(MASS_SD * acceleration, acceleration_sd)) * car.chassis.mass_kg
    force_sd = float(np.hypot(inertial_sd, ROAD_LOAD_SD * load))
    overall = car.driveline.gear_ratios[gear - 1] * car.driveline.final_drive
    to_crank = motion.rolling_radius_m / (overall * car.driveline.efficiency)
    own = car.driveline.engine_inertia_kgm2 * rpm_rate * clutch.RADPS_PER_RPM
    torque = force * to_crank + own
    torque_sd = float(np.hypot(force_sd * to_crank, EFFICIENCY_SD * force * to_crank))
    omega = rpm * clutch.RADPS_PER_RPM
    pressure = log.get("manifold_pressure_kpa")
    held = np.array([np.nan]) if pressure is None else pressure.at(trace.time_s[engine])
    return PowerPoint(
        gear=gear,
        start_s=start_s,
        end_s=end_s,
        engine_rpm=rpm,
        speed_mps=middle_mps,
        manifold_pressure_kpa=float(np.mean(held)),
        wheel_power_w=Estimate.from_sd(force * middle_mps, float(np.hypot(force_sd, scale * force)) * middle_mps),
        crank_power_w=Estimate.from_sd(torque * omega, torque_sd * omega),
        crank_torque_nm=Estimate.from_sd(torque, torque_sd),
    )


def _slope(time_s: FloatArray, values: FloatArray) -> tuple[float, float]:
    """Slope of a straight line through samples, and its standard deviation with shared scatter."""
    moments = time_s - np.mean(time_s)
    power = float(np.sum(moments**2))
    slope = float(np.sum(moments * values)) / power
    residual = values - np.mean(values) - slope * moments
    degrees = max(values.size - 2, 1)
    return slope, float(np.sqrt(SHARED_SAMPLES * np.sum(residual**2) / degrees / power))
