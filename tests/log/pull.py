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
        "pedal": pulls.astype(float),
        "wheel_speed_fl_mps": speed * 1.002,
        "wheel_speed_fr_mps": speed * 0.998,
        "wheel_speed_rl_mps": speed * (1.01 + 0.02 * pulls),
        "wheel_speed_rr_mps": speed * (1.008 + 0.02 * pulls),
        "gps_speed_mps": speed * 1.001,
        "lateral_acceleration_mps2": 0.2 * ripple,
        "yaw_rate_degps": 0.4 * ripple,
        "target_pressure_kpa": np.where(pulls, 100.0 + 96.0 * boost, 98.0),
        "charge_pressure_kpa": np.where(pulls, 102.0 + 96.0 * boost, BAROMETER_KPA) + 0.3 * ripple,
        "barometric_pressure_kpa": np.full(time_s.shape, BAROMETER_KPA),
        "lambda_bank2": np.where(pulls, 0.825, 1.002) + 0.004 * ripple,
        "lambda_target": np.where(pulls, 0.82, 1.0),
        "injector_duty": np.where(pulls, 0.35 + 0.3 * boost, 0.04) + 0.002 * ripple,
        "injector_open_s": np.where(pulls, 0.008 + 0.006 * boost, 0.0016) + 0.0001 * ripple,
        "rail_pressure_kpa": 350.0 + 4.0 * ripple,
        "knock_retard_deg": np.where(pulls & (ripple > 1.2), 1.5, 0.0),
        "intake_temperature_c": np.where(pulls, 24.0 + 1.4 * (time_s - 8.0), 24.0) + 0.3 * ripple,
        "ambient_temperature_c": 21.0 + 0.02 * time_s,
        "oil_temperature_c": 96.0 + 0.2 * time_s,
        "gearbox_oil_temperature_c": 78.0 + 0.25 * time_s,
        "exhaust_temperature_c": np.where(pulls, 520.0 + 30.0 * (time_s - 8.0), 520.0) + 2.0 * ripple,
        "oil_pressure_kpa_gauge": np.where(pulls, 480.0, 210.0) + 4.0 * ripple,
        "short_trim_bank1": 0.02 + 0.01 * ripple,
        "short_trim_bank2": -0.015 + 0.012 * ripple,
        "long_trim_bank1": np.full(time_s.shape, 0.03),
        "wastegate_duty": np.where(pulls, 0.55 * boost, 0.0) + 0.004 * np.abs(ripple) * pulls,
        "ethanol": np.full(time_s.shape, 0.71),
        "mass_air_flow_kgps": np.where(pulls, 0.1 + 0.2 * boost, 0.006) + 0.0004 * ripple,
        "engine_torque_nm": np.where(pulls, 250.0 + 300.0 * boost, 20.0) + 3.0 * ripple,
        "clutch_torque_nm": np.where(pulls, 240.0 + 290.0 * boost, 0.0) + 3.0 * ripple * pulls,
        "brake_switch": (time_s > 22.0).astype(float),
        "brake_pressure_kpa": np.where(time_s > 22.0, 1500.0, 0.0),
        "turbo_rpm": np.where(pulls, 60000.0 + 80000.0 * boost, 12000.0) + 200.0 * ripple,
        "input_shaft_rpm": np.where(speed > 0.5, in_gear, 0.0),
        "fuel_pump_duty": np.where(pulls, 0.8, 0.35) + 0.002 * ripple,
    }
