"""How far the car rolls for each turn of its wheels, as the pass itself shows it.

Where no torque turns the wheels and the clutch is closed, engine speed, gear and ground speed give the radius
directly. The car file's radius, which the wheel speeds of a log usually rest on too, is the fallback: tyres leave it
by about a percent with wear, heat and pressure (common practice), and grow with speed.
"""

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car
from nextpass.log import Log
from nextpass.measure import Absent, Estimate, Measured
from nextpass.physics import gearing
from nextpass.review.speed.wheels import TorqueFree

FloatArray = NDArray[np.float64]

LEAST_MPS = 8.0
# A ratio further from every gear than this is no closed clutch.
NEAR_GEAR = 0.06
LEAST_SAMPLES = 12


def geared_speed(car: Car, log: Log, free: TorqueFree, speed_time_s: FloatArray, speed_mps: FloatArray) -> FloatArray:
    """Speed by engine, nearest gear and the car file's radius where the wheels roll freely, as a factor of `speed_mps`.

    Parameters
    ----------
    car : Car
    log : Log
    free : TorqueFree
    speed_time_s, speed_mps : ndarray, shape (n,)
        Speed to compare with [s], [m/s].

    Returns
    -------
    ndarray, shape (k,)
        Geared speed over speed at each usable sample of engine speed; empty where there is none.
    """
    engine = log.get("engine_rpm")
    if engine is None or speed_time_s.size < 2:
        return np.empty(0)
    inside = (engine.time_s >= speed_time_s[0]) & (engine.time_s <= speed_time_s[-1])
    time_s, rpm = engine.time_s[inside], engine.values[inside]
    speed = np.interp(time_s, speed_time_s, speed_mps)
    use = free.at(time_s) & (speed > LEAST_MPS) & (rpm > 1.2 * car.engine.idle_rpm)
    if not use.any():
        return np.empty(0)
    overall = np.asarray(car.driveline.gear_ratios) * car.driveline.final_drive
    by_gear = gearing.road_speed_mps(rpm[use][:, None], overall[None, :], car.tyres.rolling_radius_m)
    off = np.log(by_gear / speed[use][:, None])
    nearest = np.take_along_axis(off, np.argmin(np.abs(off), axis=1)[:, None], axis=1)[:, 0]
    return np.asarray(np.exp(nearest[np.abs(nearest) < NEAR_GEAR]))


def rolling_radius(
    car: Car, log: Log, free: TorqueFree, time_s: FloatArray, speed_mps: FloatArray, scale_sd: float
) -> Measured:
    """Rolling radius that brings engine speed and ground speed together on the coast-down [m].

    Parameters
    ----------
    car : Car
    log : Log
    free : TorqueFree
    time_s, speed_mps : ndarray, shape (n,)
        Ground speed.
    scale_sd : float
        Relative standard deviation of the scale of the ground speed.

    Returns
    -------
    Estimate or Absent
    """
    factor = geared_speed(car, log, free, time_s, speed_mps)
    if factor.size < LEAST_SAMPLES:
        return Absent(reason="the log shows no coast in gear from which to take the rolling radius")
    ratio = float(np.median(factor))
    spread = 1.4826 * float(np.median(np.abs(factor - ratio)))
    # Neighbouring samples share their error: count one in ten.
    sd = float(np.hypot(scale_sd, spread / np.sqrt(max(factor.size / 10.0, 1.0))))
    return Estimate.from_sd(car.tyres.rolling_radius_m / ratio, sd * car.tyres.rolling_radius_m)
