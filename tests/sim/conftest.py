"""Cars for the tests of the simulation: one of flesh and bone, and one so plain that closed forms hold for it."""

from dataclasses import replace

import numpy as np
import pytest

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
from nextpass.sim import Parameters, compile_kernels, default_parameters


@pytest.fixture(scope="session", autouse=True)
def _compiled():
    compile_kernels()


def number(name, low, high, step, per_gear=False):
    return Adjuster(name=name, kind="number", minimum=low, maximum=high, step=step, per_gear=per_gear)


def make_car(front_share=0.4, mass_kg=1750.0, torque_scale=1.0, gears=(4.0, 2.4, 1.65, 1.27, 1.0, 0.8)) -> Car:
    """An invented turbocharged car."""
    curve = ((1500, 300), (2500, 480), (3500, 610), (4500, 630), (5500, 600), (6500, 540), (7200, 470))
    return Car(
        name="Ashby saloon",
        chassis=Chassis(
            mass_kg=mass_kg,
            wheelbase_m=2.75,
            cg_height_m=0.50,
            front_weight_share=0.54,
            drag_area_m2=0.63,
            rolling_resistance=0.014,
        ),
        tyres=Tyres(rolling_radius_m=0.345, peak_friction=1.15, peak_slip=0.12),
        driveline=Driveline(
            gear_ratios=gears,
            final_drive=3.7,
            efficiency=0.88,
            front_drive_share=front_share,
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
            full_load_torque_nm=tuple((float(rpm), torque_scale * nm) for rpm, nm in curve),
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
            "E60": Fuel(name="E60", ethanol=0.60, octane_ron=106.0, manifold_pressure_max_kpa=250.0),
            "road98": Fuel(name="road98", ethanol=0.05, octane_ron=98.0, manifold_pressure_max_kpa=215.0),
        },
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
        adjusters={
            LAUNCH_RPM: number(LAUNCH_RPM, 2200.0, 5200.0, 100.0),
            LAUNCH_PRESSURE: number(LAUNCH_PRESSURE, 100.0, 200.0, 5.0),
            GEAR_PRESSURE_CAP: number(GEAR_PRESSURE_CAP, 120.0, 260.0, 5.0, per_gear=True),
            SHIFT_RPM: number(SHIFT_RPM, 6000.0, 7100.0, 50.0),
            FUEL: Adjuster(name=FUEL, kind="choice", values=("E60", "road98")),
        },
        assumed=(),
        thresholds={},
    )


def make_setup(launch_rpm=3400.0, launch_pressure=125.0, caps=(170.0, 190.0, 210.0, 220.0, 220.0, 220.0), shift=6800.0):
    return Setup(
        values={
            FUEL: "E60",
            LAUNCH_RPM: launch_rpm,
            LAUNCH_PRESSURE: launch_pressure,
            GEAR_PRESSURE_CAP: tuple(caps),
            SHIFT_RPM: shift,
        }
    )


@pytest.fixture(scope="session")
def car() -> Car:
    return make_car()


@pytest.fixture(scope="session")
def setup_() -> Setup:
    return make_setup()


@pytest.fixture(scope="session")
def conditions() -> Conditions:
    return Conditions(air_temperature_c=22.0, pressure_kpa=100.4, humidity=0.45, track_temperature_c=33.0)


class Plain:
    """A car of one gear without drag, losses or inertia beyond its mass; the engine's torque is a law over rpm."""

    mass_kg = 1700.0
    radius_m = 0.35
    ratio = 8.0
    limit_rpm = 20000.0

    def __init__(self, torque_nm, mass_kg=1700.0, drag_area_m2=0.0, engine_inertia_kgm2=1e-4, limit_rpm=20000.0):
        plain = make_car(front_share=0.0, mass_kg=mass_kg, gears=(self.ratio,))
        self.limit_rpm = limit_rpm
        rpm = np.linspace(0.0, 1.15 * limit_rpm, 49)  # the points that the simulation itself keeps
        curve = tuple((float(n), float(torque_nm(n))) for n in rpm)
        self.car = replace(
            plain,
            chassis=replace(plain.chassis, drag_area_m2=max(drag_area_m2, 1e-12), rolling_resistance=1e-12),
            driveline=replace(
                plain.driveline,
                final_drive=1.0,
                efficiency=1.0,
                engine_inertia_kgm2=engine_inertia_kgm2,
                wheel_inertia_kgm2=1e-4,
            ),
            clutch=replace(plain.clutch, torque_capacity_nm=(1e6,)),
            engine=replace(plain.engine, rev_limit_rpm=limit_rpm, full_load_torque_nm=curve),
        )
        self.parameters: Parameters = replace(
            default_parameters(self.car),
            rolling_radius_m=self.radius_m,
            gearbox_inertia_kgm2=0.0,
            charge_temperature_exponent=0.0,
            knock_onset_kpa=(1e4, 1e4),
            launch_release_s=1e-3,
            launch_flare_rpm=145.0,
            threshold_exponent=0.0,
            pressure_rise_s=1e-3,
        )
        # Held at the pressure at which the torque curve holds.
        self.setup = make_setup(launch_rpm=0.05, launch_pressure=200.0, caps=(200.0,), shift=limit_rpm)


@pytest.fixture(scope="session")
def still_air() -> Conditions:
    """Air of 1.225 kg/m3."""
    return Conditions(air_temperature_c=15.0, pressure_kpa=101.325, humidity=0.0, track_temperature_c=15.0)


@pytest.fixture(scope="session")
def car_with():
    """`make_car`, for tests that vary the car."""
    return make_car


@pytest.fixture(scope="session")
def setup_with():
    """`make_setup`, for tests that vary the setup."""
    return make_setup


@pytest.fixture(scope="session")
def plain():
    """`Plain`, the car of the closed forms."""
    return Plain
