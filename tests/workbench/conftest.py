"""An invented car, and the day on which its sums are done."""

import pytest

from nextpass.car import (
    Adjuster,
    Car,
    Chassis,
    Clutch,
    Conditions,
    Driveline,
    Engine,
    Fuel,
    FuelSystem,
    Guards,
    Pump,
    Setup,
    Tyres,
)


def number(name, minimum, maximum, step, *, per_gear=False):
    return Adjuster(name=name, kind="number", minimum=minimum, maximum=maximum, step=step, per_gear=per_gear)


@pytest.fixture(scope="session")
def car():
    adjusters = [
        number("launch_rpm", 2200.0, 5200.0, 100.0),
        number("launch_pressure_kpa", 100.0, 190.0, 5.0),
        number("gear_pressure_cap_kpa", 120.0, 260.0, 5.0, per_gear=True),
        number("shift_rpm", 6000.0, 7100.0, 50.0),
        Adjuster(name="fuel", kind="choice", values=("road98", "E60")),
        Adjuster(name="charge_spray", kind="switch"),
    ]
    fuels = [
        Fuel(name="road98", ethanol=0.05, octane_ron=98.0, manifold_pressure_max_kpa=215.0),
        Fuel(name="E60", ethanol=0.60, octane_ron=106.0, manifold_pressure_max_kpa=260.0),
    ]
    return Car(
        name="Bench car",
        chassis=Chassis(
            mass_kg=1795.0,
            wheelbase_m=2.78,
            cg_height_m=0.50,
            front_weight_share=0.54,
            drag_area_m2=0.62,
            rolling_resistance=0.014,
        ),
        tyres=Tyres(rolling_radius_m=0.347, peak_friction=1.15, peak_slip=0.12),
        driveline=Driveline(
            gear_ratios=(4.06, 2.30, 1.59, 1.25),
            final_drive=3.70,
            efficiency=0.88,
            front_drive_share=0.40,
            shift_time_s=0.12,
            engine_inertia_kgm2=0.20,
            wheel_inertia_kgm2=1.5,
        ),
        clutch=Clutch(torque_capacity_nm=(970.0, 990.0), heat_capacity_j_per_k=6000.0),
        engine=Engine(
            displacement_l=3.6,
            cylinders=6,
            idle_rpm=850.0,
            rev_limit_rpm=7200.0,
            reference_pressure_kpa=200.0,
            full_load_torque_nm=((1500.0, 330.0), (3500.0, 660.0), (5500.0, 650.0), (6500.0, 590.0), (7200.0, 520.0)),
            boost_threshold_rpm=2600.0,
            boost_rise_time_s=0.45,
        ),
        fuel_system=FuelSystem(
            injector_count=6,
            injector_flow_cc_min=1050.0,
            rated_pressure_kpa=300.0,
            tank_l=70.0,
            pumps=(
                Pump(name="main", drive="duty", flow_l_h=255.0),
                Pump(name="second", drive="on_off", flow_l_h=255.0),
            ),
        ),
        fuels={one.name: one for one in fuels},
        guards=Guards(
            injector_duty=0.90,
            knock_retard_deg=3.0,
            wot_lambda_max=0.90,
            clutch_energy_j=240e3,
            gearbox_oil_c=120.0,
            charge_air_c=70.0,
            rail_pressure_drop=0.10,
            pressure_step_kpa=40.0,
        ),
        adjusters={one.name: one for one in adjusters},
        assumed=(),
        thresholds={},
    )


@pytest.fixture(scope="session")
def setup():
    return Setup(
        values={
            "launch_rpm": 3400.0,
            "launch_pressure_kpa": 130.0,
            "gear_pressure_cap_kpa": (160.0, 180.0, 200.0, 210.0),
            "shift_rpm": 6800.0,
            "fuel": "E60",
            "charge_spray": False,
        }
    )


@pytest.fixture(scope="session")
def warm_day():
    return Conditions(air_temperature_c=25.0, pressure_kpa=101.325, humidity=0.50, track_temperature_c=35.0)


@pytest.fixture(scope="session")
def high_day():
    return Conditions(
        air_temperature_c=30.0, pressure_kpa=83.5, humidity=0.20, track_temperature_c=45.0, altitude_m=1600.0
    )
