"""One invented pull, from which the logs of these tests are written: idle, full throttle through the gears, coast.

Nothing here comes from a car. The ripples stand for noise and are the same every time.
"""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from nextpass.log import LogHints

FloatArray = NDArray[np.float64]

RATIOS = (4.0, 2.5, 1.8, 1.4, 1.1)
FINAL_DRIVE = 3.5
RADIUS_M = 0.33
BAROMETER_KPA = 98.6
STANDARD_GRAVITY = 9.80665
HINTS = LogHints(
    barometric_pressure_kpa=BAROMETER_KPA,
    air_temperature_c=21.0,
    gear_ratios=RATIOS,
    final_drive=FINAL_DRIVE,
    rolling_radius_m=RADIUS_M,
    stoichiometric_afr=9.8,
)


def pull(rate_hz: float = 25.0) -> Mapping[str, FloatArray]:
    """Canonical channels of the pull, all on the clock `time_s`."""
    time_s = np.round(np.arange(0.0, 26.0, 1.0 / rate_hz), 6)
    speed = np.where(time_s < 8.0, 0.0, 58.0 * (1.0 - np.exp(-(time_s - 8.0) / 8.0)))
    top = 58.0 * (1.0 - np.exp(-12.0 / 8.0))
    speed = np.where(time_s > 20.0, top * np.exp(-(time_s - 20.0) / 14.0), speed)
    locked = speed[:, None] / RADIUS_M * FINAL_DRIVE * np.asarray(RATIOS)[None, :] * 30.0 / np.pi
    gear = 1.0 + np.argmax(locked < 6600.0, axis=1)
    in_gear = locked[np.arange(time_s.size), gear.astype(int) - 1]
    pulls = (time_s >= 8.0) & (time_s <= 20.0)
    ripple = np.sin(7.3 * time_s) + 0.6 * np.sin(19.1 * time_s + 1.0)
    rpm = np.where(pulls, np.maximum(in_gear, 2600.0), np.where(time_s < 8.0, 860.0, np.maximum(in_gear, 900.0)))
    boost = np.clip((time_s - 8.0) / 1.5, 0.0, 1.0)
    manifold = np.where(pulls, 100.0 + 95.0 * boost, 37.0) + 0.8 * ripple
    return {
        "time_s": time_s,
        "engine_rpm": rpm + 6.0 * ripple,
        "vehicle_speed_mps": speed,
        "longitudinal_acceleration_mps2": np.gradient(speed, time_s) + 0.05 * ripple,
        "manifold_pressure_kpa": manifold,
        "throttle": pulls.astype(float),
        "gear": gear,
        "lambda_bank1": np.where(pulls, 0.82, 1.0) + 0.004 * ripple,
        "ignition_advance_deg": np.where(pulls, 11.0, 16.0) + 0.2 * ripple,
        "charge_temperature_c": np.where(pulls, 28.0 + (time_s - 8.0), 28.0),
        "coolant_temperature_c": 88.0 + 0.15 * time_s,
        "battery_v": 13.9 + 0.03 * ripple,
    }
