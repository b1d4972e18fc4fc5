"""What an invented car truly is, beside what its owner believes.

`ProvingCar` holds both: `believed`, the `Car` that the owner's file describes, and the truth by part. No reader of
logs ever sees the truth. The defaults are mid values of the trade (common practice, memory); `fleet` and `demo_car`
set what makes a car its own.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from nextpass.car import Car


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueChassis:
    """Mass and its place, drag, squat; `pitch_deg_per_g` is the steady squat of the body on its springs."""

    mass_kg: float
    wheelbase_m: float
    cg_height_m: float
    front_weight_share: float
    drag_area_m2: float
    rolling_resistance: float
    left_weight_share: float = 0.505
    rolling_growth_s2pm2: float = 1.2e-4
    pitch_deg_per_g: float = 2.4
    pitch_frequency_hz: float = 1.5
    pitch_damping_ratio: float = 0.35
    anti_pitch: float = 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueTyres:
    """Tyres: grip by axle at nominal load and best temperature; growth is that of the radius at 60 m/s."""

    rolling_radius_m: float
    front_friction: float
    rear_friction: float
    peak_slip: float
    shape_c: float = 1.55
    curvature_e: float = 0.30
    growth_at_60_mps: float = 0.008
    load_sensitivity: float = 0.06
    relaxation_m: float = 0.35
    best_c: float = 68.0
    width_k: float = 150.0
    tread_heat_j_per_k: float = 4500.0
    cooling_s: float = 25.0
    burnout_k: float = 28.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueDriveline:
    """Ratios, losses, split and elasticity; inertias of gearbox and wheel at their own speed."""

    gear_ratios: tuple[float, ...]
    final_drive: float
    efficiency: float
    front_drive_share: float
    coupling_nms: float
    engine_inertia_kgm2: float
    wheel_inertia_kgm2: float
    spin_drag_nm: float = 18.0
    coupling_max_nm: float = 900.0
    axle_lock_nms: float = 60.0
    axle_lock_nm: float = 60.0
    axle_lock_bias: float = 0.20
    shaft_stiffness_nmprad: float = 14000.0
    shaft_damping_nms: float = 90.0
    box_inertia_kgm2: float = 2.4


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueClutch:
    """Both packs: capacity at hand-warm, friction that rises to its slip speed, fade, launch and shift control."""

    capacity_nm: tuple[float, float]
    heat_capacity_j_per_k: float
    friction_rise: float = 0.06
    friction_rise_radps: float = 25.0
    fade_above_c: float = 190.0
    fade_per_k: float = 0.0015
    cooling_s: float = 9.0
    lag_s: float = 0.018
    bite_delay_s: float = 0.05
    launch_ramp_s: float = 0.22
    launch_torque_ratio: float = 0.97
    slip_gain_nms: float = 4.0
    handover_s: float = 0.05
    inertia_s: float = 0.09
    cut_fraction: float = 0.45
    shift_lead_s: float = 0.05
    slow_shift_chance: float = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueEngine:
    """Breathing by its own shape, efficiency, friction; spark behind the best by fuel [deg] at 200 kPa.

    `idle_roughness_rpm` is the standard deviation of the idle.
    """

    displacement_l: float
    cylinders: int
    idle_rpm: float
    idle_roughness_rpm: float = 5.0
    rev_limit_rpm: float
    best_filling_rpm: float
    filling: float
    filling_low: float
    filling_high: float
    filling_ripple: float
    indicated_efficiency: float
    friction_scale: float = 1.15
    pumping: float = 0.55
    spark_curve: float = 0.00055
    spark_behind_deg: Mapping[str, float]
    knock_onset_kpa: Mapping[str, float]
    knock_per_k: float = 0.0028
    knock_speed: float = 0.05
    wot_lambda: float = 0.82
    torque_lag_s: float = 0.010
    torque_return_s: float = 0.045


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueCharge:
    """Turbocharger, wastegate control and intercooler.

    `reference_energy_j` is the turbine's at the reference pressure ratio; `spray_gain` is the share by which a spray on
    the cooler, where the owner has the switch for one, truly cools it better: the planner has to find out.
    """

    reference_pressure_kpa: float
    turbine_flow_kgps_per_pa: float
    reference_energy_j: float
    reference_flow_kgps: float
    compressor_efficiency: float = 0.73
    turbine_efficiency: float = 0.66
    exhaust_k: float = 1180.0
    spool_k: float = 260.0
    intake_loss_kpa: float = 2.5
    charge_loss_kpa: float = 7.0
    target_rate_kpa_per_s: float = 900.0
    wastegate_gain_per_kpa: float = 0.010
    wastegate_lead_s: float = 0.10
    wastegate_integral_per_kpas: float = 0.035
    wastegate_lag_s: float = 0.07
    wastegate_limit: float = 0.80
    base_map: float = 1.03
    intercooler: float = 0.76
    intercooler_fall: float = 0.06
    core_heat_j_per_k: float = 15000.0
    core_still_w_per_k: float = 120.0
    core_moving_j_per_k_m: float = 50.0
    spray_gain: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueFuelling:
    """Injectors, rail, pumps, trims; flows as they are, not as the box says. `learned` are the long-term trims."""

    injector_count: int
    injector_flow_cc_min: float
    rated_pressure_kpa: float
    dead_time_ms: float
    pump_1_l_h: float
    pump_2_l_h: float
    pump_droop: float = 0.30
    rail_m3_per_pa: float = 4.0e-11
    bank_1_flow: float = 1.0
    bank_2_flow: float = 1.0
    learned_1: float = 0.0
    learned_2: float = 0.0
    air_error: float = 1.0
    trim_limit: float = 0.06
    trim_gain: float = 0.5
    alternator_v: float = 13.9
    voltage_drop_v: float = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueHeat:
    """Fluids: heat held and let go, and where they stand when the car stages."""

    coolant_c: float = 88.0
    oil_c: float = 95.0
    box_oil_c: float = 76.0
    coolant_j_per_k: float = 420e3
    coolant_w_per_k: float = 9000.0
    oil_j_per_k: float = 90e3
    oil_w_per_k: float = 900.0
    box_oil_j_per_k: float = 48e3
    box_oil_w_per_k: float = 120.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueSpread:
    """Standard deviations from pass to pass, as ratios unless the unit is named."""

    grip: float = 0.018
    launch_ramp: float = 0.12
    launch_torque: float = 0.03
    turbo: float = 0.02
    torque: float = 0.006
    knock_onset: float = 0.010
    shift_time: float = 0.05
    reaction_s: float = 0.12
    staging_m: float = 0.03


@dataclass(frozen=True, slots=True, kw_only=True)
class ProvingCar:
    """A car as its owner believes it and as it truly is.

    Parameters
    ----------
    believed : Car
        What the owner's car file says; what `review`, `fit` and `plan` are given.
    slip_cut : float
        Slip ratio at which the car's own control takes torque out; 0 where it has none or it is off.
    """

    believed: Car
    chassis: TrueChassis
    tyres: TrueTyres
    driveline: TrueDriveline
    clutch: TrueClutch
    engine: TrueEngine
    charge: TrueCharge
    fuelling: TrueFuelling
    heat: TrueHeat
    spread: TrueSpread
    slip_cut: float = 0.0

    @property
    def name(self) -> str:
        """The owner's name for it."""
        return self.believed.name
