"""Invented records for the pages: one car, one reviewed pass, one plan; no number of theirs is tested for truth."""

import math
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import numpy as np

from nextpass.car import (
    Adjuster,
    Assumed,
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
from nextpass.log import Channel, Gap, Log, LogQuality, Mark
from nextpass.measure import Absent, Estimate
from nextpass.plan import Band, Binding, Change, Forecast, GuardMargin, OwnEffect, Plan, Rung
from nextpass.review import Finding, Phase, ReviewedPass, Severity, Timeslip, review_pass

RATIOS = (4.38, 2.86, 1.92, 1.51, 1.20, 1.00, 0.84, 0.73, 0.65, 0.58)


def sample_car(name="Sedgeford estate", gears=6, own=()):
    adjusters = {
        "launch_rpm": Adjuster(name="launch_rpm", kind="number", minimum=2200, maximum=5200, step=100),
        "launch_pressure_kpa": Adjuster(name="launch_pressure_kpa", kind="number", minimum=100, maximum=190, step=5),
        "gear_pressure_cap_kpa": Adjuster(
            name="gear_pressure_cap_kpa", kind="number", minimum=120, maximum=260, step=5, per_gear=True
        ),
        "shift_rpm": Adjuster(name="shift_rpm", kind="number", minimum=6000, maximum=7100, step=50),
        "fuel": Adjuster(name="fuel", kind="choice", values=("road98", "E60")),
        "charge_spray": Adjuster(name="charge_spray", kind="switch"),
        **{adjuster.name: adjuster for adjuster in own},
    }
    return Car(
        name=name,
        chassis=Chassis(
            mass_kg=1795,
            wheelbase_m=2.78,
            cg_height_m=0.5,
            front_weight_share=0.54,
            drag_area_m2=0.62,
            rolling_resistance=0.014,
        ),
        tyres=Tyres(rolling_radius_m=0.347, peak_friction=1.15, peak_slip=0.12),
        driveline=Driveline(
            gear_ratios=RATIOS[:gears],
            final_drive=3.7,
            efficiency=0.88,
            front_drive_share=0.4,
            shift_time_s=0.12,
            engine_inertia_kgm2=0.2,
            wheel_inertia_kgm2=1.5,
        ),
        clutch=Clutch(torque_capacity_nm=(980.0,), heat_capacity_j_per_k=6000),
        engine=Engine(
            displacement_l=3.6,
            cylinders=6,
            idle_rpm=850,
            rev_limit_rpm=7200,
            reference_pressure_kpa=200,
            full_load_torque_nm=((1500, 330), (3500, 660), (5500, 650), (7200, 520)),
            boost_threshold_rpm=2600,
            boost_rise_time_s=0.45,
        ),
        fuel_system=FuelSystem(
            injector_count=6,
            injector_flow_cc_min=1050,
            rated_pressure_kpa=300,
            tank_l=70,
            pumps=(Pump(name="main", drive="duty", flow_l_h=255), Pump(name="second", drive="on_off", flow_l_h=255)),
        ),
        fuels={
            "road98": Fuel(name="road98", ethanol=0.05, octane_ron=98, manifold_pressure_max_kpa=215),
            "E60": Fuel(name="E60", ethanol=0.6, octane_ron=106, manifold_pressure_max_kpa=260),
        },
        guards=Guards(
            injector_duty=0.9,
            knock_retard_deg=3.0,
            wot_lambda_max=0.9,
            clutch_energy_j=260e3,
            gearbox_oil_c=120,
            charge_air_c=70,
            rail_pressure_drop=0.1,
            pressure_step_kpa=40,
        ),
        adjusters=adjusters,
        assumed=(
            Assumed(key="tyres.peak_slip", shown="0.12", origin="common practice: radial tyre on a prepared strip"),
            Assumed(key="guards.charge_air_c", shown="70 °C", origin="common practice"),
        ),
        thresholds={},
    )


def sample_setup(car, lift_kpa=0.0, **values):
    caps = tuple(min(160.0 + 20.0 * gear, 210.0) + lift_kpa for gear in range(car.gear_count))
    own = {
        adjuster.name: {"switch": False, "momentary": False, "choice": (adjuster.values or ("",))[0]}.get(
            adjuster.kind, adjuster.minimum
        )
        for adjuster in car.adjusters.values()
    }
    modelled = {
        "launch_rpm": 3400.0,
        "launch_pressure_kpa": 130.0,
        "gear_pressure_cap_kpa": caps,
        "shift_rpm": 6800.0,
        "fuel": "E60",
    }
    return Setup(values={**own, **modelled, **values})


def sample_conditions():
    return Conditions(air_temperature_c=17.5, pressure_kpa=100.9, humidity=0.58, track_temperature_c=27.0)


def sample_forecast(et_s=10.98, worst_duty_pct=87.1):
    def band(median, width):
        return Band(low=median - 0.7 * width, median=median, high=median + width)

    return Forecast(
        t60ft_s=band(0.166 * et_s, 0.05),
        t330ft_s=band(0.43 * et_s, 0.07),
        t660ft_s=band(0.65 * et_s, 0.08),
        t1000ft_s=band(0.84 * et_s, 0.09),
        et_s=band(et_s, 0.11),
        trap_mps=band(55.6 * 10.98 / et_s, 0.6),
        guards=(
            GuardMargin(name="injector_duty_pct", worst=worst_duty_pct, limit=90, ok=worst_duty_pct <= 90),
            GuardMargin(name="knock_retard_deg", worst=1.4, limit=3.0, ok=True),
            GuardMargin(name="wot_lambda_max", worst=0.86, limit=0.9, ok=True),
            GuardMargin(name="clutch_energy_kj", worst=214.0, limit=260, ok=True),
            GuardMargin(name="gearbox_oil_c", worst=98.0, limit=120, ok=True),
            GuardMargin(name="charge_air_c", worst=51.0, limit=70, ok=True),
            GuardMargin(name="rail_pressure_drop_pct", worst=6.1, limit=10, ok=True),
        ),
    )


def sample_plan(car, caps_kpa=(150, 185, 225, 240, 240, 240)):
    newest = sample_setup(car)
    planned = tuple(float(caps_kpa[min(gear, len(caps_kpa) - 1)]) for gear in range(car.gear_count))
    setup = newest.with_values(launch_rpm=3700.0, gear_pressure_cap_kpa=planned)
    rungs = tuple(
        Rung(
            gear=gear + 1,
            last_kpa=last,
            next_kpa=following,
            guard_kpa=min(last + 40.0, 250.0),
            guard_by="step guard" if last + 40.0 < 250.0 else "injector",
            tyre_kpa=(152.0, 191.0)[gear] if gear < 2 else math.nan,
        )
        for gear, (last, following) in enumerate(zip(newest.gear_pressure_cap_kpa, planned, strict=True))
    )
    changes = (
        Change(
            adjuster="gear_pressure_cap_kpa",
            gear=3,
            before=200.0,
            after=225.0,
            gain_s=0.05,
            why="the tyres carried third gear with room to spare",
        ),
        Change(adjuster="launch_rpm", gear=None, before=3400.0, after=3700.0, gain_s=0.03, why="the launch bogged"),
        Change(adjuster="gear_pressure_cap_kpa", gear=1, before=160.0, after=150.0, gain_s=0.02, why="first gear spun"),
    )
    return Plan(
        setup=setup,
        newest=newest,
        conditions=sample_conditions(),
        forecast=sample_forecast(10.98),
        repeat=sample_forecast(11.21),
        limit_et_s=Estimate(value=10.71, plus_minus=0.06),
        binding=tuple(
            Binding(gear=rung.gear, by=by, gain_s=gain, detail="")
            for rung, by, gain in zip(
                rungs,
                ("traction", "traction", "step guard", "injector", *["injector"] * 6),
                (0.04, 0.03, 0.02, 0.02, *[0.01] * 6),
                strict=False,
            )
        ),
        rungs=rungs,
        changes=changes,
        first_change=changes[0],
        own_effects=(
            OwnEffect(
                adjuster="charge_spray",
                before=False,
                after=True,
                gain_s=Estimate(value=0.02, plus_minus=0.05),
                is_clear=False,
            ),
        ),
        cautions=(),
        day=("The air is 4 % denser than on the newest pass.",),
        tell_apart="",
        teaches="",
        unknown=("Injector flow above 80 % duty: log rail pressure in fifth gear.",),
        fitted={
            "peak_friction": Estimate(value=1.22, plus_minus=0.05),
            "drag_area_m2": Estimate(value=0.64, plus_minus=0.04),
        },
        assumed=car.assumed,
    )


def sample_log(seconds=16.0, rate_hz=25.0):
    time_s = np.arange(0.0, seconds, 1.0 / rate_hz)
    run_s = np.clip(time_s - 3.0, 0.0, None)
    speed_mps = 58.0 * (1.0 - np.exp(-run_s / 5.2))
    gear = np.clip(1 + np.floor(speed_mps / 11.0), 1, 6)
    rpm = np.where(run_s > 0, 4200 + 2600 * ((speed_mps / 11.0) % 1.0), 3400.0)
    pressure_kpa = np.where(run_s > 0, np.clip(130 + 90 * run_s, 130, 158 + 12 * gear), 130.0)
    rng = np.random.default_rng(7)

    def channel(name, values, column, noise=0.0):
        return Channel(
            name=name, time_s=time_s, values=values + noise * rng.standard_normal(time_s.size), source=column
        )

    channels = [
        channel("engine_rpm", rpm, "Engine RPM", 12.0),
        channel("vehicle_speed_mps", speed_mps, "Vehicle Speed (km/h)", 0.1),
        channel("wheel_speed_rl_mps", speed_mps * (1 + 0.25 * np.exp(-run_s)), "Wheel Speed RL (km/h)", 0.2),
        channel("manifold_pressure_kpa", pressure_kpa, "MAP (kPa)", 1.5),
        channel("target_pressure_kpa", np.where(run_s > 0, 158 + 12 * gear, 130.0), "Boost Target (kPa)"),
        channel("lambda_bank1", np.where(run_s > 0, 0.82, 1.0), "Lambda B1", 0.01),
        channel("injector_duty", np.clip(0.05 + pressure_kpa / 300.0 * (run_s > 0), 0, 0.86), "Injector Duty (%)"),
        channel("knock_retard_deg", np.where((run_s > 4) & (run_s < 4.4), 1.5, 0.0), "Knock Retard (deg)"),
        channel("gear", gear, "Gear"),
    ]
    return Log(
        channels={item.name: item for item in channels},
        unmatched={"Cabin lamp": channel("Cabin lamp", np.zeros_like(time_s), "Cabin lamp")},
        marks=(Mark(time_s=3.0, text="go"),),
        quality=LogQuality(
            rate_hz=rate_hz, gaps=(Gap(start_s=14.2, end_s=14.6),), remarks=("Oil pressure never changes: stuck.",)
        ),
    )


def sample_findings():
    return (
        Finding(
            code="lean",
            severity=Severity.STOP,
            title="Lean at full throttle in gear 4",
            gear=4,
            start_s=8.1,
            end_s=8.6,
            channels=("lambda_bank1", "rail_pressure_kpa"),
            evidence={"lambda_p90": 0.94, "limit": 0.9},
            meaning="The mixture leaned out while rail pressure fell: the supply did not keep up.",
            next_step="Do not run again. Log rail pressure on a stationary pump test, then read the filter.",
        ),
        Finding(
            code="wheel-slip",
            severity=Severity.ACT,
            title="Wheels spun in gear 2",
            gear=2,
            start_s=4.1,
            end_s=4.6,
            channels=("wheel_speed_rl_mps", "vehicle_speed_mps"),
            evidence={"slip_ratio_p90": 0.31, "lost_s": 0.06},
            meaning="Past the slip at which the tyre pulls hardest, pressure makes heat and no speed.",
            next_step="Take 15 kPa from the cap of gear 2, or come onto it later.",
        ),
        Finding(
            code="injector-duty",
            severity=Severity.WATCH,
            title="Injectors near their limit",
            gear=None,
            start_s=10.0,
            end_s=12.5,
            channels=("injector_duty",),
            evidence={"duty_pct_max": 86.0},
            meaning="There is little left to give at the top of the run.",
            next_step="Do not raise the caps of the upper gears on this fuel.",
        ),
        Finding(
            code="no-gps",
            severity=Severity.NOTE,
            title="No GPS in this log",
            gear=None,
            start_s=0.0,
            end_s=16.0,
            channels=(),
            evidence={},
            meaning="Ground speed rests on the accelerometer and the wheels.",
            next_step="Add GPS speed to the logger's list.",
        ),
    )


@cache
def made_review(gears):
    car = sample_car(gears=gears)
    return review_pass(car, sample_record(car), sample_log())


def sample_reviewed(car, log=None, findings=None, number=3):
    log = log or sample_log()
    speed = log["vehicle_speed_mps"]
    time_s = speed.time_s
    values = np.clip(speed.values, 0.0, None)
    record = sample_record(car, number)
    # What the review makes of the log, with the motion that the sample is built from put in its place.
    made = made_review(car.gear_count)
    ground = replace(
        made.ground_speed,
        time_s=time_s,
        speed_mps=values,
        distance_m=np.concatenate([[0.0], np.cumsum(0.5 * (values[1:] + values[:-1]) * np.diff(time_s))]),
        acceleration_mps2=np.gradient(values, time_s),
        speed_sd_mps=np.full_like(values, 0.15),
        distance_sd_m=np.full_like(values, 0.4),
        rollout_covariance_m2=np.zeros_like(values),
        moved_s=3.0,
        sensors=("accelerometer", "wheels"),
    )
    starts = (3.6, 4.3, 5.3, 6.5, 8.2, 11.0, 15.0)
    phases = (
        Phase(kind="staged", gear=None, start_s=1.0, end_s=3.0),
        Phase(kind="launch", gear=1, start_s=3.0, end_s=3.6),
        *(
            Phase(kind="gear", gear=gear + 1, start_s=starts[gear], end_s=starts[gear + 1])
            for gear in range(min(6, car.gear_count))
        ),
    )
    slip = Timeslip(
        t60ft_s=Estimate(value=1.83, plus_minus=0.02),
        t330ft_s=Estimate(value=4.86, plus_minus=0.03),
        t660ft_s=Estimate(value=7.32, plus_minus=0.04),
        v660ft_mps=Estimate(value=43.1, plus_minus=0.3),
        t1000ft_s=Estimate(value=9.46, plus_minus=0.05),
        et_s=Estimate(value=11.27, plus_minus=0.05),
        trap_mps=Estimate(value=54.9, plus_minus=0.4),
        t0_60mph_s=Estimate(value=3.31, plus_minus=0.05),
        t0_100kmh_s=Estimate(value=3.44, plus_minus=0.05),
        t100_200kmh_s=Absent(reason="the log ends before 200 km/h"),
    )
    review = replace(
        made,
        timeslip=slip,
        phases=phases,
        findings=sample_findings() if findings is None else findings,
        ground_speed=ground,
        missing=("t100_200kmh_s: the log ends before 200 km/h",),
        assumed=car.assumed,
    )
    return ReviewedPass(record=record, log=log, review=review)


def sample_record(car, number=3):
    return PassRecord(
        folder=Path("day/pass3"),
        number=number,
        started=datetime(2026, 5, 2, 14, 10, tzinfo=UTC),
        logs=(Path("day/pass3/log.csv"),),
        notes="cloud cover, second lane",
        conditions=sample_conditions(),
        setup=sample_setup(car),
        clocks=StripClocks(t60ft_s=1.82, et_s=11.26, trap_mps=54.94),
    )
