"""How hard can the engine have pushed the car at each moment, whatever its wheels did?

With driven wheels alone a spinning wheel reads as speed. The engine's own figures know better: the clutch passes on
the engine's torque less what speeds the engine up, slipping or closed, and of what reaches the wheels they keep what
speeds themselves up; the rest pushes the car. Torque follows from manifold pressure on the car file's curve, put to the
level that the pass itself shows in its fast half, where wheels hold. Limits: good to a seventh, so it bounds the speed
from above and never from below; a cut of ignition is not seen.
"""

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car
from nextpass.log import Log
from nextpass.physics import clutch
from nextpass.physics.roadload import effective_mass_kg
from nextpass.review.speed.wheels import road_load_mps2

FloatArray = NDArray[np.float64]

# What torque in proportion to pressure may miss at a launch, once its level is known.
ABOVE_EXPECTED = 0.15
# The level is taken over this part of the highest speed; car files leave it by no more than this.
FAST, LEAST_LEVEL, MOST_LEVEL = 0.55, 0.75, 1.35
LEAST_SAMPLES, PULLS_MPS2 = 12, 0.7
# Rates are taken over this long, so that noise of a sample is no torque.
RATE_S = 0.12
LEAST_MPS = 0.5


def engine_pull_mps2(car: Car, log: Log, time_s: FloatArray, driven_mps: FloatArray) -> FloatArray | None:
    """Acceleration that the engine can have given the car, at most, by the log and the car file.

    Parameters
    ----------
    car : Car
    log : Log
    time_s, driven_mps : ndarray, shape (n,)
        Circumferential speed of the driven wheels [s], [m/s].

    Returns
    -------
    ndarray, shape (n,), or None
        [m/s2]; `ABOVE_EXPECTED` above what is expected, road load not taken off. None where engine speed or manifold
        pressure is not logged.
    """
    engine, pressure = log.get("engine_rpm"), log.get("manifold_pressure_kpa")
    if engine is None or pressure is None or time_s.size < 3:
        return None
    rpm = _held(engine.at(time_s))
    held_kpa = _held(pressure.at(time_s))
    driveline, radius_m = car.driveline, car.tyres.rolling_radius_m
    passed_nm = most_torque_nm(car, rpm, held_kpa)
    passed_nm -= driveline.engine_inertia_kgm2 * clutch.RADPS_PER_RPM * _rate(time_s, rpm)
    # While the clutch slips the engine turns faster than first gear asks for: no gear multiplies more than the first.
    turned = rpm * clutch.RADPS_PER_RPM * radius_m / np.maximum(driven_mps, LEAST_MPS)
    overall = np.minimum(turned, driveline.gear_ratios[0] * driveline.final_drive)
    at_wheels_n = passed_nm * overall * driveline.efficiency / radius_m
    axles = 2 if 0.0 < driveline.front_drive_share < 1.0 else 1
    spun_kg = 2.0 * axles * driveline.wheel_inertia_kgm2 / radius_m**2
    push_n = at_wheels_n - spun_kg * _rate(time_s, driven_mps)
    mass_kg = effective_mass_kg(car.chassis.mass_kg, driveline.wheel_inertia_kgm2, radius_m) - spun_kg
    pull = push_n / mass_kg
    return np.asarray(np.maximum((1.0 + ABOVE_EXPECTED) * _level(car, time_s, driven_mps, pull) * pull, 0.0))


def _level(car: Car, time_s: FloatArray, driven_mps: FloatArray, pull: FloatArray) -> float:
    """Pull that the fast half of the pass shows over the expected one."""
    gained = _rate(time_s, driven_mps)
    fast = (driven_mps > FAST * driven_mps.max()) & (np.arange(time_s.size) < int(np.argmax(driven_mps)))
    pulls = fast & (gained > PULLS_MPS2) & (pull > PULLS_MPS2)
    if np.count_nonzero(pulls) < LEAST_SAMPLES:
        return 1.0
    shown = gained[pulls] + road_load_mps2(car, driven_mps[pulls])
    return float(np.clip(np.median(shown / pull[pulls]), LEAST_LEVEL, MOST_LEVEL))


def most_torque_nm(car: Car, engine_rpm: FloatArray, manifold_pressure_kpa: FloatArray) -> FloatArray:
    """Torque at full load by the car file's curve, in proportion to manifold pressure.

    Parameters
    ----------
    car : Car
    engine_rpm, manifold_pressure_kpa : ndarray, shape (n,)
        [rpm], absolute [kPa].

    Returns
    -------
    ndarray, shape (n,)
        Brake torque [N m]. It is nearly affine in pressure, friction taken off (Heywood, Internal Combustion Engine
        Fundamentals, ch. 13, memory), but less pressure bears more ignition advance: proportion leans to the high side.
    """
    curve = np.asarray(car.engine.full_load_torque_nm)
    share = manifold_pressure_kpa / car.engine.reference_pressure_kpa
    return np.asarray(np.interp(engine_rpm, curve[:, 0], curve[:, 1]) * share)


def _held(values: FloatArray) -> FloatArray:
    """Values with each dropout bridged by a line; zeros where nothing is known."""
    known = np.flatnonzero(np.isfinite(values))
    return np.zeros(values.size) if known.size == 0 else np.interp(np.arange(values.size), known, values[known])


def _rate(time_s: FloatArray, values: FloatArray) -> FloatArray:
    """Rate of change over `RATE_S`."""
    half = 0.5 * RATE_S
    after, before = (np.interp(time_s + step, time_s, values) for step in (half, -half))
    span = np.minimum(time_s + half, time_s[-1]) - np.maximum(time_s - half, time_s[0])
    return np.asarray((after - before) / np.maximum(span, 1e-3))
