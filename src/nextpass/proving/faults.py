"""Faults put into a pass on purpose, to see whether the review finds them, and what each truly costs.

A fault has a kind and a strength. Its cost is measured by a paired run: the same car, setup and luck without it.
Kinds are named for the cause, not for the finding that should point at it; `codes` are the standard trouble codes
(SAE J2012, memory) that a control unit would store for it when it is bad.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np

from nextpass.car import Conditions, Setup
from nextpass.physics import blend
from nextpass.proving import fault_kinds, log_faults
from nextpass.proving.drive import USUAL_DRIVER, drive_pass, run_packed
from nextpass.proving.driver import Driver
from nextpass.proving.logger import Logger, logged, text_of
from nextpass.proving.outcome import Outcome
from nextpass.proving.pack import pack_pass
from nextpass.proving.pass_folder import write_pass_folder
from nextpass.proving.strip import Strip
from nextpass.proving.truth import ProvingCar

Part = Literal[
    "driver", "clutch", "gearbox", "charge", "knock", "mixture", "supply", "heat", "engine", "chassis", "log"
]


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultKind:
    """One cause.

    Parameters
    ----------
    part : Part
        Where it sits.
    spoil : fault_kinds.Spoil or None
        What it changes of the car; None for what is wrong with the log alone.
    spoil_log : log_faults.Spoil or None
        What it changes of the channels.
    codes : tuple of str
        Trouble codes stored at strength 3.
    """

    part: Part
    spoil: fault_kinds.Spoil | None = None
    spoil_log: log_faults.Spoil | None = None
    codes: tuple[str, ...] = ()


def _car(part: Part, spoil: fault_kinds.Spoil, *codes: str) -> FaultKind:
    return FaultKind(part=part, spoil=spoil, codes=codes)


def _log(spoil: log_faults.Spoil, *codes: str) -> FaultKind:
    return FaultKind(part="log", spoil_log=spoil, codes=codes)


FAULTS: Mapping[str, FaultKind] = {
    "slippery-start": _car("driver", fault_kinds.slippery_start),
    "bog": _car("driver", fault_kinds.bog),
    "launch-hunting": _car("driver", fault_kinds.launch_hunting),
    "slow-release": _car("clutch", fault_kinds.slow_release, "P0810"),
    "early-lift": _car("driver", fault_kinds.early_lift),
    "clutch-slip": _car("clutch", fault_kinds.clutch_slip, "P0730"),
    "slow-shift": _car("gearbox", fault_kinds.slow_shift, "P0776"),
    "shift-flare": _car("gearbox", fault_kinds.shift_flare, "P0796"),
    "late-shift": _car("gearbox", fault_kinds.late_shift, "P0219"),
    "pressure-overshoot": _car("charge", fault_kinds.pressure_overshoot, "P0234"),
    "pressure-oscillation": _car("charge", fault_kinds.pressure_oscillation, "P2263"),
    "charge-leak": _car("charge", fault_kinds.charge_leak, "P0299"),
    "wastegate-stuck-open": _car("charge", fault_kinds.wastegate_stuck_open, "P0299", "P2263"),
    "wastegate-creep": _car("charge", fault_kinds.wastegate_creep, "P0234"),
    "slow-rise": _car("charge", fault_kinds.slow_rise, "P0299"),
    "throttle-closed": _car("engine", fault_kinds.throttle_closed, "P2101"),
    "bad-fuel": _car("knock", fault_kinds.bad_fuel, "P2336", "P2339"),
    "lean": _car("mixture", fault_kinds.lean, "P0171", "P0174"),
    "rich": _car("mixture", fault_kinds.rich, "P0172", "P0175"),
    "banks-apart": _car("mixture", fault_kinds.banks_apart, "P0174"),
    "injectors-small": _car("supply", fault_kinds.injectors_small, "P0171", "P0174"),
    "second-pump-dead": _car("supply", fault_kinds.second_pump_dead, "P0087", "P0627"),
    "pumps-weak": _car("supply", fault_kinds.pumps_weak, "P0087"),
    "misfire": _car("engine", fault_kinds.misfire, "P0300"),
    "heat-soak": _car("heat", fault_kinds.heat_soak, "P0127"),
    "cooler-blocked": _car("heat", fault_kinds.cooler_blocked, "P0127"),
    "coolant-hot": _car("heat", fault_kinds.coolant_hot, "P0217"),
    "oil-hot": _car("heat", fault_kinds.oil_hot, "P0298"),
    "gearbox-oil-hot": _car("heat", fault_kinds.gearbox_oil_hot, "P0218"),
    "battery-sag": _car("engine", fault_kinds.battery_sag, "P0562"),
    "car-cut": _car("engine", fault_kinds.car_cut),
    "dragging-brake": _car("chassis", fault_kinds.dragging_brake),
    "pressure-stuck": _log(log_faults.pressure_stuck, "P0236"),
    "pressure-clipped": _log(log_faults.pressure_clipped, "P0238"),
    "pressure-offset": _log(log_faults.pressure_offset, "P0236"),
    "wheel-stuck": _log(log_faults.wheel_stuck, "C0035"),
    "axles-swapped": _log(log_faults.axles_swapped),
    "accelerometer-reversed": _log(log_faults.accelerometer_reversed),
    "temperature-dead": _log(log_faults.temperature_dead, "P0113"),
    "dropout": _log(log_faults.dropout),
    "gps-lost": _log(log_faults.gps_lost),
}
"""Every kind that a review may find, by its name; those without codes are the driver's, the track's or the logger's."""

CODE_FAULTS: Mapping[str, FaultKind] = {
    "lambda-stuck": _log(log_faults.lambda_stuck, "P0134"),
    "throttle-reads-low": _log(log_faults.throttle_reads_low, "P0121"),
    "pedal-reads-low": _log(log_faults.pedal_reads_low, "P2138"),
    "coolant-sensor-open": _log(log_faults.coolant_sensor_open, "P0118"),
    "gearbox-sensor-open": _log(log_faults.gearbox_sensor_open, "P0713"),
    "rail-sensor-stuck": _log(log_faults.rail_sensor_stuck, "P0191"),
    "rail-pressure-high": _log(log_faults.rail_pressure_high, "P0088"),
    "input-speed-stuck": _log(log_faults.input_speed_stuck, "P0715"),
    "voltage-high": _log(log_faults.voltage_high, "P0563"),
}
"""Further kinds that leave the pass as it is and are known by their codes before anything else."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """A kind at a strength of 1, 2 or 3."""

    kind: str
    strength: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultyPass:
    """A pass with a fault in it, and the same pass without.

    Parameters
    ----------
    fault : Fault
    outcome, clean : Outcome
        With the fault and without; the same luck. One object where the fault is in the log alone.
    cost_s : float
        ET lost to the fault [s]; nan where the pass did not reach the line with it.
    """

    fault: Fault
    outcome: Outcome
    clean: Outcome
    cost_s: float

    @property
    def can_break(self) -> bool:
        """Whether the car itself was in danger: by its owner's guards, or by what no engine bears for long.

        Beside the guards: coolant over 112 °C, oil over 135 °C, a clutch that slipped after it had closed.
        """
        guards, limits = self.outcome.guards, self.outcome.car.believed.guards
        return (
            guards.wot_lambda > limits.wot_lambda_max
            or guards.knock_retard_deg > limits.knock_retard_deg
            or guards.injector_duty > limits.injector_duty
            or guards.rail_pressure_drop > limits.rail_pressure_drop
            or guards.gearbox_oil_c > limits.gearbox_oil_c
            or guards.coolant_c > 112.0
            or guards.oil_c > 135.0
            or sum(self.outcome.clutch_slip_s) - sum(self.clean.clutch_slip_s) > 0.2
        )


def drive_faulty(
    car: ProvingCar,
    strip: Strip,
    conditions: Conditions,
    setup: Setup,
    fault: Fault,
    seed: int,
    driver: Driver = USUAL_DRIVER,
) -> FaultyPass:
    """A pass with a fault, and its clean twin.

    Parameters
    ----------
    car : ProvingCar
    strip : Strip
    conditions : Conditions
    setup : Setup
    fault : Fault
    seed : int
        Of the luck of both.
    driver : Driver

    Returns
    -------
    FaultyPass
    """
    clean = drive_pass(car, strip, conditions, setup, seed, driver=driver)
    spoil = _kind(fault).spoil
    if spoil is None:
        return FaultyPass(fault=fault, outcome=clean, clean=clean, cost_s=0.0)
    constants = pack_pass(car, strip, conditions, setup, driver, clean.luck).view(np.recarray)
    spoil(constants[0], fault.strength, clean)
    spoilt = run_packed(constants, car, strip, conditions, setup, driver, clean.luck, seed)
    times = spoilt.clocks.et_s, clean.clocks.et_s
    cost_s = times[0] - times[1] if times[0] is not None and times[1] is not None else np.nan
    return FaultyPass(fault=fault, outcome=spoilt, clean=clean, cost_s=float(cost_s))


def _kind(fault: Fault) -> FaultKind:
    return FAULTS.get(fault.kind) or CODE_FAULTS[fault.kind]


def faulty_log_text(faulty: FaultyPass, logger: Logger, seed: int) -> str:
    """The log of a faulty pass, the fault of a sensor or logger put in.

    Parameters
    ----------
    faulty : FaultyPass
    logger : Logger
    seed : int
        Draws jitter and noise.
    """
    outcome = faulty.outcome
    rows_s, channels = logged(outcome, logger, seed)
    spoil_log = _kind(faulty.fault).spoil_log
    if spoil_log is not None:
        spoil_log(rows_s, channels, faulty.fault.strength, outcome)
    fuel = outcome.car.believed.fuels[outcome.setup.fuel]
    afr = float(blend.blend_stoichiometric_afr(fuel.ethanol))
    return text_of(rows_s, channels, logger, outcome.conditions.pressure_kpa, afr)


def write_faulty_folder(faulty: FaultyPass, logger: Logger, folder: Path, number: int = 1) -> Path:
    """Pass folder of a faulty pass, without the strip's clocks.

    Parameters
    ----------
    faulty : FaultyPass
    logger : Logger
    folder : Path
    number : int
        Count on the day [1].
    """
    text = faulty_log_text(faulty, logger, faulty.outcome.seed)
    return write_pass_folder(faulty.outcome, logger, folder, number=number, text=text)
