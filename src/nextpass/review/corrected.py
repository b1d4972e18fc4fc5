"""What the same pull would have read on a level strip in still air.

Slope and wind add a force that is known at each speed of the pass. Engine and gears give their force by speed, so that
without it each speed would have been reached sooner, in proportion to the acceleration; where the car does not pull, as
in a shift, time stays as it was. The result stands beside the clocks, never in their place: slope and wind are seldom
known well.
"""

from dataclasses import fields, replace

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car, Conditions
from nextpass.measure import Estimate, Measured
from nextpass.physics import air, roadload
from nextpass.review.speed import GroundSpeed
from nextpass.review.timeslip import Timeslip, timeslip

FloatArray = NDArray[np.float64]

# Standard deviation of the correction as a part of it.
INPUT_SD = 0.15
# Below these the car is not pulling, or just about to.
LEAST_MPS, LEAST_MPS2 = 0.3, 0.4
SMOOTH_S = 0.15


def corrected_timeslip(car: Car, conditions: Conditions, motion: GroundSpeed, raw: Timeslip) -> Timeslip | None:
    """Clocks of the same pull on a level strip in still air.

    Parameters
    ----------
    car : Car
    conditions : Conditions
    motion : GroundSpeed
    raw : Timeslip
        Clocks as they were.

    Returns
    -------
    Timeslip or None
        None where the conditions state neither slope nor wind.
    """
    if conditions.slope == 0.0 and conditions.headwind_mps == 0.0:
        return None
    level = timeslip(_on_level_in_still_air(car, conditions, motion))
    return Timeslip(
        **{f.name: _widened(getattr(level, f.name), getattr(raw, f.name)) for f in fields(Timeslip)},
    )


def _on_level_in_still_air(car: Car, conditions: Conditions, motion: GroundSpeed) -> GroundSpeed:
    """The same speeds, each reached in the time that the freed force needs for it."""
    gained = motion.acceleration_mps2
    width = max(int(SMOOTH_S / float(np.median(np.diff(motion.time_s)))), 1)
    gained = np.convolve(gained, np.ones(width) / width, mode="same")
    added = _taken_by_day_mps2(car, conditions, motion.speed_mps)
    pulls = (motion.speed_mps > LEAST_MPS) & (gained > LEAST_MPS2)
    pace = np.where(pulls, gained / np.maximum(gained + added, 0.5 * LEAST_MPS2), 1.0)
    steps = np.diff(motion.time_s) * 0.5 * (pace[1:] + pace[:-1])
    time_s = motion.time_s[0] + np.concatenate([[0.0], np.cumsum(steps)])
    travelled = np.diff(motion.distance_m) * steps / np.diff(motion.time_s)
    return replace(
        motion,
        time_s=time_s,
        distance_m=motion.distance_m[0] + np.concatenate([[0.0], np.cumsum(travelled)]),
        acceleration_mps2=motion.acceleration_mps2 / pace,
        moved_s=float(np.interp(motion.moved_s, motion.time_s, time_s)),
    )


def _taken_by_day_mps2(car: Car, conditions: Conditions, speed_mps: FloatArray) -> FloatArray:
    """Acceleration that slope and wind took from the car [m/s2]; negative where they helped."""
    chassis = car.chassis
    density = air.density_kgpm3(conditions.air_temperature_c, conditions.pressure_kpa, conditions.humidity)
    still = roadload.drag_n(speed_mps, density, chassis.drag_area_m2)
    windy = roadload.drag_n(speed_mps, density, chassis.drag_area_m2, conditions.headwind_mps)
    mass = roadload.effective_mass_kg(chassis.mass_kg, car.driveline.wheel_inertia_kgm2, car.tyres.rolling_radius_m)
    return np.asarray((windy - still + roadload.slope_n(chassis.mass_kg, conditions.slope)) / mass)


def _widened(level: Measured, raw: Measured) -> Measured:
    """A corrected value whose ± holds what is not known of slope and wind."""
    if not isinstance(level, Estimate) or not isinstance(raw, Estimate):
        return level
    own = Estimate.from_sd(0.0, INPUT_SD * abs(level.value - raw.value)).plus_minus
    return Estimate(value=level.value, plus_minus=float(np.hypot(raw.plus_minus, own)))
