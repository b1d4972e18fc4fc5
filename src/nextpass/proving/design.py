"""From a design in a calibrator's figures to a `ProvingCar`: the truth sized to it, and the owner's file beside it.

A `Design` says what the car truly is; a `Belief` by how much its owner is wrong. The owner's torque curve is the true
one, read off at seven speeds with his error of level and tilt; everything that he cannot know he guesses.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from nextpass.car import (
    FUEL,
    GEAR_PRESSURE_CAP,
    LAUNCH_PRESSURE,
    LAUNCH_RPM,
    SHIFT_RPM,
    Adjuster,
    Car,
    Chassis,
    Clutch,
    Driveline,
    Engine,
    Fuel,
    FuelSystem,
    Guards,
    Pump,
    Tyres,
)
from nextpass.proving.sizing import sized_charge, sized_engine, torque_curve_nm
from nextpass.proving.truth import (
    ProvingCar,
    TrueCharge,
    TrueChassis,
    TrueClutch,
    TrueDriveline,
    TrueEngine,
    TrueFuelling,
    TrueHeat,
    TrueSpread,
    TrueTyres,
)

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


def build(design: Design, belief: Belief) -> ProvingCar:
    """The car, true and believed.

    Parameters
    ----------
    design : Design
        The truth in figures.
    belief : Belief
        The owner's errors.

    Returns
    -------
    ProvingCar
    """
    main_fuel = next(iter(design.fuels.values()))
    engine = TrueEngine(
        displacement_l=design.displacement_l,
        cylinders=design.cylinders,
        idle_rpm=850.0,
        rev_limit_rpm=design.rev_limit_rpm,
        best_filling_rpm=design.best_filling_rpm,
        filling=0.97,
        filling_low=0.32,
        filling_high=design.filling_high,
        filling_ripple=0.012,
        indicated_efficiency=0.38,
        spark_behind_deg={name: fuel.spark_behind_deg for name, fuel in design.fuels.items()},
        knock_onset_kpa={name: fuel.knock_onset_kpa for name, fuel in design.fuels.items()},
    )
    charge = sized_charge(
        TrueCharge(
            reference_pressure_kpa=REFERENCE_KPA,
            turbine_flow_kgps_per_pa=0.0,
            reference_energy_j=0.0,
            reference_flow_kgps=0.0,
            wastegate_lead_s=design.wastegate_lead_s,
            intercooler=design.intercooler,
            spray_gain=design.spray_gain,
        ),
        engine,
        design.threshold_rpm,
        design.rise_time_s,
    )
    engine = sized_engine(engine, charge, design.peak_torque_nm, main_fuel.spark_behind_deg)
    return ProvingCar(
        believed=_believed(design, belief, engine, charge),
        chassis=TrueChassis(
            mass_kg=design.mass_kg,
            wheelbase_m=design.wheelbase_m,
            cg_height_m=design.cg_height_m,
            front_weight_share=design.front_weight_share,
            drag_area_m2=design.drag_area_m2,
            rolling_resistance=design.rolling_resistance,
        ),
        tyres=TrueTyres(
            rolling_radius_m=design.rolling_radius_m,
            front_friction=design.front_friction,
            rear_friction=design.rear_friction,
            peak_slip=design.peak_slip,
            shape_c=design.slip_shape,
        ),
        driveline=TrueDriveline(
            gear_ratios=design.gear_ratios,
            final_drive=design.final_drive,
            efficiency=design.efficiency,
            front_drive_share=design.front_drive_share,
            coupling_nms=design.coupling_nms,
            engine_inertia_kgm2=design.engine_inertia_kgm2,
            wheel_inertia_kgm2=design.wheel_inertia_kgm2,
        ),
        clutch=TrueClutch(
            capacity_nm=design.clutch_capacity_nm,
            heat_capacity_j_per_k=design.clutch_heat_j_per_k,
            handover_s=0.40 * design.shift_time_s,
            inertia_s=0.75 * design.shift_time_s,
            launch_torque_ratio=design.launch_torque_ratio,
        ),
        engine=engine,
        charge=charge,
        fuelling=TrueFuelling(
            injector_count=design.cylinders,
            injector_flow_cc_min=design.injector_flow_cc_min,
            rated_pressure_kpa=design.rated_pressure_kpa,
            dead_time_ms=0.9,
            pump_1_l_h=design.pump_1_l_h,
            pump_2_l_h=design.pump_2_l_h,
        ),
        heat=TrueHeat(),
        spread=design.spread,
    )


def _believed(design: Design, belief: Belief, engine: TrueEngine, charge: TrueCharge) -> Car:
    return Car(
        name=design.name,
        chassis=Chassis(
            mass_kg=_rounded(design.mass_kg * belief.mass, 5.0),
            wheelbase_m=design.wheelbase_m,
            cg_height_m=_rounded(design.cg_height_m, 0.01),
            front_weight_share=_rounded(design.front_weight_share, 0.01),
            drag_area_m2=_rounded(design.drag_area_m2 * belief.drag, 0.01),
            rolling_resistance=0.014,
        ),
        tyres=Tyres(
            rolling_radius_m=_rounded(design.rolling_radius_m * belief.radius, 0.001),
            peak_friction=belief.peak_friction,
            peak_slip=belief.peak_slip,
        ),
        driveline=Driveline(
            gear_ratios=design.gear_ratios,
            final_drive=design.final_drive,
            efficiency=belief.efficiency,
            front_drive_share=design.front_drive_share,
            shift_time_s=belief.shift_time_s,
            engine_inertia_kgm2=_rounded(design.engine_inertia_kgm2 * belief.inertia, 0.01),
            wheel_inertia_kgm2=_rounded(design.wheel_inertia_kgm2 * belief.inertia, 0.1),
        ),
        clutch=Clutch(
            torque_capacity_nm=tuple(_rounded(nm * belief.capacity, 10.0) for nm in design.clutch_capacity_nm),
            heat_capacity_j_per_k=design.clutch_heat_j_per_k,
        ),
        engine=_believed_engine(design, belief, engine, charge),
        fuel_system=FuelSystem(
            injector_count=design.cylinders,
            injector_flow_cc_min=_rounded(design.injector_flow_cc_min * belief.injector, 10.0),
            rated_pressure_kpa=design.rated_pressure_kpa,
            tank_l=60.0,
            pumps=_pumps(design),
        ),
        fuels={
            name: Fuel(
                name=name,
                ethanol=fuel.ethanol,
                octane_ron=fuel.octane_ron,
                manifold_pressure_max_kpa=fuel.pressure_max_kpa,
            )
            for name, fuel in design.fuels.items()
        },
        guards=design.guards,
        adjusters=_adjusters(design),
        assumed=(),
        thresholds={},
    )


def _believed_engine(design: Design, belief: Belief, engine: TrueEngine, charge: TrueCharge) -> Engine:
    speeds = np.round(design.rev_limit_rpm * np.array([0.24, 0.36, 0.49, 0.62, 0.76, 0.90, 1.0]), -1)
    behind_deg = next(iter(design.fuels.values())).spark_behind_deg
    true_nm = torque_curve_nm(engine, charge, speeds, behind_deg)
    tilt = 1.0 + belief.torque_tilt * (speeds / design.rev_limit_rpm - 0.6)
    curve = zip(speeds, np.round(true_nm * belief.torque * tilt), strict=True)
    return Engine(
        displacement_l=design.displacement_l,
        cylinders=design.cylinders,
        idle_rpm=850.0,
        rev_limit_rpm=design.rev_limit_rpm,
        reference_pressure_kpa=REFERENCE_KPA,
        full_load_torque_nm=tuple((float(rpm), float(nm)) for rpm, nm in curve),
        boost_threshold_rpm=_rounded(design.threshold_rpm * belief.threshold, 50.0),
        boost_rise_time_s=_rounded(design.rise_time_s * belief.rise_time, 0.01),
    )


def _pumps(design: Design) -> tuple[Pump, ...]:
    main = Pump(name="main", drive="duty", flow_l_h=_rounded(design.pump_1_l_h, 5.0))
    if design.pump_2_l_h <= 0.0:
        return (main,)
    return main, Pump(name="second", drive="on_off", flow_l_h=_rounded(design.pump_2_l_h, 5.0))


def _adjusters(design: Design) -> dict[str, Adjuster]:
    def number(name: str, limits: tuple[float, float], step: float, per_gear: bool = False) -> Adjuster:
        low, high = limits
        return Adjuster(name=name, kind="number", minimum=low, maximum=high, step=step, per_gear=per_gear)

    found = [
        number(LAUNCH_RPM, design.launch_rpm, 100.0),
        number(LAUNCH_PRESSURE, design.launch_pressure_kpa, 5.0),
        number(GEAR_PRESSURE_CAP, design.pressure_cap_kpa, 5.0, per_gear=True),
        number(SHIFT_RPM, design.shift_rpm, 50.0),
        Adjuster(name=FUEL, kind="choice", values=tuple(design.fuels)),
        *(Adjuster(name=name, kind="switch") for name in design.switches),
    ]
    return {adjuster.name: adjuster for adjuster in found}


def _rounded(value: float, step: float) -> float:
    return round(round(value / step) * step, 6)
