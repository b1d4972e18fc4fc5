"""What the owner believes: the car file that he would write, wrong by his errors.

The torque curve is the true one, read off at seven speeds with his error of level and tilt; what he cannot know he
guesses. The adjusters are those that his interface offers.
"""

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
    Pump,
    Tyres,
)
from nextpass.proving.design import REFERENCE_KPA, Belief, Design
from nextpass.proving.sizing import torque_curve_nm
from nextpass.proving.truth import TrueCharge, TrueEngine


def owners_car(design: Design, belief: Belief, engine: TrueEngine, charge: TrueCharge) -> Car:
    """The car as its owner's file describes it.

    Parameters
    ----------
    design : Design
        What is true.
    belief : Belief
        By how much he is wrong.
    engine : TrueEngine
    charge : TrueCharge
        Both already sized: the torque curve is theirs.

    Returns
    -------
    Car
    """
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
