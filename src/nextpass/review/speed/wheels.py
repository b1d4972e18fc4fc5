"""How far a wheel can be trusted for speed: when no torque turns it, and how much it slips for the drive it gives."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car
from nextpass.log import Log
from nextpass.review.speed.sensors import Axle, Sensors

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

GRAVITY_MPS2 = 9.80665
# Shape factor of a longitudinal tyre curve (typical of passenger tyres, memory; Pacejka's C for F_x).
TYRE_SHAPE = 1.65
# Driver's pedal or throttle below which the wheels carry no more than engine braking.
CLOSED = 0.08
# After the pedal closes, torque and the wheels need this long to settle.
SETTLE_S = 0.25
# Harder than this the brakes are on.
BRAKING_MPS2 = -2.0


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
    """When the pedal, or else the throttle, has been closed for long enough."""
    for name in ("pedal", "throttle"):
        channel = log.get(name)
        if channel is not None and channel.time_s.size > 1:
            closed = channel.values < CLOSED
            last_open = np.maximum.accumulate(np.where(closed, -np.inf, channel.time_s))
            return TorqueFree(time_s=channel.time_s, is_free=closed & (channel.time_s - last_open > SETTLE_S))
    return TorqueFree(time_s=np.empty(0), is_free=np.empty(0, dtype=np.bool_))


def slip_per_drive(car: Car) -> float:
    """Slip ratio that a driven tyre needs for each m/s2 of drive while it holds [s2/m].

    From the slip stiffness of the tyre curve that peaks at the car file's `peak_slip`: with E = 0 the peak lies at
    ``tan(pi/(2 C))/B`` (Pacejka), the stiffness is ``B C mu F_z``.
    """
    stiffness = TYRE_SHAPE * np.tan(np.pi / (2.0 * TYRE_SHAPE)) / car.tyres.peak_slip
    return float(1.0 / (stiffness * car.tyres.peak_friction * GRAVITY_MPS2))


def even_axles(sensors: Sensors, free: TorqueFree) -> tuple[Axle, ...]:
    """The axles with their readings brought to one scale, from where both roll freely.

    Tyres of unequal size or wear make one axle read high all the time; where they never roll freely together the
    readings stay as they are.
    """
    if len(sensors.axles) < 2:
        return sensors.axles
    base = sensors.axles[0].reading
    readings = [np.interp(base.time_s, a.reading.time_s, a.reading.values) for a in sensors.axles]
    mean = np.mean(readings, axis=0)
    usable = free.at(base.time_s) & (mean > 8.0)
    if np.count_nonzero(usable) < 10:
        return sensors.axles
    even = []
    for axle, reading in zip(sensors.axles, readings, strict=True):
        ratio = float(np.median(reading[usable] / mean[usable]))
        even.append(_scaled(axle, 1.0 / ratio))
    return tuple(even)


def _scaled(axle: Axle, factor: float) -> Axle:
    reading = axle.reading
    return Axle(
        name=axle.name,
        driven=axle.driven,
        reading=type(reading)(time_s=reading.time_s, values=reading.values * factor, noise_sd=reading.noise_sd),
    )
