"""How far a wheel can be trusted for speed: when no torque turns it, and how much it slips for the drive it gives."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from nextpass.car import Car
from nextpass.log import Log
from nextpass.physics import roadload, tyre
from nextpass.review.speed.sensors import Axle, Sensors

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

GRAVITY_MPS2 = 9.80665
# Shape factor of a longitudinal tyre curve (typical of passenger tyres, memory; Pacejka's C for F_x).
TYRE_SHAPE = 1.65
# Towards its peak the curve is softer than at its origin: at three quarters of the peak force, with the shape above and
# E = 0, slip is 1.24 times what the initial stiffness alone would give (arithmetic).
SOFTENING = 1.24
# Acceleration at which load transfer is taken for the share of an axle in the slip [m/s2].
TYPICAL_MPS2 = 5.0
# Driver's pedal or throttle below which the wheels carry no more than engine braking.
CLOSED = 0.08
# After the pedal closes, torque and the wheels need this long to settle.
SETTLE_S = 0.25
EVEN_LEAST_MPS = 8.0
TYPICAL_AIR_KGPM3 = 1.2
EVEN_LEAST_SAMPLES = 10
# What noise of a wheel and a slow shift may take off a car under power.
MAY_LOSE_MPS = 0.4


@dataclass(frozen=True, slots=True, kw_only=True)
class TorqueFree:
    """When the driven wheels roll without drive, on the clock of the channel that shows it; empty where none does."""

    time_s: FloatArray
    is_free: BoolArray

    def at(self, time_s: FloatArray) -> BoolArray:
        """Whether the wheels roll freely at these times, by the last sample before each."""
        if self.time_s.size == 0:
            return np.zeros(time_s.shape, dtype=np.bool_)
        index = np.clip(np.searchsorted(self.time_s, time_s, side="right") - 1, 0, self.time_s.size - 1)
        return np.asarray(self.is_free[index])


def torque_free(log: Log) -> TorqueFree:
    """When the pedal, or else the throttle, has been closed for long enough.

    Parameters
    ----------
    log : Log

    Returns
    -------
    TorqueFree
    """
    for name in ("pedal", "throttle"):
        channel = log.get(name)
        if channel is not None and channel.time_s.size > 1:
            closed = channel.values < CLOSED
            last_open = np.maximum.accumulate(np.where(closed, -np.inf, channel.time_s))
            return TorqueFree(time_s=channel.time_s, is_free=closed & (channel.time_s - last_open > SETTLE_S))
    return TorqueFree(time_s=np.empty(0), is_free=np.empty(0, dtype=np.bool_))


def slip_per_drive(car: Car, axle: str) -> float:
    """Slip ratio that the tyres of an axle need for each m/s2 of the car's drive while they hold [s2/m].

    From the slip stiffness of the tyre curve that peaks at the car file's `peak_slip`, for the axle's share of the
    drive over its share of the load.

    Parameters
    ----------
    car : Car
    axle : str
        "front", "rear", or anything else for all wheels together.

    Returns
    -------
    float
        0 for an axle that is not driven.
    """
    stiffness = TYRE_SHAPE * float(tyre.stiffness_for_peak(car.tyres.peak_slip, TYRE_SHAPE))
    alike = SOFTENING / (stiffness * car.tyres.peak_friction * GRAVITY_MPS2)
    chassis, front_drive = car.chassis, car.driveline.front_drive_share
    transfer = TYPICAL_MPS2 * chassis.cg_height_m / (GRAVITY_MPS2 * chassis.wheelbase_m)
    front_load = chassis.front_weight_share - transfer
    shares = {"front": front_drive / front_load, "rear": (1.0 - front_drive) / (1.0 - front_load)}
    # The drive of all wheels together reads as the mean of the axles by their drive (virtual work).
    whole = front_drive * shares["front"] + (1.0 - front_drive) * shares["rear"]
    return alike * shares.get(axle, whole)


def most_acceleration_mps2(car: Car) -> float:
    """Acceleration that the tyres of the driven axles can give at the car file's friction [m/s2]."""
    chassis, front_drive = car.chassis, car.driveline.front_drive_share
    grip = car.tyres.peak_friction * GRAVITY_MPS2
    lever = car.tyres.peak_friction * chassis.cg_height_m / chassis.wheelbase_m
    if front_drive <= 0.0:
        return grip * (1.0 - chassis.front_weight_share) / (1.0 - lever)
    if front_drive >= 1.0:
        return grip * chassis.front_weight_share / (1.0 + lever)
    return grip


def road_load_mps2(car: Car, speed_mps: FloatArray) -> FloatArray:
    """Drag and rolling resistance as a deceleration [m/s2]; a typical air will do for the slip of a tyre."""
    chassis = car.chassis
    drag_n = roadload.drag_n(speed_mps, TYPICAL_AIR_KGPM3, chassis.drag_area_m2)
    rolling_n = roadload.rolling_resistance_n(chassis.mass_kg, chassis.rolling_resistance)
    return np.asarray((drag_n + rolling_n) / chassis.mass_kg)


def reachable_speed(
    time_s: FloatArray, speed_mps: FloatArray, most_mps2: ArrayLike, is_driven: BoolArray
) -> FloatArray:
    """The highest speed that a car can have had below a wheel speed, gaining at most so much, losing none under power.

    Wheels that spun come back to the car when they grip again: it cannot have been faster before.

    Parameters
    ----------
    time_s, speed_mps : ndarray, shape (n,)
        Wheel speed.
    most_mps2 : array_like, shape (n,) or scalar
        The most that the car can have gained at each time [m/s2].
    is_driven : ndarray of bool, shape (n,)
        Whether the wheels may be driven, so that the car does not slow.

    Returns
    -------
    ndarray, shape (n,)
    """
    # v(t) <= v(s) + the integral of a from s to t for every s before t: the running minimum of v less the integral from
    # the beginning, with that put back.
    most = np.broadcast_to(np.asarray(most_mps2, dtype=np.float64), time_s.shape)
    steps = 0.5 * (most[1:] + most[:-1]) * np.diff(time_s)
    rising = np.concatenate([[0.0], np.cumsum(steps)])
    gained = np.minimum.accumulate(speed_mps - rising) + rising
    later = np.minimum.accumulate(np.where(is_driven, speed_mps, np.inf)[::-1])[::-1]
    return np.asarray(np.where(is_driven, np.minimum(gained, later + MAY_LOSE_MPS), gained))


def even_axles(sensors: Sensors, free: TorqueFree) -> tuple[Axle, ...]:
    """The axles with their readings brought to one scale, from where both roll freely.

    Tyres of unequal size or wear make one axle read high all the time; where they never roll freely together the
    readings stay as they are.

    Parameters
    ----------
    sensors : Sensors
    free : TorqueFree

    Returns
    -------
    tuple of Axle
    """
    if len(sensors.axles) < 2:
        return sensors.axles
    base = sensors.axles[0].reading
    readings = [np.interp(base.time_s, a.reading.time_s, a.reading.values) for a in sensors.axles]
    mean = np.mean(readings, axis=0)
    usable = free.at(base.time_s) & (mean > EVEN_LEAST_MPS)
    if np.count_nonzero(usable) < EVEN_LEAST_SAMPLES:
        return sensors.axles
    ratios = [float(np.median(reading[usable] / mean[usable])) for reading in readings]
    return tuple(
        replace(axle, reading=replace(axle.reading, values=axle.reading.values / ratio), divided_by=ratio)
        for axle, ratio in zip(sensors.axles, ratios, strict=True)
    )
