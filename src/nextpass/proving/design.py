"""A car in figures that a calibrator knows, and by how much its owner is wrong about them."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from nextpass.car import Guards
from nextpass.proving.truth import TrueSpread

REFERENCE_KPA = 200.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FuelDesign:
    """A fuel in the tank: what the owner allows, and where the engine truly knocks and how far its spark stands back.

    `knock_onset_kpa` is the manifold pressure at 4500 rpm and 45 °C of charge above which it knocks.
    """

    ethanol: float
    octane_ron: float
    pressure_max_kpa: float
    knock_onset_kpa: float
    spark_behind_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """The true car in figures that a calibrator knows; forces of habit and spread have their defaults in `truth`."""

    name: str
    mass_kg: float
    wheelbase_m: float
    cg_height_m: float
    front_weight_share: float
    drag_area_m2: float
    rolling_resistance: float
    rolling_radius_m: float
    front_friction: float
    rear_friction: float
    peak_slip: float
    slip_shape: float
    gear_ratios: tuple[float, ...]
    final_drive: float
    efficiency: float
    front_drive_share: float
    coupling_nms: float
    engine_inertia_kgm2: float
    wheel_inertia_kgm2: float
    clutch_capacity_nm: tuple[float, float]
    clutch_heat_j_per_k: float
    shift_time_s: float
    displacement_l: float
    cylinders: int
    rev_limit_rpm: float
    peak_torque_nm: float
    best_filling_rpm: float
    filling_high: float
    threshold_rpm: float
    rise_time_s: float
    injector_flow_cc_min: float
    rated_pressure_kpa: float
    pump_1_l_h: float
    pump_2_l_h: float
    fuels: Mapping[str, FuelDesign]
    guards: Guards
    launch_rpm: tuple[float, float]
    launch_pressure_kpa: tuple[float, float]
    pressure_cap_kpa: tuple[float, float]
    shift_rpm: tuple[float, float]
    switches: tuple[str, ...] = ()
    spray_gain: float = 0.0
    wastegate_lead_s: float = 0.10
    intercooler: float = 0.76
    launch_torque_ratio: float = 0.97
    spread: TrueSpread = field(default_factory=TrueSpread)


@dataclass(frozen=True, slots=True, kw_only=True)
class Belief:
    """What the owner gets wrong: factors on the truth, guesses where a unit is named."""

    mass: float = 1.0
    drag: float = 1.0
    radius: float = 1.0
    torque: float = 1.0
    torque_tilt: float = 0.0
    rise_time: float = 1.0
    threshold: float = 1.0
    capacity: float = 1.0
    injector: float = 1.0
    inertia: float = 1.0
    peak_friction: float = 1.15
    peak_slip: float = 0.12
    efficiency: float = 0.88
    shift_time_s: float = 0.12
