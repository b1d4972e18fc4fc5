"""Logs of guided tests with a known answer: idle balance, pump stages one by one, charge system leak-down, coast-downs.

Standing tests are closed forms with sensor noise on them, not the pass model: a first-order build-up and decay of a
rail, an exponential leak, trims that settle at what the banks lack. Coast-downs are passes of the model, run both ways.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Conditions, Setup
from nextpass.proving.drive import drive_pass
from nextpass.proving.driver import Driver
from nextpass.proving.logger import Logger, text_of
from nextpass.proving.outcome import Outcome
from nextpass.proving.strip import Strip
from nextpass.proving.truth import ProvingCar

FloatArray = NDArray[np.float64]
AMBIENT_KPA = 100.0
STAGE_S = 6.0
BUILD_S = 0.35
"""Time constant of a healthy pump filling the rail against the regulator [s] (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GuidedLog:
    """A log of a standing test, and the answer to it by name with unit."""

    text: str
    truth: Mapping[str, float]


def idle_balance(car: ProvingCar, logger: Logger, seed: int, seconds: float = 60.0) -> GuidedLog:
    """Warm idle in closed loop: rpm with the car's roughness, trims of both banks where they settle.

    Parameters
    ----------
    car : ProvingCar
        Its bank flows, learned trims and roughness are the truth.
    logger : Logger
    seed : int
    seconds : float
        Length [s].
    """
    rows_s, rng = _clock(logger, seconds, seed)
    fuelling = car.fuelling
    lacks = {
        1: 1.0 / (fuelling.bank_1_flow * (1.0 + fuelling.learned_1)) - 1.0,
        2: 1.0 / (fuelling.bank_2_flow * (1.0 + fuelling.learned_2)) - 1.0,
    }
    swing = np.interp(rows_s, np.arange(0.0, seconds + 1.0, 0.25), rng.standard_normal(int(4.0 * (seconds + 1.0))))
    level = np.ones_like(rows_s)
    channels = {
        "engine_rpm": car.engine.idle_rpm + car.engine.idle_roughness_rpm * swing,
        "manifold_pressure_kpa": 34.0 + rng.normal(0.0, 0.5, rows_s.size),
        "throttle": 0.05 * level,
        "coolant_temperature_c": car.heat.coolant_c * level,
        "battery_v": car.fuelling.alternator_v + rng.normal(0.0, 0.02, rows_s.size),
        "long_trim_bank1": fuelling.learned_1 * level,
        "long_trim_bank2": fuelling.learned_2 * level,
    }
    for bank, lack in lacks.items():
        # Closed loop settles within about two seconds and then hunts by a per cent (common practice).
        hunt = 0.01 * np.sign(np.sin(2.0 * np.pi * 1.3 * rows_s + bank))
        channels[f"short_trim_bank{bank}"] = lack * (1.0 - np.exp(-rows_s / 2.0)) + hunt
        channels[f"lambda_bank{bank}"] = 1.0 + lack * np.exp(-rows_s / 2.0) - hunt + rng.normal(0.0, 0.004, rows_s.size)
    truth = {
        "idle_roughness_rpm": car.engine.idle_roughness_rpm,
        "trim_bank1": lacks[1] + fuelling.learned_1,
        "trim_bank2": lacks[2] + fuelling.learned_2,
    }
    return GuidedLog(text=_text(rows_s, channels, logger), truth=truth)


def pump_stages(
    car: ProvingCar, logger: Logger, seed: int, *, first: float = 1.0, second: float = 1.0, decay_s: float = 120.0
) -> GuidedLog:
    """Engine off, each pump run alone for six seconds with as long a rest before: pressure builds, holds and decays.

    Parameters
    ----------
    car : ProvingCar
        Its rail target is what a healthy pump reaches.
    logger : Logger
    seed : int
    first, second : float
        Strength of each pump, 1 as new, 0 dead [-].
    decay_s : float
        Time constant of the pressure at rest: long where check valve and injectors are tight [s].
    """
    rows_s, rng = _clock(logger, 5.0 * STAGE_S, seed)
    target_kpa = car.fuelling.rated_pressure_kpa
    stage = np.minimum((rows_s / STAGE_S).astype(int), 4)
    strength = np.select([stage == 1, stage == 3], [first, second], 0.0)
    pressure = np.zeros_like(rows_s)
    for i in range(1, rows_s.size):
        dt = rows_s[i] - rows_s[i - 1]
        # A weak pump builds slowly and stops short: its shut-off pressure falls with the square of its strength.
        reach_kpa = min(1.6 * target_kpa * strength[i] ** 2, target_kpa)
        if reach_kpa > pressure[i - 1]:
            pressure[i] = pressure[i - 1] + dt * (reach_kpa - pressure[i - 1]) * strength[i] / BUILD_S
        else:
            pressure[i] = pressure[i - 1] * (1.0 - dt / decay_s)
    channels = {
        "engine_rpm": np.zeros_like(rows_s),
        "rail_pressure_kpa": np.maximum(pressure + rng.normal(0.0, 1.5, rows_s.size), 0.0),
        "fuel_pump_duty": np.where(stage == 1, 1.0, 0.0),
        "second_pump_on": np.where(stage == 3, 1.0, 0.0),
        "battery_v": 12.5 - 0.3 * (strength > 0.0) + rng.normal(0.0, 0.02, rows_s.size),
    }
    return GuidedLog(
        text=_text(rows_s, channels, logger),
        truth={"first_strength": first, "second_strength": second, "decay_s": decay_s},
    )


def leak_down(logger: Logger, seed: int, time_constant_s: float, start_kpa: float = 200.0) -> GuidedLog:
    """Charge system closed off, filled to a pressure and left: the pressure over ambient falls away.

    Parameters
    ----------
    logger : Logger
    seed : int
    time_constant_s : float
        Of the fall [s]: minutes where it is tight, seconds where a hose is split.
    start_kpa : float
        Absolute pressure it was filled to [kPa].
    """
    rows_s, rng = _clock(logger, 45.0, seed)
    since_s = np.maximum(rows_s - 8.0, 0.0)
    filled = np.clip((rows_s - 2.0) / 5.0, 0.0, 1.0)
    over_kpa = (start_kpa - AMBIENT_KPA) * filled * np.exp(-since_s / time_constant_s)
    pressure = AMBIENT_KPA + over_kpa + rng.normal(0.0, 0.4, rows_s.size)
    channels = {
        "engine_rpm": np.zeros_like(rows_s),
        "charge_pressure_kpa": pressure,
        "manifold_pressure_kpa": pressure,
        "barometric_pressure_kpa": np.full_like(rows_s, AMBIENT_KPA),
    }
    return GuidedLog(text=_text(rows_s, channels, logger), truth={"time_constant_s": time_constant_s})


def coast_downs(
    car: ProvingCar, strip: Strip, conditions: Conditions, setup: Setup, seed: int
) -> tuple[Outcome, Outcome]:
    """Two long coast-downs out of gear, there and back: slope and wind change sign.

    Parameters
    ----------
    car : ProvingCar
    strip : Strip
    conditions : Conditions
        Of the way there.
    setup : Setup
    seed : int
    """
    driver = Driver(lift_after_m=-60.0, coast_s=24.0, brakes_s=1.0, hold_s=1.2)
    back = replace(conditions, slope=-conditions.slope, headwind_mps=-conditions.headwind_mps)
    there, again = (drive_pass(car, strip, way, setup, seed, driver=driver) for way in (conditions, back))
    return there, again


def _clock(logger: Logger, seconds: float, seed: int) -> tuple[FloatArray, np.random.Generator]:
    return np.arange(0.0, seconds, 1.0 / logger.rate_hz), np.random.default_rng([seed, 7005])


def _text(rows_s: FloatArray, channels: dict[str, FloatArray], logger: Logger) -> str:
    return text_of(rows_s, channels, logger, AMBIENT_KPA, 14.6)
