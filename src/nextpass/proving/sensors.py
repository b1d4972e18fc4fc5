"""What the sensors make of the true signals: lag, noise, bias, late and held GPS, wheels that are blind at a crawl.

Sizes are those of production sensors (common practice, memory). Each channel is sampled on the logger's own row times;
rounding to the printed decimals is the writer's.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.signal import lfilter

from nextpass.proving.outcome import Outcome
from nextpass.proving.signals import GRAVITY_MPS2, log_clock, true_signals

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensor:
    """How one channel is measured.

    Parameters
    ----------
    lag_s : float
        First-order lag [s].
    noise : float
        Standard deviation in the channel's unit.
    quantum : float
        Step of the sensor's own converter in the channel's unit, 0 for none.
    slow : int
        New value only every so many rows, held between.
    """

    lag_s: float = 0.0
    noise: float = 0.0
    quantum: float = 0.0
    slow: int = 1


SENSORS: dict[str, Sensor] = {
    "engine_rpm": Sensor(lag_s=0.010, noise=6.0, quantum=1.0),
    "vehicle_speed_mps": Sensor(lag_s=0.050, noise=0.02),
    "wheel_speed_fl_mps": Sensor(lag_s=0.020, noise=0.05),
    "wheel_speed_fr_mps": Sensor(lag_s=0.020, noise=0.05),
    "wheel_speed_rl_mps": Sensor(lag_s=0.020, noise=0.05),
    "wheel_speed_rr_mps": Sensor(lag_s=0.020, noise=0.05),
    "gps_speed_mps": Sensor(lag_s=0.06, noise=0.06),
    "longitudinal_acceleration_mps2": Sensor(lag_s=0.025, noise=0.25),
    "lateral_acceleration_mps2": Sensor(lag_s=0.025, noise=0.25),
    "vertical_acceleration_mps2": Sensor(lag_s=0.025, noise=0.35),
    "yaw_rate_degps": Sensor(lag_s=0.025, noise=0.4),
    "manifold_pressure_kpa": Sensor(lag_s=0.012, noise=0.7),
    "charge_pressure_kpa": Sensor(lag_s=0.012, noise=0.7),
    "barometric_pressure_kpa": Sensor(quantum=0.1, slow=4),
    "throttle": Sensor(lag_s=0.01, noise=0.002),
    "lambda_bank1": Sensor(lag_s=0.12, noise=0.006),
    "lambda_bank2": Sensor(lag_s=0.12, noise=0.006),
    "injector_duty": Sensor(noise=0.003),
    "rail_pressure_kpa": Sensor(lag_s=0.03, noise=1.5),
    "ignition_advance_deg": Sensor(noise=0.1, quantum=0.1),
    "knock_retard_deg": Sensor(quantum=0.25),
    "charge_temperature_c": Sensor(lag_s=0.5, noise=0.05, slow=2),
    "intake_temperature_c": Sensor(lag_s=2.0, noise=0.05, slow=4),
    "ambient_temperature_c": Sensor(quantum=0.5, slow=8),
    "coolant_temperature_c": Sensor(lag_s=1.0, quantum=1.0, slow=4),
    "oil_temperature_c": Sensor(lag_s=1.0, quantum=1.0, slow=4),
    "gearbox_oil_temperature_c": Sensor(lag_s=1.0, quantum=1.0, slow=4),
    "exhaust_temperature_c": Sensor(lag_s=1.2, noise=2.0, slow=2),
    "oil_pressure_kpa_gauge": Sensor(lag_s=0.1, noise=6.0, slow=2),
    "battery_v": Sensor(noise=0.02, slow=2),
    "short_trim_bank1": Sensor(noise=0.004),
    "short_trim_bank2": Sensor(noise=0.004),
    "wastegate_duty": Sensor(noise=0.002),
    "clutch_torque_nm": Sensor(lag_s=0.02, noise=4.0),
    "clutch_a_pressure_kpa": Sensor(lag_s=0.02, noise=5.0),
    "clutch_b_pressure_kpa": Sensor(lag_s=0.02, noise=5.0),
    "input_shaft_rpm": Sensor(lag_s=0.012, noise=5.0),
    "output_shaft_rpm": Sensor(lag_s=0.012, noise=3.0),
    "engine_torque_nm": Sensor(lag_s=0.02, noise=3.0),
    "mass_air_flow_kgps": Sensor(lag_s=0.03, noise=0.001),
    "turbo_rpm": Sensor(noise=150.0),
}
"""Channels that are not named here are commands and switches: exact, without lag."""

ALMOST_STANDING_MPS = 0.6
"""Below it the toothed wheel of a speed sensor gives too few pulses to be counted [m/s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mounting:
    """How the box with accelerometer and GPS sits in the car, and what is wrong with it.

    Parameters
    ----------
    bias_mps2 : float
        Of the accelerometer at rest [m/s2].
    tilt_deg : float
        Nose up of the box against the car [deg].
    gain : float
        Scale of the accelerometer [-].
    gps_rate_hz, gps_lag_s : float
        Solutions a second, and how late each is [Hz, s].
    """

    bias_mps2: float = 0.0
    tilt_deg: float = 0.0
    gain: float = 1.0
    gps_rate_hz: float = 10.0
    gps_lag_s: float = 0.18


def sampled(
    outcome: Outcome, rows_s: FloatArray, mounting: Mounting, noise: float, rng: np.random.Generator
) -> dict[str, FloatArray]:
    """Every channel as its sensor gives it at the rows of a log.

    Parameters
    ----------
    outcome : Outcome
        With a trace.
    rows_s : ndarray, shape (n,)
        Times of the rows on the clock of the log [s].
    mounting : Mounting
        Of accelerometer and GPS.
    noise : float
        Factor on all noise [-].
    rng : numpy.random.Generator
        Draws the noise.

    Returns
    -------
    dict of str to ndarray, shape (n,)
        By canonical name, in the canonical unit.
    """
    clock_s = log_clock(outcome)
    found: dict[str, FloatArray] = {}
    for name, true in _as_mounted(true_signals(outcome), mounting).items():
        sensor = SENSORS.get(name, Sensor())
        if name == "gps_speed_mps":
            found[name] = _gps(
                clock_s, lagged(clock_s, true, sensor.lag_s), rows_s, mounting, noise * sensor.noise, rng
            )
            continue
        seen = np.interp(rows_s, clock_s, lagged(clock_s, true, sensor.lag_s))
        if name in _STEPPED:
            seen = true[np.searchsorted(clock_s, rows_s, side="right").clip(1, clock_s.size) - 1]
        if sensor.slow > 1:
            seen = seen[(np.arange(rows_s.size) // sensor.slow) * sensor.slow]
        seen = seen + noise * sensor.noise * rng.standard_normal(rows_s.size)
        if name.startswith(("wheel_speed", "vehicle_speed")):
            seen = np.where(seen < ALMOST_STANDING_MPS, 0.0, seen)
        found[name] = np.round(seen / sensor.quantum) * sensor.quantum if sensor.quantum > 0.0 else seen
    found["engine_rpm"] = found["engine_rpm"] + _idle_swing(outcome, rows_s, rng)
    return found


_STEPPED = {"gear", "brake_switch", "shift_switch", "second_pump_on", "pedal", "brake_pressure_kpa"}


def lagged(time_s: FloatArray, values: FloatArray, lag_s: float) -> FloatArray:
    """Signal behind a first-order lag, on an even clock.

    Parameters
    ----------
    time_s : ndarray, shape (n,)
        Even steps [s].
    values : ndarray, shape (n,)
        In any unit.
    lag_s : float
        Time constant [s]; 0 leaves the signal as it is.
    """
    if lag_s <= 0.0 or time_s.size < 2:
        return values
    share = 1.0 - np.exp(-float(time_s[1] - time_s[0]) / lag_s)
    start = np.array([(1.0 - share) * values[0]])
    return np.asarray(lfilter([share], [1.0, share - 1.0], values, zi=start)[0])


def _idle_swing(outcome: Outcome, rows_s: FloatArray, rng: np.random.Generator) -> FloatArray:
    # Uneven burning makes the idle swing by about half a second (common practice); a held engine does not show it.
    even_s = np.arange(0.0, outcome.driver.waits_s, 0.25)
    swing = outcome.car.engine.idle_roughness_rpm * rng.standard_normal(even_s.size)
    return np.interp(rows_s, even_s, swing, right=0.0)


def _as_mounted(signals: dict[str, FloatArray], mounting: Mounting) -> dict[str, FloatArray]:
    felt = signals["longitudinal_acceleration_mps2"] + GRAVITY_MPS2 * np.sin(np.radians(mounting.tilt_deg))
    signals["longitudinal_acceleration_mps2"] = mounting.gain * felt + mounting.bias_mps2
    signals["intake_temperature_c"] = 0.7 * signals["ambient_temperature_c"] + 0.3 * signals["charge_temperature_c"]
    return signals


def _gps(
    clock_s: FloatArray,
    speed: FloatArray,
    rows_s: FloatArray,
    mounting: Mounting,
    noise: float,
    rng: np.random.Generator,
) -> FloatArray:
    solved_s = np.arange(rng.uniform(0.0, 1.0 / mounting.gps_rate_hz), rows_s[-1] + 1.0, 1.0 / mounting.gps_rate_hz)
    # Errors of a receiver wander: half of the noise is shared over about a second.
    white = rng.standard_normal(solved_s.size + 20)
    slow = np.convolve(white, np.ones(10) / np.sqrt(10.0), mode="same")[: solved_s.size]
    error = noise * (0.8 * rng.standard_normal(solved_s.size) + 0.6 * slow)
    solved = np.maximum(np.interp(solved_s - mounting.gps_lag_s, clock_s, speed) + error, 0.0)
    solved = np.where(solved < 0.15, 0.0, solved)
    at = np.searchsorted(solved_s, rows_s, side="right") - 1
    return np.where(at >= 0, solved[np.maximum(at, 0)], 0.0)
