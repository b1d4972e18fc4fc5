"""From a design to a `ProvingCar`: the truth sized to its figures, and the owner's file beside it."""

from nextpass.proving.design import REFERENCE_KPA, Belief, Design
from nextpass.proving.owner import owners_car
from nextpass.proving.sizing import sized_charge, sized_engine
from nextpass.proving.truth import (
    ProvingCar,
    TrueCharge,
    TrueChassis,
    TrueClutch,
    TrueDriveline,
    TrueEngine,
    TrueFuelling,
    TrueHeat,
    TrueTyres,
)


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
        believed=owners_car(design, belief, engine, charge),
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
