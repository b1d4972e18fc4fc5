"""What the compiled parts work on: constants of a pass, state of the car, tally of what happened; all of it float64.

Each is a numpy record whose fields are named with their unit, and each is at the same time one flat row of floats
(`flat`), so that a trace is the state row copied, a season is a matrix, and a fault is a field multiplied.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from nextpass.physics import strip

GEARS = 10
"""Most gears that a car may have."""

WHEELS = 4
"""Front left, front right, rear left, rear right."""


def _record(scalars: str, **arrays: int) -> np.dtype[Any]:
    fields: list[Any] = [(name, "f8") for name in scalars.split()]
    return np.dtype([*fields, *((name, "f8", (length,)) for name, length in arrays.items())])


CONSTANTS = _record(
    # the pass and the driver; finish is where the throttle is lifted
    "release_s lift_distance_m lift_s coast_neutral brake_after_s ends_after_lift_s end_s slip_cut slip_cut_gain"
    # air and strip
    " ambient_pa ambient_k density_kgpm3 headwind_mps gust_mps gust_phase slope grip grip_spacing_m grip_start_m"
    # chassis
    " mass_kg wheelbase_m cg_height_m front_share left_share drag_area_m2 rolling rolling_growth_s2pm2"
    " pitch_inertia_kgm2 pitch_stiffness_nmprad pitch_damping_nmsprad anti_pitch brake_force_n"
    # tyres
    " radius_m radius_growth_s2 front_friction rear_friction tyre_b tyre_c tyre_e load_sensitivity nominal_load_n"
    " relaxation_m best_tyre_k tyre_width_k tyre_heat_jpk tyre_cooling_s tyre_track_k peak_slip burnout_k"
    # driveline
    " final_drive efficiency spin_drag_nm front_drive_share coupling_nms coupling_max_nm axle_lock_nms axle_lock_nm"
    " axle_lock_bias shaft_stiffness_nmprad shaft_damping_nms engine_inertia_kgm2 box_inertia_kgm2 wheel_inertia_kgm2"
    # clutch and gearbox
    " friction_rise friction_rise_radps fade_k fade_per_k pack_heat_jpk pack_cooling_s clutch_lag_s bite_delay_s"
    " launch_ramp_s launch_torque_ratio launch_overshoot slip_gain_nms handover_s inertia_s cut_fraction shift_lead_s"
    " gear_count torque_lag_s torque_return_s"
    # engine
    " displacement_m3 indicated_efficiency air_energy_jpkg friction_scale pumping idle_radps rev_limit_radps"
    " misfire misfire_pa launch_radps launch_hunting_radps shift_radps"
    # charge
    " launch_pa spool_k pressure_ratio_span turbine_flow_kgpspa turbine_efficiency exhaust_k reference_energy_j"
    " turbo_drag compressor_efficiency intake_loss_pa charge_loss_pa reference_flow_kgps leak_kgpspa target_rate_paps"
    " wastegate_gain_ppa wastegate_lead_s wastegate_integral_ppas wastegate_lag_s wastegate_limit wastegate_seat"
    " base_map throttle_lag_s throttle_limit throttle_margin_pa throttle_gain_ppas manifold_lag_s closed_pa"
    " intercooler intercooler_fall core_heat_jpk core_still_wpk core_moving_jpkpm core_k"
    # spark and knock
    " onset_pa onset_per_k onset_speed spark_base_deg knock_gain_degppa knock_attack_s knock_decay_s knock_limit_deg"
    " spark_behind_degpk spark_curve ignition_deg"
    # fuel
    " stoichiometric_afr fuel_density_kgpm3 injector_count injector_m3ps rated_rail_pa dead_time_s pump_1_m3ps"
    " pump_2_m3ps pump_droop second_pump_on rail_m3ppa rail_target_pa wot_lambda bank_1_flow bank_2_flow"
    " learned_1 learned_2 trim_limit trim_gain air_error"
    # heat and electrics
    " coolant_jpk coolant_wpk oil_jpk oil_wpk box_oil_jpk box_oil_wpk coolant_still_k start_coolant_k start_oil_k"
    " start_box_oil_k alternator_v voltage_drop_v",
    gear_ratio=GEARS,
    gear_pa=GEARS,
    shift_stretch=GEARS,
    flare_s=GEARS,
    capacity_nm=2,
)
"""Everything that does not change during one pass."""

STATE = _record(
    "time_s phase phase_since_s gear distance_m speed_mps acceleration_mps2 wind_mps pitch_rad pitch_rate_radps"
    # driveline
    " engine_radps engine_rate_radps2 box_radps twist_rad shaft_nm front_axle_nm clutch_energy_j coupling_nm"
    # engine
    " engine_nm indicated_full_nm torque_fraction fraction_target pedal throttle throttle_cut limiter_on slip_cut"
    # charge
    " turbo_j charge_pa manifold_pa target_pa wastegate wastegate_command integral seen_pa turbine_pa air_kgps"
    " compressor_kgps compressor_k charge_k core_k exhaust_k"
    # spark and knock
    " knock_deg ignition_deg spark_factor lambda_factor"
    # fuel
    " lambda_1 lambda_2 lambda_target rail_pa duty pump_duty second_pump trim_1 trim_2 battery_v fuel_kgps"
    # heat
    " coolant_k oil_k box_oil_k",
    ratio=2,
    clamp_nm=2,
    clamp_command_nm=2,
    clutch_nm=2,
    pack_k=2,
    wheel_radps=WHEELS,
    slip=WHEELS,
    load_n=WHEELS,
    force_n=WHEELS,
    tyre_k=WHEELS,
)
"""The car at one moment; a row of the trace."""

MARKS_M = (
    strip.ROLLOUT_M,
    strip.BEAM_60FT_M,
    strip.BEAM_330FT_M,
    strip.BEAM_660FT_M - strip.TRAP_LENGTH_M,
    strip.BEAM_660FT_M,
    strip.BEAM_1000FT_M,
    strip.BEAM_1320FT_M - strip.TRAP_LENGTH_M,
    strip.BEAM_1320FT_M,
)
"""Rollout, 60 ft, 330 ft, start of the 660 ft trap, 660 ft, 1000 ft, start of the trap, 1320 ft [m]."""

TALLY = _record(
    "moved_s closed_s lifted_s finish_s launch_energy_j clutch_energy_j duty knock_deg wot_lambda rail_drop charge_k"
    " coolant_k oil_k box_oil_k pack_k battery_v engine_radps overshoot_pa limiter_s cut_s bog_radps"
    # energy since the car was released, for the balance [J]
    " engine_j gear_loss_j shaft_loss_j coupling_loss_j tyre_loss_j drag_loss_j rolling_loss_j slope_j brake_loss_j",
    mark_s=len(MARKS_M),
    gear_s=GEARS,
    spin_s=GEARS,
    past_peak_s=GEARS,
    peak_pa=GEARS,
    clutch_slip_s=GEARS,
)
"""What happened: crossing times, extremes, seconds by gear, energies."""


def flat(record: NDArray[Any]) -> NDArray[np.float64]:
    """The same memory as rows of plain floats, shape (m, fields)."""
    return record.view(np.float64).reshape(record.shape[0], -1)
