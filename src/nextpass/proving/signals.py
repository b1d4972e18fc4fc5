"""The true signals that a car's control units could see, by the names and units of the log vocabulary.

From the trace of an outcome in base SI to channels in their canonical units, before any sensor has lagged, biased or
rounded them. Idling before the pedal goes down is put in front, so that time counts from the start of the log.
"""

import numpy as np
from numpy.typing import NDArray

from nextpass.physics import air, atmosphere, clutch
from nextpass.proving.model.control import INERTIA, LIFTED
from nextpass.proving.outcome import Outcome

FloatArray = NDArray[np.float64]
RPM = 1.0 / clutch.RADPS_PER_RPM
ZERO_C = air.KELVIN
GRAVITY_MPS2 = atmosphere.GRAVITY_MPS2


def log_clock(outcome: Outcome) -> FloatArray:
    """Times of the trace on the clock of the log, shape (n,) [s]."""
    return outcome.trace["time_s"] + outcome.driver.waits_s


def true_signals(outcome: Outcome) -> dict[str, FloatArray]:
    """Every channel as it truly was, on the clock of `log_clock`.

    Parameters
    ----------
    outcome : Outcome
        With a trace.

    Returns
    -------
    dict of str to ndarray, shape (n,)
        By canonical name, in the canonical unit.
    """
    return {
        **_of_motion(outcome),
        **_of_engine(outcome),
        **_of_charge(outcome),
        **_of_fuel(outcome),
        **_of_gearbox(outcome),
    }


def _of_motion(outcome: Outcome) -> dict[str, FloatArray]:
    trace = outcome.trace
    radius_m = outcome.car.believed.tyres.rolling_radius_m
    wheels = {
        f"wheel_speed_{name}_mps": trace["wheel_radps"][:, index] * radius_m
        for index, name in enumerate(("fl", "fr", "rl", "rr"))
    }
    # A tilted body feels gravity along its axis; nose up reads as acceleration.
    felt = trace["acceleration_mps2"] * np.cos(trace["pitch_rad"]) + GRAVITY_MPS2 * np.sin(
        trace["pitch_rad"] + np.arctan(outcome.conditions.slope)
    )
    standing = np.zeros_like(felt)
    braking = (trace["phase"] == LIFTED) & (trace["acceleration_mps2"] < -2.5)
    return {
        **wheels,
        "vehicle_speed_mps": np.mean(list(wheels.values()), axis=0),
        "gps_speed_mps": trace["speed_mps"],
        "distance_m": trace["distance_m"],
        "longitudinal_acceleration_mps2": felt,
        "lateral_acceleration_mps2": standing,
        "vertical_acceleration_mps2": standing + GRAVITY_MPS2,
        "yaw_rate_degps": standing,
        "brake_switch": braking.astype(float),
        "brake_pressure_kpa": np.where(braking, 4200.0, 0.0),
    }


def _of_engine(outcome: Outcome) -> dict[str, FloatArray]:
    trace = outcome.trace
    day = outcome.conditions
    level = np.ones_like(trace["time_s"])
    return {
        "engine_rpm": trace["engine_radps"] * RPM,
        "engine_torque_nm": trace["engine_nm"],
        "throttle": trace["throttle"],
        "pedal": trace["pedal"],
        "ignition_advance_deg": trace["ignition_deg"] - 22.0 * (1.0 - trace["torque_fraction"]),
        "knock_retard_deg": trace["knock_deg"],
        "coolant_temperature_c": trace["coolant_k"] - ZERO_C,
        "oil_temperature_c": trace["oil_k"] - ZERO_C,
        "gearbox_oil_temperature_c": trace["box_oil_k"] - ZERO_C,
        "ambient_temperature_c": level * day.air_temperature_c,
        "barometric_pressure_kpa": level * day.pressure_kpa,
        # Oil pressure as a pump with a relief valve gives it (common practice).
        "oil_pressure_kpa_gauge": np.minimum(80.0 + 0.085 * trace["engine_radps"] * RPM, 520.0),
        "battery_v": trace["battery_v"],
    }


def _of_charge(outcome: Outcome) -> dict[str, FloatArray]:
    trace = outcome.trace
    energy = outcome.car.charge.reference_energy_j
    open_pedal = trace["pedal"] > 0.5
    return {
        "manifold_pressure_kpa": trace["manifold_pa"] * 1e-3,
        "target_pressure_kpa": trace["target_pa"] * 1e-3,
        "charge_pressure_kpa": trace["charge_pa"] * 1e-3,
        "charge_temperature_c": trace["charge_k"] - ZERO_C,
        "exhaust_temperature_c": trace["exhaust_k"] - ZERO_C - 60.0,
        # Duty of a valve that bleeds the wastegate's signal: more duty, more pressure.
        "wastegate_duty": np.where(open_pedal, 1.0 - trace["wastegate_command"], 0.0),
        "mass_air_flow_kgps": trace["compressor_kgps"],
        # A turbine of this energy turns at about 140,000 rpm at the reference ratio (common practice).
        "turbo_rpm": 140e3 * np.sqrt(np.maximum(trace["turbo_j"], 0.0) / energy),
    }


def _of_fuel(outcome: Outcome) -> dict[str, FloatArray]:
    trace = outcome.trace
    level = np.ones_like(trace["time_s"])
    return {
        "lambda_bank1": trace["lambda_1"],
        "lambda_bank2": trace["lambda_2"],
        "lambda_target": trace["lambda_target"],
        "injector_duty": trace["duty"],
        "rail_pressure_kpa": trace["rail_pa"] * 1e-3,
        "rail_target_kpa": level * outcome.car.fuelling.rated_pressure_kpa,
        "fuel_pump_duty": trace["pump_duty"],
        "second_pump_on": trace["second_pump"],
        "short_trim_bank1": trace["trim_1"],
        "short_trim_bank2": trace["trim_2"],
        "long_trim_bank1": level * outcome.car.fuelling.learned_1,
        "long_trim_bank2": level * outcome.car.fuelling.learned_2,
        "ethanol": level * outcome.car.believed.fuels[outcome.setup.fuel].ethanol,
    }


def _of_gearbox(outcome: Outcome) -> dict[str, FloatArray]:
    trace = outcome.trace
    gear = trace["gear"]
    holder = (gear.astype(int) - 1) % 2
    rows = np.arange(gear.size)
    clamp = np.minimum(trace["clamp_nm"], np.asarray(outcome.car.clutch.capacity_nm))
    # Pressure by clamp: the spring takes 60 kPa before the pack bites (common practice).
    pressure = np.where(clamp > 0.0, 60.0 + 1.1 * clamp, 0.0)
    is_shifting = trace["phase"] == INERTIA
    return {
        "gear": gear,
        "clutch_torque_nm": trace["clutch_nm"].sum(axis=1),
        "clutch_a_pressure_kpa": pressure[:, 0],
        "clutch_b_pressure_kpa": pressure[:, 1],
        "input_shaft_rpm": trace["box_radps"] * trace["ratio"][rows, holder] * RPM,
        "output_shaft_rpm": trace["box_radps"] * outcome.car.driveline.final_drive * RPM,
        "shift_switch": is_shifting.astype(float),
    }
