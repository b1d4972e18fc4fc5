"""From a true car, strip, day, setup and luck to the constants of the compiled model.

The one place of this folder that goes to base SI. The luck enters here, as factors on the constants.
"""

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Conditions, Setup
from nextpass.physics import air, atmosphere, blend, clutch
from nextpass.proving.driver import Driver, Luck
from nextpass.proving.model import CONSTANTS, GEARS
from nextpass.proving.shapes import tyre_stiffness
from nextpass.proving.strip import SPACING_M, START_M, Strip
from nextpass.proving.truth import ProvingCar

KELVIN = air.KELVIN
RADPS = clutch.RADPS_PER_RPM
GRAVITY_MPS2 = atmosphere.GRAVITY_MPS2
CLOSED_KPA = 33.0
SPRAY = "charge_spray"
NEVER_S = 1e9


def pack_pass(
    car: ProvingCar, strip: Strip, conditions: Conditions, setup: Setup, driver: Driver, luck: Luck
) -> NDArray[Any]:
    """Constants of one pass.

    Parameters
    ----------
    car : ProvingCar
        The truth.
    strip : Strip
        Where.
    conditions : Conditions
        The day.
    setup : Setup
        What is dialled in.
    driver : Driver
        Who.
    luck : Luck
        What chance gave.

    Returns
    -------
    ndarray of `CONSTANTS`, shape (1,)
        Base SI.
    """
    constants = np.zeros(1, dtype=CONSTANTS)
    row = constants[0]
    for part in (
        _of_driver(driver, luck),
        _of_day(strip, conditions, luck),
        _of_chassis(car),
        _of_tyres(car, conditions),
        _of_driveline(car),
        _of_clutch(car, luck),
        _of_engine(car, setup, conditions, luck),
        _of_charge(car, setup, conditions, luck),
        _of_fuel(car, setup),
        _of_heat(car),
    ):
        for name, value in part.items():
            row[name] = value
    row["shift_stretch"] = luck.shift_time
    if luck.slow_shift:
        row["shift_stretch"][luck.slow_shift - 1] *= 2.6
    return constants


def _of_driver(driver: Driver, luck: Luck) -> dict[str, Any]:
    release_s = driver.hold_s + luck.reaction_s
    finish_m = 402.336 + driver.lift_after_m + (luck.lift_m if driver.lift_after_m >= 0.0 else 0.0)
    return {
        "release_s": release_s,
        "lift_distance_m": min(finish_m, driver.lift_at_m),
        "lift_s": min(release_s + driver.lift_at_s, NEVER_S),
        "coast_neutral": float(driver.coasts_in_neutral),
        "brake_after_s": driver.coast_s,
        "ends_after_lift_s": driver.coast_s + driver.brakes_s,
        "end_s": 45.0,
        "brake_force_n": 6500.0,
    }


def _of_day(strip: Strip, conditions: Conditions, luck: Luck) -> dict[str, Any]:
    return {
        "ambient_pa": conditions.pressure_kpa * 1e3,
        "ambient_k": conditions.air_temperature_c + KELVIN,
        "density_kgpm3": float(
            air.density_kgpm3(conditions.air_temperature_c, conditions.pressure_kpa, conditions.humidity)
        ),
        "headwind_mps": conditions.headwind_mps,
        "gust_mps": strip.gust * (0.4 + abs(conditions.headwind_mps)),
        "gust_phase": luck.gust_phase,
        "slope": conditions.slope,
        "grip": strip.grip_at(conditions.track_temperature_c) * luck.grip,
        "grip_spacing_m": SPACING_M,
        "grip_start_m": START_M,
    }


def _of_chassis(car: ProvingCar) -> dict[str, Any]:
    chassis = car.chassis
    # Radius of gyration in pitch of about 0.46 of the wheelbase (common practice).
    moment_nm_per_g = (1.0 - chassis.anti_pitch) * chassis.mass_kg * GRAVITY_MPS2 * chassis.cg_height_m
    stiffness = moment_nm_per_g / math.radians(chassis.pitch_deg_per_g)
    rate = 2.0 * math.pi * chassis.pitch_frequency_hz
    inertia = stiffness / rate**2
    return {
        "mass_kg": chassis.mass_kg,
        "wheelbase_m": chassis.wheelbase_m,
        "cg_height_m": chassis.cg_height_m,
        "front_share": chassis.front_weight_share,
        "left_share": chassis.left_weight_share,
        "drag_area_m2": chassis.drag_area_m2,
        "rolling": chassis.rolling_resistance,
        "rolling_growth_s2pm2": chassis.rolling_growth_s2pm2,
        "pitch_inertia_kgm2": inertia,
        "pitch_stiffness_nmprad": stiffness,
        "pitch_damping_nmsprad": 2.0 * chassis.pitch_damping_ratio * rate * inertia,
        "anti_pitch": chassis.anti_pitch,
    }


def _of_tyres(car: ProvingCar, conditions: Conditions) -> dict[str, Any]:
    tyres = car.tyres
    spin_radps = 60.0 / tyres.rolling_radius_m
    return {
        "radius_m": tyres.rolling_radius_m,
        "radius_growth_s2": tyres.growth_at_60_mps / spin_radps**2,
        "front_friction": tyres.front_friction,
        "rear_friction": tyres.rear_friction,
        "tyre_b": tyre_stiffness(tyres),
        "tyre_c": tyres.shape_c,
        "tyre_e": tyres.curvature_e,
        "load_sensitivity": tyres.load_sensitivity,
        "nominal_load_n": 0.25 * car.chassis.mass_kg * GRAVITY_MPS2,
        "relaxation_m": tyres.relaxation_m,
        "best_tyre_k": tyres.best_c + KELVIN,
        "tyre_width_k": tyres.width_k,
        "tyre_heat_jpk": tyres.tread_heat_j_per_k,
        "tyre_cooling_s": tyres.cooling_s,
        "tyre_track_k": conditions.track_temperature_c + KELVIN,
        "peak_slip": tyres.peak_slip,
        "burnout_k": tyres.burnout_k,
    }


def _of_driveline(car: ProvingCar) -> dict[str, Any]:
    line = car.driveline
    ratios = np.zeros(GEARS)
    ratios[: len(line.gear_ratios)] = line.gear_ratios
    return {
        "gear_ratio": ratios,
        "gear_count": len(line.gear_ratios),
        "final_drive": line.final_drive,
        "efficiency": line.efficiency,
        "spin_drag_nm": line.spin_drag_nm,
        "front_drive_share": line.front_drive_share,
        "coupling_nms": line.coupling_nms,
        "coupling_max_nm": line.coupling_max_nm,
        "axle_lock_nms": line.axle_lock_nms,
        "axle_lock_nm": line.axle_lock_nm,
        "axle_lock_bias": line.axle_lock_bias,
        "shaft_stiffness_nmprad": line.shaft_stiffness_nmprad,
        "shaft_damping_nms": line.shaft_damping_nms,
        "engine_inertia_kgm2": line.engine_inertia_kgm2,
        "box_inertia_kgm2": line.box_inertia_kgm2,
        "wheel_inertia_kgm2": line.wheel_inertia_kgm2,
    }


def _of_clutch(car: ProvingCar, luck: Luck) -> dict[str, Any]:
    clutch = car.clutch
    return {
        "capacity_nm": clutch.capacity_nm,
        "friction_rise": clutch.friction_rise,
        "friction_rise_radps": clutch.friction_rise_radps,
        "fade_k": clutch.fade_above_c + KELVIN,
        "fade_per_k": clutch.fade_per_k,
        "pack_heat_jpk": clutch.heat_capacity_j_per_k,
        "pack_cooling_s": clutch.cooling_s,
        "clutch_lag_s": clutch.lag_s,
        "bite_delay_s": clutch.bite_delay_s,
        "launch_ramp_s": clutch.launch_ramp_s * luck.launch_ramp,
        "launch_torque_ratio": clutch.launch_torque_ratio * luck.launch_torque,
        "slip_gain_nms": clutch.slip_gain_nms,
        "handover_s": clutch.handover_s,
        "inertia_s": clutch.inertia_s,
        "cut_fraction": clutch.cut_fraction,
        "shift_lead_s": clutch.shift_lead_s,
    }


def _of_engine(car: ProvingCar, setup: Setup, conditions: Conditions, luck: Luck) -> dict[str, Any]:
    engine = car.engine
    fuel = car.believed.fuels[setup.fuel]
    dry = air.dry_pressure_kpa(conditions.air_temperature_c, conditions.pressure_kpa, conditions.humidity)
    energy = blend.blend_heating_value_jpkg(fuel.ethanol) / blend.blend_stoichiometric_afr(fuel.ethanol)
    behind = engine.spark_behind_deg[setup.fuel]
    return {
        "displacement_m3": engine.displacement_l * 1e-3,
        "indicated_efficiency": engine.indicated_efficiency * luck.torque,
        # Vapour takes the place of air that could burn.
        "air_energy_jpkg": float(energy * dry) / conditions.pressure_kpa,
        "friction_scale": engine.friction_scale,
        "pumping": engine.pumping,
        "idle_radps": engine.idle_rpm * RADPS,
        "rev_limit_radps": engine.rev_limit_rpm * RADPS,
        "launch_radps": setup.launch_rpm * RADPS,
        "shift_radps": setup.shift_rpm * RADPS,
        "misfire_pa": 1e9,
        "slip_cut": car.slip_cut,
        "slip_cut_gain": 2.5,
        "torque_lag_s": engine.torque_lag_s,
        "torque_return_s": engine.torque_return_s,
        "onset_pa": engine.knock_onset_kpa[setup.fuel] * 1e3 * luck.knock_onset,
        "onset_per_k": engine.knock_per_k,
        "onset_speed": engine.knock_speed,
        "knock_gain_degppa": 0.13e-3,
        "knock_attack_s": 0.12,
        "knock_decay_s": 1.4,
        "knock_limit_deg": 12.0,
        "spark_base_deg": behind,
        "spark_behind_degpk": 0.08,
        "spark_curve": engine.spark_curve,
        "ignition_deg": 20.0 - behind,
        "wot_lambda": engine.wot_lambda,
    }


def _of_charge(car: ProvingCar, setup: Setup, conditions: Conditions, luck: Luck) -> dict[str, Any]:
    charge = car.charge
    spray = charge.spray_gain if setup.values.get(SPRAY) is True else 0.0
    caps = np.zeros(GEARS)
    caps[: len(setup.gear_pressure_cap_kpa)] = np.asarray(setup.gear_pressure_cap_kpa) * 1e3
    return {
        "launch_pa": setup.launch_pressure_kpa * 1e3,
        "gear_pa": caps,
        "spool_k": charge.spool_k,
        "pressure_ratio_span": (charge.reference_pressure_kpa + charge.charge_loss_kpa) / 98.8 - 1.0,
        "turbine_flow_kgpspa": charge.turbine_flow_kgps_per_pa,
        "turbine_efficiency": charge.turbine_efficiency * luck.turbo,
        "exhaust_k": charge.exhaust_k,
        "reference_energy_j": charge.reference_energy_j,
        "turbo_drag": 0.15,
        "compressor_efficiency": charge.compressor_efficiency,
        "intake_loss_pa": charge.intake_loss_kpa * 1e3,
        "charge_loss_pa": charge.charge_loss_kpa * 1e3,
        "reference_flow_kgps": charge.reference_flow_kgps,
        "target_rate_paps": charge.target_rate_kpa_per_s * 1e3,
        "wastegate_gain_ppa": charge.wastegate_gain_per_kpa * 1e-3,
        "wastegate_lead_s": charge.wastegate_lead_s,
        "wastegate_integral_ppas": charge.wastegate_integral_per_kpas * 1e-3,
        "wastegate_lag_s": charge.wastegate_lag_s,
        "wastegate_limit": charge.wastegate_limit,
        "base_map": charge.base_map,
        "throttle_lag_s": 0.035,
        "throttle_limit": 1.0,
        "throttle_margin_pa": 5e3,
        "throttle_gain_ppas": 1.2e-4,
        "manifold_lag_s": 0.03,
        "closed_pa": CLOSED_KPA * 1e3,
        "intercooler": charge.intercooler,
        "intercooler_fall": charge.intercooler_fall,
        "core_heat_jpk": charge.core_heat_j_per_k,
        "core_still_wpk": charge.core_still_w_per_k,
        "core_moving_jpkpm": charge.core_moving_j_per_k_m * (1.0 + spray),
        # Standing in the lanes leaves the core warmer than the air; a wet one less so, down to the wet bulb and below.
        "core_k": conditions.air_temperature_c + KELVIN + 5.0 - 12.0 * spray,
    }


def _of_fuel(car: ProvingCar, setup: Setup) -> dict[str, Any]:
    fuelling = car.fuelling
    fuel = car.believed.fuels[setup.fuel]
    return {
        "stoichiometric_afr": float(blend.blend_stoichiometric_afr(fuel.ethanol)),
        "fuel_density_kgpm3": float(blend.blend_density_kgpm3(fuel.ethanol)),
        "injector_count": fuelling.injector_count,
        "injector_m3ps": fuelling.injector_flow_cc_min * 1e-6 / 60.0,
        "rated_rail_pa": fuelling.rated_pressure_kpa * 1e3,
        "rail_target_pa": fuelling.rated_pressure_kpa * 1e3,
        "dead_time_s": fuelling.dead_time_ms * 1e-3,
        "pump_1_m3ps": fuelling.pump_1_l_h * 1e-3 / 3600.0,
        "pump_2_m3ps": fuelling.pump_2_l_h * 1e-3 / 3600.0,
        "pump_droop": fuelling.pump_droop,
        "second_pump_on": float(fuelling.pump_2_l_h > 0.0),
        "rail_m3ppa": fuelling.rail_m3_per_pa,
        "bank_1_flow": fuelling.bank_1_flow,
        "bank_2_flow": fuelling.bank_2_flow,
        "learned_1": fuelling.learned_1,
        "learned_2": fuelling.learned_2,
        "air_error": fuelling.air_error,
        "trim_limit": fuelling.trim_limit,
        "trim_gain": fuelling.trim_gain,
        "alternator_v": fuelling.alternator_v,
        "voltage_drop_v": fuelling.voltage_drop_v,
    }


def _of_heat(car: ProvingCar) -> dict[str, Any]:
    heat = car.heat
    return {
        "coolant_jpk": heat.coolant_j_per_k,
        "coolant_wpk": heat.coolant_w_per_k,
        "coolant_still_k": heat.coolant_c - 3.0 + KELVIN,
        "start_coolant_k": heat.coolant_c + KELVIN,
        "start_oil_k": heat.oil_c + KELVIN,
        "start_box_oil_k": heat.box_oil_c + KELVIN,
        "oil_jpk": heat.oil_j_per_k,
        "oil_wpk": heat.oil_w_per_k,
        "box_oil_jpk": heat.box_oil_j_per_k,
        "box_oil_wpk": heat.box_oil_w_per_k,
    }
