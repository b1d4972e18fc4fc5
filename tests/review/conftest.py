"""A car, a pass and logs written from closed forms: what the review must read out of them is known exactly."""

from collections.abc import Callable, Mapping
from pathlib import Path

import numpy as np
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
    PassRecord,
    Pump,
    Setup,
    StripClocks,
    Tyres,
)
from nextpass.log import Channel, Log, LogQuality

REST_S = 6.0
CAPS_KPA = (180.0, 190.0, 200.0, 205.0, 205.0)


@pytest.fixture
def car() -> Car:
    return Car(
        name="Test coupe",
        chassis=Chassis(
            mass_kg=1600.0,
            wheelbase_m=2.7,
            cg_height_m=0.5,
            front_weight_share=0.52,
            drag_area_m2=0.64,
            rolling_resistance=0.014,
        ),
        tyres=Tyres(rolling_radius_m=0.34, peak_friction=1.15, peak_slip=0.12),
        driveline=Driveline(
            gear_ratios=(3.9, 2.5, 1.8, 1.4, 1.1),
            final_drive=3.5,
            efficiency=0.88,
            front_drive_share=0.0,
            shift_time_s=0.12,
            engine_inertia_kgm2=0.2,
            wheel_inertia_kgm2=1.5,
        ),
        clutch=Clutch(torque_capacity_nm=(900.0,), heat_capacity_j_per_k=6000.0),
        engine=Engine(
            displacement_l=3.0,
            cylinders=6,
            idle_rpm=850.0,
            rev_limit_rpm=7200.0,
            reference_pressure_kpa=200.0,
            full_load_torque_nm=((1500.0, 280.0), (3500.0, 560.0), (4500.0, 590.0), (7200.0, 450.0)),
            boost_threshold_rpm=2700.0,
            boost_rise_time_s=0.4,
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
        fuels={"road98": Fuel(name="road98", ethanol=0.05, octane_ron=98.0, manifold_pressure_max_kpa=225.0)},
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
                name="launch_pressure_kpa", kind="number", minimum=100.0, maximum=190.0, step=5.0
            ),
            "gear_pressure_cap_kpa": Adjuster(
                name="gear_pressure_cap_kpa", kind="number", minimum=120.0, maximum=230.0, step=5.0, per_gear=True
            ),
            "shift_rpm": Adjuster(name="shift_rpm", kind="number", minimum=6000.0, maximum=7100.0, step=50.0),
            "fuel": Adjuster(name="fuel", kind="choice", values=("road98",)),
        },
        assumed=(),
        thresholds={},
    )


@pytest.fixture
def record() -> PassRecord:
    return make_record()


def make_record(clocks: StripClocks | None = None, slope: float = 0.0) -> PassRecord:
    return PassRecord(
        folder=Path("pass1"),
        number=1,
        started=None,
        logs=(Path("log.csv"),),
        notes="",
        conditions=Conditions(
            air_temperature_c=20.0, pressure_kpa=101.3, humidity=0.4, track_temperature_c=30.0, slope=slope
        ),
        setup=Setup(
            values={
                "fuel": "road98",
                "launch_rpm": 3400.0,
                "launch_pressure_kpa": 130.0,
                "gear_pressure_cap_kpa": CAPS_KPA,
                "shift_rpm": 6500.0,
            }
        ),
        clocks=clocks,
    )


@pytest.fixture
def log_of() -> Callable[..., Log]:
    return make_log


@pytest.fixture
def record_of() -> Callable[..., PassRecord]:
    return make_record


def make_log(channels: Mapping[str, tuple[np.ndarray, np.ndarray]], rate_hz: float) -> Log:
    return Log(
        channels={
            name: Channel(name=name, time_s=time_s, values=np.asarray(values, dtype=float), source=name)
            for name, (time_s, values) in channels.items()
        },
        unmatched={},
        marks=(),
        quality=LogQuality(rate_hz=rate_hz, gaps=(), remarks=()),
    )


@pytest.fixture
def motion_log() -> Callable[..., Log]:
    return make_motion_log


def make_motion_log(
    speed_at: Callable[[np.ndarray], np.ndarray],
    acceleration_at: Callable[[np.ndarray], np.ndarray],
    rate_hz: float = 100.0,
    lasts_s: float = 15.0,
    coast_mps2: float = -0.5,
    leaves_s: float = REST_S,
) -> Log:
    """Accelerometer, GPS and wheels of a car that stands, pulls by a closed form, and coasts; nothing else in it."""
    time_s = np.arange(0.0, leaves_s + lasts_s + 6.0, 1.0 / rate_hz)
    since = time_s - leaves_s
    pulls, after = (since >= 0.0) & (since < lasts_s), since >= lasts_s
    end_mps = float(speed_at(np.array([lasts_s]))[0])
    at = np.clip(since, 0.0, lasts_s)
    speed = np.where(pulls, speed_at(at), np.where(after, end_mps + coast_mps2 * (since - lasts_s), 0.0))
    acceleration = np.where(pulls, acceleration_at(np.maximum(at, 1e-6)), np.where(after, coast_mps2, 0.0))
    pedal = ((since > -1.0) & ~after).astype(float)
    wheels = [f"wheel_speed_{wheel}_mps" for wheel in ("fl", "fr", "rl", "rr")]
    channels = dict.fromkeys(wheels, (time_s, speed))
    channels["longitudinal_acceleration_mps2"] = (time_s, acceleration)
    channels["gps_speed_mps"] = (time_s[::5], speed[::5])
    channels["pedal"] = (time_s, pedal)
    return make_log(channels, rate_hz)


@pytest.fixture
def whole_log() -> Callable[..., Log]:
    return make_whole_log


def make_whole_log(
    car: Car, change: Callable[[dict[str, np.ndarray], np.ndarray], None] | None = None, rate_hz: float = 50.0
) -> Log:
    """A clean pass of the test car with every channel that findings look at; `change` spoils channels by name in place.

    The car pulls at 7 m/s2 in first gear and less in each gear above, shifts at 6450 rpm in 0.1 s, lifts after the
    beam and coasts. `time` counts from the first movement.
    """
    rng = np.random.default_rng(7)
    time_s = np.arange(0.0, REST_S + 21.0, 1.0 / rate_hz)
    since = time_s - REST_S
    fine_s = 1.0 / (20.0 * rate_hz)
    ratios = np.array(car.driveline.gear_ratios) * car.driveline.final_drive * 60.0 / (2 * np.pi * 0.34)
    pulls = np.array([7.0, 5.6, 4.4, 3.6, 2.8])
    state = _drive(np.arange(0.0, since[-1] + fine_s, fine_s), fine_s, ratios, pulls)
    at = np.clip(np.searchsorted(state["time"], np.maximum(since, 0.0)), 0, state["time"].size - 1)
    moving = since >= 0.0
    speed, gear = np.where(moving, state["speed"][at], 0.0), np.where(moving, state["gear"][at], 1.0)
    shifting, lifted = moving & (state["shifting"][at] > 0), moving & (state["lifted"][at] > 0)
    powered = (since > -2.0) & ~lifted & ~shifting
    rpm = np.maximum(ratios[gear.astype(int) - 1] * speed * 1.003, np.where(moving, 3400.0, 850.0))
    rpm = np.where((since > -2.0) & ~moving, 3400.0, rpm)
    rpm = np.where(lifted, np.maximum(ratios[gear.astype(int) - 1] * speed, 850.0), rpm)
    target = np.where(since > 0.5, np.array(CAPS_KPA)[gear.astype(int) - 1], 130.0)
    pressure = np.where(powered, target, 40.0)
    pressure = np.where(shifting, target, pressure)
    slip = np.where(powered & moving, 0.004 * state["acceleration"][at], 0.0)
    channels = {
        "longitudinal_acceleration_mps2": np.where(moving, state["acceleration"][at], 0.0) * 1.015
        + 0.05
        + 0.15 * rng.standard_normal(since.size),
        "wheel_speed_fl_mps": speed,
        "wheel_speed_fr_mps": speed,
        "wheel_speed_rl_mps": speed * (1.0 + slip),
        "wheel_speed_rr_mps": speed * (1.0 + slip),
        "engine_rpm": rpm + 3.0 * rng.standard_normal(since.size),
        "gear": gear,
        "pedal": ((since > -2.0) & ~lifted).astype(float),
        "throttle": np.where(lifted | (since < -2.0), 0.02, np.where(shifting, 0.2, 1.0)),
        "manifold_pressure_kpa": pressure + 0.6 * rng.standard_normal(since.size),
        "target_pressure_kpa": target,
        "wastegate_duty": 0.5 + 0.01 * rng.standard_normal(since.size),
        "lambda_bank1": 0.82 + 0.006 * rng.standard_normal(since.size),
        "lambda_bank2": 0.82 + 0.006 * rng.standard_normal(since.size),
        "lambda_target": np.full(since.size, 0.82),
        "injector_duty": np.where(powered, 0.25 + 0.00006 * rpm, 0.05),
        "rail_pressure_kpa": 300.0 + 1.5 * rng.standard_normal(since.size),
        "second_pump_on": (rpm > 4500.0).astype(float),
        "knock_retard_deg": np.zeros(since.size),
        "ignition_advance_deg": 10.0 + rpm / 1000.0 - 0.04 * (pressure - 180.0) + 0.1 * rng.standard_normal(since.size),
        "charge_temperature_c": 30.0 + 0.8 * np.maximum(since, 0.0),
        "coolant_temperature_c": np.full(since.size, 88.0),
        "oil_temperature_c": np.full(since.size, 95.0),
        "gearbox_oil_temperature_c": np.full(since.size, 78.0),
        "short_trim_bank1": 0.01 + 0.004 * rng.standard_normal(since.size),
        "short_trim_bank2": -0.01 + 0.004 * rng.standard_normal(since.size),
        "battery_v": 13.8 + 0.02 * rng.standard_normal(since.size),
    }
    channels = {name: np.asarray(values, dtype=float) for name, values in channels.items()}
    if change is not None:
        change(channels, since)
    return make_log({name: (time_s, values) for name, values in channels.items()}, rate_hz)


def _drive(time: np.ndarray, step: float, ratios: np.ndarray, pulls: np.ndarray) -> dict[str, np.ndarray]:
    gear, speed, distance, hole_until, lifted = 0, 0.0, 0.0, -1.0, False
    rows = np.zeros((time.size, 5))
    for i, now in enumerate(time):
        shifting = now < hole_until
        acceleration = -0.35 if lifted else 0.2 if shifting else pulls[gear] * min(now / 0.1, 1.0)
        rows[i] = speed, acceleration, gear + 1, shifting, lifted
        speed += acceleration * step
        distance += speed * step
        if not shifting and not lifted and gear < pulls.size - 1 and ratios[gear] * speed > 6450.0:
            gear, hole_until = gear + 1, now + 0.1
        lifted = lifted or distance > 410.0
    names = ("speed", "acceleration", "gear", "shifting", "lifted")
    return {"time": time, **{name: rows[:, place] for place, name in enumerate(names)}}
