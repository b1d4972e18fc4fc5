"""What can be wrong with a sensor or a logger, as changes of the channels before they are written; strength 1 to 3.

The pass itself is clean: only what is seen of it is spoilt. A kind whose channel the logger does not have changes
nothing, and says so by coming back with False.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from nextpass.proving.outcome import Outcome

FloatArray = NDArray[np.float64]
Channels = dict[str, FloatArray]
Spoil = Callable[[FloatArray, Channels, int, Outcome], bool]
"""Changes channels in place: (row times, channels, strength, pass); whether there was anything to change."""


def _launch_s(outcome: Outcome) -> float:
    return outcome.release_s + outcome.driver.waits_s


def _stick(rows_s: FloatArray, channels: Channels, name: str, strength: int, outcome: Outcome) -> bool:
    if name not in channels:
        return False
    after_s = _launch_s(outcome) + (6.0, 4.0, 2.0)[strength - 1]
    values = channels[name].copy()
    at = int(np.searchsorted(rows_s, after_s))
    values[at:] = values[min(at, values.size - 1)]
    channels[name] = values
    return True


def _read_open(channels: Channels, name: str) -> bool:
    """A temperature as a control unit shows it with an open circuit."""
    if name not in channels:
        return False
    channels[name] = np.full_like(channels[name], -40.0)
    return True


def _scale(channels: Channels, name: str, factor: float) -> bool:
    if name not in channels:
        return False
    channels[name] = factor * channels[name]
    return True


def pressure_stuck(rows_s: FloatArray, channels: Channels, strength: int, outcome: Outcome) -> bool:
    """The pressure sensor freezes in the middle of the pass."""
    return _stick(rows_s, channels, "manifold_pressure_kpa", strength, outcome)


def wheel_stuck(rows_s: FloatArray, channels: Channels, strength: int, outcome: Outcome) -> bool:
    """A wheel speed sensor freezes in the middle of the pass."""
    return _stick(rows_s, channels, "wheel_speed_rl_mps", strength, outcome)


def pressure_clipped(_rows_s: FloatArray, channels: Channels, strength: int, _outcome: Outcome) -> bool:
    """A pressure sensor that ends below what the engine makes."""
    if "manifold_pressure_kpa" not in channels:
        return False
    values = channels["manifold_pressure_kpa"]
    channels["manifold_pressure_kpa"] = np.minimum(values, (0.96, 0.90, 0.82)[strength - 1] * values.max())
    return True


def pressure_offset(_rows_s: FloatArray, channels: Channels, strength: int, _outcome: Outcome) -> bool:
    """A pressure sensor that reads high, at standstill too."""
    if "manifold_pressure_kpa" not in channels:
        return False
    channels["manifold_pressure_kpa"] = channels["manifold_pressure_kpa"] + (6.0, 12.0, 20.0)[strength - 1]
    return True


def axles_swapped(_rows_s: FloatArray, channels: Channels, _strength: int, _outcome: Outcome) -> bool:
    """Front and rear wheel speed sensors on each other's plugs."""
    pairs = (("wheel_speed_fl_mps", "wheel_speed_rl_mps"), ("wheel_speed_fr_mps", "wheel_speed_rr_mps"))
    if not all(name in channels for pair in pairs for name in pair):
        return False
    for front, rear in pairs:
        channels[front], channels[rear] = channels[rear], channels[front]
    return True


def accelerometer_reversed(_rows_s: FloatArray, channels: Channels, _strength: int, _outcome: Outcome) -> bool:
    """The box with the accelerometer mounted back to front."""
    if "longitudinal_acceleration_mps2" not in channels:
        return False
    channels["longitudinal_acceleration_mps2"] = -channels["longitudinal_acceleration_mps2"]
    return True


def temperature_dead(_rows_s: FloatArray, channels: Channels, _strength: int, _outcome: Outcome) -> bool:
    """A charge temperature sensor with a broken wire: the control unit shows its lowest reading."""
    return _read_open(channels, "charge_temperature_c")


def lambda_stuck(rows_s: FloatArray, channels: Channels, strength: int, outcome: Outcome) -> bool:
    """An oxygen sensor that has died in the middle of the pass."""
    return _stick(rows_s, channels, "lambda_bank1", strength, outcome)


def rail_sensor_stuck(rows_s: FloatArray, channels: Channels, strength: int, outcome: Outcome) -> bool:
    """The rail pressure sensor freezes in the middle of the pass."""
    return _stick(rows_s, channels, "rail_pressure_kpa", strength, outcome)


def input_speed_stuck(rows_s: FloatArray, channels: Channels, strength: int, outcome: Outcome) -> bool:
    """The input speed sensor of the gearbox freezes in the middle of the pass."""
    return _stick(rows_s, channels, "input_shaft_rpm", strength, outcome)


def throttle_reads_low(_rows_s: FloatArray, channels: Channels, strength: int, _outcome: Outcome) -> bool:
    """A worn throttle sensor: the throttle opens, its signal does not say so."""
    return _scale(channels, "throttle", (0.88, 0.78, 0.65)[strength - 1])


def pedal_reads_low(_rows_s: FloatArray, channels: Channels, strength: int, _outcome: Outcome) -> bool:
    """A worn pedal sensor: the foot is down, its signal does not say so."""
    return _scale(channels, "pedal", (0.88, 0.78, 0.65)[strength - 1])


def coolant_sensor_open(_rows_s: FloatArray, channels: Channels, _strength: int, _outcome: Outcome) -> bool:
    """The wire of the coolant sensor is broken: the control unit shows its lowest reading."""
    return _read_open(channels, "coolant_temperature_c")


def gearbox_sensor_open(_rows_s: FloatArray, channels: Channels, _strength: int, _outcome: Outcome) -> bool:
    """The wire of the gearbox oil sensor is broken: the control unit shows its lowest reading."""
    return _read_open(channels, "gearbox_oil_temperature_c")


def rail_pressure_high(_rows_s: FloatArray, channels: Channels, strength: int, _outcome: Outcome) -> bool:
    """A fuel pressure regulator that does not let go; the trims still hold the mixture."""
    return _scale(channels, "rail_pressure_kpa", (1.12, 1.22, 1.35)[strength - 1])


def voltage_high(_rows_s: FloatArray, channels: Channels, strength: int, _outcome: Outcome) -> bool:
    """The alternator's regulator does not hold back."""
    if "battery_v" not in channels:
        return False
    channels["battery_v"] = channels["battery_v"] + (1.2, 1.8, 2.6)[strength - 1]
    return True


def dropout(rows_s: FloatArray, channels: Channels, strength: int, outcome: Outcome) -> bool:
    """Nothing written for a while in the middle of the pass: empty cells."""
    start_s = _launch_s(outcome) + 3.0
    gone = (rows_s > start_s) & (rows_s < start_s + (0.4, 0.9, 2.0)[strength - 1])
    for name, values in channels.items():
        channels[name] = np.where(gone, np.nan, values)
    return bool(gone.any())


def gps_lost(rows_s: FloatArray, channels: Channels, strength: int, outcome: Outcome) -> bool:
    """The receiver loses its fix and holds the last speed."""
    if "gps_speed_mps" not in channels:
        return False
    start_s = _launch_s(outcome) + 4.0
    values = channels["gps_speed_mps"].copy()
    gone = (rows_s > start_s) & (rows_s < start_s + (1.0, 2.0, 4.0)[strength - 1])
    if gone.any():
        values[gone] = values[np.argmax(gone)]
    channels["gps_speed_mps"] = values
    return bool(gone.any())
