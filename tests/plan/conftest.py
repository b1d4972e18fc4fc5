"""An invented all-wheel-drive car and its newest setup, as the tests of the plan use them."""

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


@pytest.fixture(scope="session")
def car() -> Car:
    return Car(
        name="Ashby saloon",
        chassis=Chassis(
            mass_kg=1700.0,
            wheelbase_m=2.75,
            cg_height_m=0.50,
            front_weight_share=0.54,
            drag_area_m2=0.63,
            rolling_resistance=0.014,
        ),
        tyres=Tyres(rolling_radius_m=0.345, peak_friction=1.15, peak_slip=0.12),
        driveline=Driveline(
            gear_ratios=(4.0, 2.4, 1.65, 1.27, 1.0, 0.8),
            final_drive=3.7,
            efficiency=0.88,
            front_drive_share=0.4,
            shift_time_s=0.12,
            engine_inertia_kgm2=0.2,
            wheel_inertia_kgm2=1.5,
        ),
        clutch=Clutch(torque_capacity_nm=(950.0,), heat_capacity_j_per_k=6000.0),
        engine=Engine(
            displacement_l=3.0,
            cylinders=6,
            idle_rpm=850.0,
            rev_limit_rpm=7200.0,
            reference_pressure_kpa=200.0,
            full_load_torque_nm=(
                (1500, 300),
                (2500, 480),
                (3500, 610),
                (4500, 630),
                (5500, 600),
                (6500, 540),
                (7200, 470),
            ),
            boost_threshold_rpm=2700.0,
            boost_rise_time_s=0.45,
        ),
        fuel_system=FuelSystem(
            injector_count=6,
            injector_flow_cc_min=1050.0,
            rated_pressure_kpa=300.0,
            tank_l=65.0,
            pumps=(
                Pump(name="main", drive="duty", flow_l_h=255.0),
                Pump(name="second", drive="on_off", flow_l_h=255.0),
            ),
        ),
        fuels={
            "road98": Fuel(name="road98", ethanol=0.05, octane_ron=98.0, manifold_pressure_max_kpa=215.0),
            "E60": Fuel(name="E60", ethanol=0.60, octane_ron=106.0, manifold_pressure_max_kpa=250.0),
        },
        guards=Guards(
            injector_duty=0.9,
            knock_retard_deg=3.0,
            wot_lambda_max=0.9,
            clutch_energy_j=240e3,
            gearbox_oil_c=120.0,
            charge_air_c=70.0,
            rail_pressure_drop=0.10,
            pressure_step_kpa=40.0,
        ),
        adjusters={
            "launch_rpm": Adjuster(name="launch_rpm", kind="number", minimum=2200.0, maximum=5200.0, step=100.0),
            "launch_pressure_kpa": Adjuster(
                name="launch_pressure_kpa", kind="number", minimum=100.0, maximum=200.0, step=5.0
            ),
            "gear_pressure_cap_kpa": Adjuster(
                name="gear_pressure_cap_kpa", kind="number", minimum=120.0, maximum=260.0, step=5.0, per_gear=True
            ),
            "shift_rpm": Adjuster(name="shift_rpm", kind="number", minimum=6000.0, maximum=7100.0, step=50.0),
            "fuel": Adjuster(name="fuel", kind="choice", values=("E60", "road98")),
            "charge_spray": Adjuster(name="charge_spray", kind="switch"),
        },
        assumed=(),
        thresholds={},
    )


@pytest.fixture(scope="session")
def newest() -> Setup:
    return Setup(
        values={
            "launch_rpm": 3000.0,
            "launch_pressure_kpa": 120.0,
            "gear_pressure_cap_kpa": (150.0, 165.0, 180.0, 190.0, 190.0, 190.0),
            "shift_rpm": 6800.0,
            "fuel": "E60",
            "charge_spray": False,
        }
    )


@pytest.fixture(scope="session")
def cool_evening() -> Conditions:
    return Conditions(air_temperature_c=18.0, pressure_kpa=100.9, humidity=0.55, track_temperature_c=27.0)
