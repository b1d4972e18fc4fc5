"""Which sensors of speed a log has over a stretch, and how good each is: rate, noise, steps of the reading.

Noise is measured on the stretch itself from what neighbouring samples do not share, so that a rough track or a soft
mount shows in the ±. Wheel speeds are brought together by axle: which of the axles is driven decides how far they
can be trusted.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car
from nextpass.log import Channel, Log

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

AXLE_CHANNELS = {
    "front": ("wheel_speed_fl_mps", "wheel_speed_fr_mps"),
    "rear": ("wheel_speed_rl_mps", "wheel_speed_rr_mps"),
}
# A wheel that shows one value for this long while it turns is stuck.
STUCK_S, TURNS_MPS = 1.0, 2.0
# Torque shares below this leave an axle free-rolling for our purpose.
UNDRIVEN_SHARE = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One sensor over the stretch.

    Parameters
    ----------
    time_s, values : ndarray, shape (n,)
        True samples, finite, times rising.
    noise_sd : float
        Standard deviation of what one sample does not share with its neighbours, steps of the reading included.
    """

    time_s: FloatArray
    values: FloatArray
    noise_sd: float

    @property
    def period_s(self) -> float:
        """Median time between samples [s]."""
        return float(np.median(np.diff(self.time_s)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Axle:
    """Wheel speed of one axle, or of the car where single wheels are not logged.

    Parameters
    ----------
    name : {"front", "rear", "all"}
    driven : bool
    reading : Reading
    divided_by : float
        What the logged values were divided by to bring the axles to one scale.
    """

    name: str
    driven: bool
    reading: Reading
    divided_by: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensors:
    """All that tells speed over one stretch; None where the log has no such sensor."""

    accelerometer: Reading | None
    gps: Reading | None
    axles: tuple[Axle, ...]
    row_period_s: float


def gather(car: Car, log: Log, start_s: float, end_s: float) -> Sensors:
    """Sensors of speed that the log has between two times.

    Parameters
    ----------
    car : Car
        Tells which axles are driven.
    log : Log
    start_s, end_s : float
        Stretch on the log's clock [s].

    Returns
    -------
    Sensors
    """
    return Sensors(
        accelerometer=_reading(log.get("longitudinal_acceleration_mps2"), start_s, end_s),
        gps=_new_values(_reading(log.get("gps_speed_mps"), start_s, end_s)),
        axles=_axles(car, log, start_s, end_s),
        row_period_s=1.0 / log.quality.rate_hz if log.quality.rate_hz > 0.0 else 0.04,
    )


def sample_noise(values: FloatArray) -> float:
    """Standard deviation of what a sample does not share with its neighbours.

    From second differences, which a slow signal does not have: their variance is six times the noise's. The median
    keeps kinks and dropouts out.

    Parameters
    ----------
    values : ndarray, shape (n,)
        Evenly sampled but for jitter, any unit.

    Returns
    -------
    float
        Same unit; 0 where there are fewer than five samples.
    """
    if values.size < 5:
        return 0.0
    second = np.diff(values, 2)
    return float(1.4826 * np.median(np.abs(second)) / np.sqrt(6.0))


def reading_step(values: FloatArray) -> float:
    """Smallest step of a reading: the quantum that the sensor or the logger rounds to, 0 where none shows."""
    steps = np.abs(np.diff(values))
    steps = steps[steps > 1e-9]
    return float(np.percentile(steps, 2)) if steps.size else 0.0


def _reading(channel: Channel | None, start_s: float, end_s: float) -> Reading | None:
    if channel is None:
        return None
    inside = (channel.time_s >= start_s) & (channel.time_s <= end_s) & np.isfinite(channel.values)
    if np.count_nonzero(inside) < 8:
        return None
    time_s, values = channel.time_s[inside], channel.values[inside]
    moving = values[np.abs(values) > 0.0]
    # Rounding to a step q leaves an error of q/sqrt(12) that differences may not show (JCGM 100, F.2.2.1).
    rounding = reading_step(values) / np.sqrt(12.0)
    return Reading(time_s=time_s, values=values, noise_sd=max(sample_noise(moving), rounding))


def _new_values(reading: Reading | None) -> Reading | None:
    """The same reading without repeats: a receiver slower than the log is held between its own updates."""
    if reading is None:
        return None
    fresh = np.concatenate([[True], np.diff(reading.values) != 0.0])
    return Reading(time_s=reading.time_s[fresh], values=reading.values[fresh], noise_sd=reading.noise_sd)


def _axles(car: Car, log: Log, start_s: float, end_s: float) -> tuple[Axle, ...]:
    front_share = car.driveline.front_drive_share
    shares = {"front": front_share, "rear": 1.0 - front_share}
    axles = []
    for name, channels in AXLE_CHANNELS.items():
        wheels = [reading for c in channels if (reading := _reading(log.get(c), start_s, end_s)) is not None]
        working = [wheel for wheel in wheels if not _is_stuck(wheel)]
        if working:
            axles.append(Axle(name=name, driven=shares[name] > UNDRIVEN_SHARE, reading=_mean_of(working)))
    if not axles:
        whole = _reading(log.get("vehicle_speed_mps"), start_s, end_s)
        if whole is not None:
            axles.append(Axle(name="all", driven=True, reading=whole))
    return tuple(axles)


def _is_stuck(wheel: Reading) -> bool:
    """Whether a wheel holds one value for a second or more while it turns, or never turns at all."""
    changes = np.flatnonzero(np.abs(np.diff(wheel.values)) > 1e-9)
    if changes.size == 0:
        return True
    held_from = np.concatenate([changes[:-1] + 1, [changes[-1] + 1]])
    held_to = np.concatenate([changes[1:], [wheel.values.size - 1]])
    held_s = wheel.time_s[held_to] - wheel.time_s[held_from]
    return bool(np.any((held_s > STUCK_S) & (wheel.values[held_from] > TURNS_MPS)))


def _mean_of(wheels: list[Reading]) -> Reading:
    """Mean of the wheels of an axle; zero where one of them is still blind at a crawl."""
    base = wheels[0]
    if len(wheels) == 1:
        return base
    speeds = np.array([np.interp(base.time_s, w.time_s, w.values) for w in wheels])
    values = np.where(speeds.min(axis=0) > 0.0, speeds.mean(axis=0), 0.0)
    noise_sd = float(np.sqrt(np.mean([w.noise_sd**2 for w in wheels]) / len(wheels)))
    return Reading(time_s=base.time_s, values=values, noise_sd=noise_sd)
