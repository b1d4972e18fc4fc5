"""How far the car rolls for each turn of its wheels, as the pass itself shows it.

Engine speed and gear tell how fast the driven wheels turn while the clutch is closed, whether they slip or not. Held
against the logged speed of those wheels, that tells which radius the log rests on; the scale that the smoother found
for them tells the true one. Without the speed of a driven wheel, a coast in gear does. The car file's radius is the
fallback: tyres leave it by about a percent with wear, heat and pressure (common practice).
"""

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car
from nextpass.log import Log
from nextpass.measure import Absent, Estimate, Measured
from nextpass.physics import gearing
from nextpass.review.speed.sensors import Axle
from nextpass.review.speed.wheels import TorqueFree

FloatArray = NDArray[np.float64]

LEAST_MPS = 8.0
# A ratio further from every gear than this is no closed clutch.
NEAR_GEAR = 0.06
LEAST_SAMPLES = 12
# Engine turning over idle by this much is driven by, or drives, the wheels.
OVER_IDLE = 1.2
# Neighbouring samples share their error: one in this many counts.
SHARED_SAMPLES = 10.0


def driven_reading(car: Car, axles: tuple[Axle, ...]) -> tuple[FloatArray, FloatArray] | None:
    """Time [s] and logged speed [m/s] of the driven wheels together, None where no driven axle is logged.

    Both axles of a car with a fixed split turn the gearbox at their mean by the shares (virtual work).
    """
    driven = [axle for axle in axles if axle.driven]
    if not driven:
        return None
    share = car.driveline.front_drive_share
    shares = {"front": share, "rear": 1.0 - share, "all": 1.0}
    time_s = driven[0].reading.time_s
    total = sum(shares[a.name] * np.interp(time_s, a.reading.time_s, a.reading.values) for a in driven)
    return time_s, np.asarray(total / sum(shares[a.name] for a in driven))


def geared_over(car: Car, log: Log, speed_time_s: FloatArray, speed_mps: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Speed by engine, nearest gear and the car file's radius, over another speed, where the clutch is closed.

    Parameters
    ----------
    car : Car
    log : Log
    speed_time_s, speed_mps : ndarray, shape (n,)
        The speed to compare with [s], [m/s].

    Returns
    -------
    ndarray, shape (k,)
        Times of the usable samples of engine speed [s].
    ndarray, shape (k,)
        The ratio at each; both empty where there is none.
    """
    engine = log.get("engine_rpm")
    if engine is None or speed_time_s.size < 2:
        return np.empty(0), np.empty(0)
    inside = (engine.time_s >= speed_time_s[0]) & (engine.time_s <= speed_time_s[-1])
    time_s, rpm = engine.time_s[inside], engine.values[inside]
    speed = np.interp(time_s, speed_time_s, speed_mps)
    use = (speed > LEAST_MPS) & (rpm > OVER_IDLE * car.engine.idle_rpm)
    if not use.any():
        return np.empty(0), np.empty(0)
    overall = np.asarray(car.driveline.gear_ratios) * car.driveline.final_drive
    by_gear = gearing.road_speed_mps(rpm[use][:, None], overall[None, :], car.tyres.rolling_radius_m)
    off = np.log(by_gear / speed[use][:, None])
    nearest = np.take_along_axis(off, np.argmin(np.abs(off), axis=1)[:, None], axis=1)[:, 0]
    near = np.abs(nearest) < NEAR_GEAR
    return time_s[use][near], np.asarray(np.exp(nearest[near]))


def indicated_excess(car: Car, log: Log, axles: tuple[Axle, ...], free: TorqueFree) -> float:
    """By how much the logged wheel speeds exceed those of the car file's radius, as a ratio; 0 where nothing tells.

    A control unit may compute wheel speed with a rolling circumference of its own.
    """
    driven = driven_reading(car, axles)
    if driven is not None:
        _, ratio = geared_over(car, log, *driven)
    elif axles:
        times, ratio = geared_over(car, log, axles[0].reading.time_s, axles[0].reading.values)
        ratio = ratio[free.at(times)]
    else:
        return 0.0
    return float(1.0 / np.median(ratio) - 1.0) if ratio.size >= LEAST_SAMPLES else 0.0


def rolling_radius(
    car: Car,
    log: Log,
    axles: tuple[Axle, ...],
    free: TorqueFree,
    wheel_scale: float,
    ground: tuple[FloatArray, FloatArray],
    scale_sd: float,
) -> Measured:
    """Rolling radius that brings engine speed and ground speed together [m].

    Parameters
    ----------
    car, log, axles, free
        Of the try.
    wheel_scale : float
        Logged over true speed of a wheel that rolls freely.
    ground : tuple of ndarray
        Times [s] and ground speed [m/s].
    scale_sd : float
        Relative standard deviation of the scale of the ground speed.

    Returns
    -------
    Estimate or Absent
    """
    driven = driven_reading(car, axles)
    if driven is not None:
        _, ratio = geared_over(car, log, *driven)
    else:
        times, ratio = geared_over(car, log, *ground)
        ratio, wheel_scale = ratio[free.at(times)], 1.0
    if ratio.size < LEAST_SAMPLES:
        return Absent(reason="the log shows no gear with a closed clutch from which to take the rolling radius")
    typical = float(np.median(ratio))
    spread = 1.4826 * float(np.median(np.abs(ratio - typical)))
    sd = float(np.hypot(scale_sd, spread / np.sqrt(max(ratio.size / SHARED_SAMPLES, 1.0))))
    radius_m = car.tyres.rolling_radius_m / (typical * wheel_scale)
    return Estimate.from_sd(radius_m, sd * radius_m)
