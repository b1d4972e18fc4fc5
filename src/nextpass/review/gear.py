"""Which gear the car is in at each moment, from its channel or from engine speed against that of the driven wheels.

The two speeds stand in one of the car's ratios while a clutch is closed; anything else is a slipping clutch, a shift
or neutral.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car
from nextpass.log import Log
from nextpass.measure import Absent
from nextpass.review.speed import GroundSpeed

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

AXLES = {
    "front": ("wheel_speed_fl_mps", "wheel_speed_fr_mps"),
    "rear": ("wheel_speed_rl_mps", "wheel_speed_rr_mps"),
}
# Engine and wheels agree with a ratio when they are this close: radius growth and sensor lag together.
LOCKED_WITHIN = 0.045
LEAST_MPS = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class GearTrace:
    """Gear and clutch over one try, on the engine speed's clock.

    Parameters
    ----------
    time_s, engine_rpm, driven_mps : ndarray, shape (n,)
        Engine speed and the circumferential speed of the driven wheels.
    gear : ndarray of int, shape (n,)
        Engaged gear, the last known one during a shift, 0 where none is known.
    clutch_slip_rpm : ndarray, shape (n,)
        Engine speed less what the driven wheels and the gear ask for; nan where the gear is not known.
    is_locked : ndarray of bool, shape (n,)
        Engine and wheels stand in the ratio of the gear.
    from_channel : bool
        Whether the log names the gear.
    rpm_per_mps : ndarray, shape (gears,)
        Engine speed over the logged speed of the driven wheels in each gear with the clutch closed [rpm s/m].
    """

    time_s: FloatArray
    engine_rpm: FloatArray
    driven_mps: FloatArray
    gear: IntArray
    clutch_slip_rpm: FloatArray
    is_locked: BoolArray
    from_channel: bool
    rpm_per_mps: FloatArray


def rpm_per_mps(car: Car, rolling_radius_m: float) -> FloatArray:
    """Engine speed over road speed in each gear with the clutch closed [rpm s/m], shape (gears,)."""
    ratios = np.asarray(car.driveline.gear_ratios) * car.driveline.final_drive
    return np.asarray(ratios * 60.0 / (2.0 * np.pi * rolling_radius_m))


def driven_wheel_speed(car: Car, log: Log, time_s: FloatArray) -> FloatArray | None:
    """Circumferential speed of the driven wheels [m/s], None where the log has no such channel.

    Where both axles are driven through a differential that splits torque in a fixed share, its cage turns at the mean
    of the axles by those shares (virtual work).
    """
    front_share = car.driveline.front_drive_share
    shares = {"front": front_share, "rear": 1.0 - front_share}
    total, weight = np.zeros(time_s.shape), 0.0
    for axle, names in AXLES.items():
        wheels = [log[name].at(time_s) for name in names if name in log]
        if wheels and shares[axle] > 0.0:
            total = total + shares[axle] * np.mean(wheels, axis=0)
            weight += shares[axle]
    if weight > 0.0:
        return np.asarray(total / weight)
    whole = log.get("vehicle_speed_mps")
    return None if whole is None else whole.at(time_s)


def gear_trace(car: Car, log: Log, motion: GroundSpeed) -> GearTrace | None:
    """Gear and clutch over the try, None where the log has no engine speed."""
    engine = log.get("engine_rpm")
    if engine is None:
        return None
    inside = (engine.time_s >= motion.time_s[0]) & (engine.time_s <= motion.time_s[-1]) & np.isfinite(engine.values)
    time_s, rpm = engine.time_s[inside], engine.values[inside]
    if time_s.size < 3:
        return None
    ground = np.interp(time_s, motion.time_s, motion.speed_mps)
    measured = driven_wheel_speed(car, log, time_s)
    driven = ground if measured is None else np.where(np.isfinite(measured), measured, ground)
    ratios = rpm_per_mps(car, motion.rolling_radius_m if measured is None else _logged_radius_m(car, motion))
    by_ratio = _gear_by_ratio(rpm, driven, ratios)
    channel = log.get("gear")
    if channel is not None:
        index = np.clip(np.searchsorted(channel.time_s, time_s, side="right") - 1, 0, channel.time_s.size - 1)
        named = np.nan_to_num(channel.values[index], nan=0.0)
        gear = np.clip(np.round(named), 0, ratios.size).astype(np.int64)
    else:
        gear = _held(by_ratio)
    known = gear > 0
    expected = np.where(known, ratios[np.maximum(gear, 1) - 1], np.nan) * driven
    slip = rpm - expected
    with np.errstate(invalid="ignore"):
        locked = known & (driven > LEAST_MPS) & (np.abs(slip) < LOCKED_WITHIN * rpm)
    return GearTrace(
        time_s=time_s,
        engine_rpm=rpm,
        driven_mps=driven,
        gear=gear,
        clutch_slip_rpm=slip,
        is_locked=locked,
        from_channel=channel is not None,
        rpm_per_mps=ratios,
    )


def _logged_radius_m(car: Car, motion: GroundSpeed) -> float:
    """Radius that the logged wheel speeds rest on: engine and wheels turn together whatever the tyre truly rolls."""
    if isinstance(motion.rolling_radius, Absent):
        return car.tyres.rolling_radius_m
    driven = "front" if car.driveline.front_drive_share >= 1.0 else "rear"
    scale = motion.wheel_scale.get(driven, motion.wheel_scale.get("all", 1.0))
    return motion.rolling_radius_m * scale


def _gear_by_ratio(rpm: FloatArray, driven_mps: FloatArray, ratios: FloatArray) -> IntArray:
    """Gear whose ratio the two speeds stand in, 0 where none is near."""
    fast = (driven_mps > LEAST_MPS) & (rpm > 300.0)
    measured = np.where(fast, rpm / np.maximum(driven_mps, LEAST_MPS), np.nan)
    off = np.abs(np.log(measured[:, None] / ratios[None, :]))
    off = np.where(np.isfinite(off), off, np.inf)
    nearest = np.argmin(off, axis=1)
    return np.where(np.min(off, axis=1) < LOCKED_WITHIN, nearest + 1, 0).astype(np.int64)


def _held(by_ratio: IntArray) -> IntArray:
    """Gears of at least three samples, each held until the next one shows; the first one from the start."""
    steady = by_ratio.copy()
    edges = np.flatnonzero(np.diff(by_ratio)) + 1
    for stretch in np.split(np.arange(by_ratio.size), edges):
        if stretch.size < 3:
            steady[stretch] = 0
    known = np.flatnonzero(steady)
    if known.size == 0:
        return steady
    last = np.maximum.accumulate(np.where(steady > 0, np.arange(steady.size), known[0]))
    return np.asarray(steady[last])
