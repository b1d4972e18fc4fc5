"""Invented cars of every kind, each with its owner's wrong file, its strip, its day and a cautious first setup.

Drawn from one seed: which axle drives, 300 to 1100 hp, four to eight cylinders, six to eight gears, fuels from road
petrol to E85, one pump or two, cool sea level to hot and high. Sizes follow from each other as they do in real cars:
injectors and pumps from the fuel that the power needs, the clutch from the torque, with the owner's margin drawn.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from nextpass.car import (
    FUEL,
    GEAR_PRESSURE_CAP,
    LAUNCH_PRESSURE,
    LAUNCH_RPM,
    SHIFT_RPM,
    AdjusterValue,
    Conditions,
    Guards,
    Setup,
)
from nextpass.proving.build import build
from nextpass.proving.design import Belief, Design, FuelDesign
from nextpass.proving.drive import drive_pass
from nextpass.proving.driver import no_luck
from nextpass.proving.strip import Strip
from nextpass.proving.truth import ProvingCar

NAMES = (
    "Ashby", "Birkett", "Calder", "Denham", "Elmet", "Farley", "Garth", "Holme", "Ingle", "Jarrow", "Kirby", "Lowther",
    "Marske", "Norland", "Ottery", "Penrith", "Quarley", "Rushmere", "Selby", "Thorne", "Ulley", "Varden", "Wexcombe",
    "Yarm",
)  # fmt: skip
BODIES = ("wagon", "coupe", "hatch", "saloon", "estate", "roadster")
HORSEPOWER_W = 745.69987
MUCH_SPIN_S = 0.4
"""Seconds over 20 % slip in one gear that make an owner take pressure out of it [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One car of the fleet where and when it runs, and how its owner first sets it."""

    car: ProvingCar
    strip: Strip
    conditions: Conditions
    baseline: Setup


def fleet(count: int, seed: int) -> tuple[Entry, ...]:
    """Invented cars, spread over what the trade knows.

    Parameters
    ----------
    count : int
        How many.
    seed : int
        Same seed, same fleet; a longer fleet begins with the shorter one.

    Returns
    -------
    tuple of Entry, length `count`
    """
    return tuple(_entry(index, np.random.default_rng([seed, index])) for index in range(count))


def _entry(index: int, rng: np.random.Generator) -> Entry:
    day = _day(index, rng)
    car = build(_design(index, day, rng), _belief(rng))
    strip = Strip(
        name=f"Strip {index + 1}",
        prepared_m=float(rng.uniform(90.0, 220.0)),
        beyond=float(rng.uniform(0.92, 0.98)),
        seed=int(rng.integers(1 << 30)),
    )
    return Entry(car=car, strip=strip, conditions=day, baseline=tried_setup(car, strip, day))


def _day(index: int, rng: np.random.Generator) -> Conditions:
    kind = index % 4
    # Sea level cool, sea level warm, middling, hot and high.
    air_c = (12.0, 26.0, 20.0, 35.0)[kind] + rng.uniform(-4.0, 4.0)
    pressure_kpa = (101.5, 100.8, 96.0, 84.0)[kind] + rng.uniform(-1.0, 1.0)
    return Conditions(
        air_temperature_c=round(float(air_c), 1),
        pressure_kpa=round(float(pressure_kpa), 1),
        humidity=round(float(rng.uniform(0.2, 0.75)), 2),
        track_temperature_c=round(float(air_c + rng.uniform(5.0, 15.0)), 0),
        slope=round(float(rng.uniform(-0.002, 0.002)), 4),
        headwind_mps=round(float(rng.uniform(-2.0, 3.0)), 1),
    )


def _belief(rng: np.random.Generator) -> Belief:
    return Belief(
        mass=1.0 + float(rng.uniform(-0.03, 0.03)),
        drag=1.0 + float(rng.uniform(-0.08, 0.08)),
        radius=1.0 + float(rng.uniform(-0.01, 0.01)),
        torque=1.0 + float(rng.uniform(-0.10, 0.10)),
        torque_tilt=float(rng.uniform(-0.10, 0.10)),
        rise_time=1.0 + float(rng.uniform(-0.20, 0.20)),
        threshold=1.0 + float(rng.uniform(-0.05, 0.05)),
        capacity=1.0 + float(rng.uniform(-0.05, 0.05)),
        injector=1.0 + float(rng.uniform(-0.03, 0.03)),
        inertia=1.0 + float(rng.uniform(-0.10, 0.10)),
    )


def _fuels(power_w: float, ambient_kpa: float, rng: np.random.Generator) -> dict[str, FuelDesign]:
    octane = {"road98": 98.0, "E60": 106.0, "E85": 107.0}
    ethanol = {"road98": 0.05, "E60": 0.60, "E85": 0.85}
    onset = {"road98": 205.0, "E60": 262.0, "E85": 305.0}
    behind = {"road98": 9.0, "E60": 4.5, "E85": 2.5}
    horsepower = power_w / HORSEPOWER_W
    main = "E85" if horsepower > 650.0 else ("road98", "E60", "E85")[int(rng.integers(3))]
    names = [main] if rng.random() < 0.7 or main == "road98" else [main, "road98"]
    # No owner asks his turbocharger for more than about three times the air around it.
    most_kpa = (3.3 if horsepower > 800.0 else 3.0) * ambient_kpa
    found = {}
    for name in names:
        onset_kpa = onset[name] * rng.uniform(0.97, 1.14) + (40.0 if horsepower > 800.0 else 0.0)
        found[name] = FuelDesign(
            ethanol=ethanol[name],
            octane_ron=octane[name],
            # The owner's own ceiling, most times under the knock and at times a little over it.
            pressure_max_kpa=float(5.0 * np.floor(min(onset_kpa * rng.uniform(0.90, 1.02), most_kpa) / 5.0)),
            knock_onset_kpa=float(onset_kpa),
            spark_behind_deg=behind[name],
        )
    return found


def _ratios(gears: int, rng: np.random.Generator) -> tuple[float, ...]:
    first, last = rng.uniform(3.5, 4.3), rng.uniform(0.72, 0.84)
    # Steps shrink from gear to gear, as in every box made to accelerate.
    steps = np.linspace(1.7, 0.6, gears - 1)
    logs = np.log(first) + np.concatenate([[0.0], np.cumsum(steps / steps.sum())]) * np.log(last / first)
    return tuple(round(float(ratio), 2) for ratio in np.exp(logs))


def _design(index: int, day: Conditions, rng: np.random.Generator) -> Design:
    drive = ("all", "rear", "front")[index % 3]
    horsepower = float(
        np.exp(rng.uniform(np.log(360.0), np.log({"all": 1100.0, "rear": 850.0, "front": 480.0}[drive])))
    )
    power_w = horsepower * HORSEPOWER_W
    fuels = _fuels(power_w, day.pressure_kpa, rng)
    most_kpa = next(iter(fuels.values())).pressure_max_kpa
    rev_limit = float(round(rng.uniform(6700.0, 7600.0), -2))
    # Mean pressure at the speed of best power for each kPa of the manifold; displacement follows.
    displacement = float(np.clip(round(power_w / (9.0e3 * most_kpa * 0.9 * rev_limit / 120.0) * 1e3, 1), 1.8, 5.6))
    cylinders = 4 if displacement < 2.5 else 6 if displacement < 3.9 else 8
    peak_nm = float(displacement * 1e-3 * rng.uniform(10.2, 11.3) * 200e3 / (4.0 * np.pi))
    most_nm = peak_nm * most_kpa / 200.0 * 1.03
    ratios = _ratios(int(rng.integers(6, 9)), rng)
    radius = float(rng.uniform(0.312, 0.352))
    # With one axle driven a longer first gear is chosen.
    first_mps = float(rng.uniform(*{"all": (15.5, 18.5), "rear": (17.5, 21.0), "front": (18.0, 22.0)}[drive]))
    friction = float(rng.uniform({"all": 0.90, "rear": 0.98, "front": 1.05}[drive], 1.45))
    fuel_m3ps = _fuel_need_m3ps(displacement, rev_limit, most_kpa, max(fuel.ethanol for fuel in fuels.values()))
    pump = fuel_m3ps * 3.6e6 * rng.uniform(1.05, 1.45)
    has_two = bool(horsepower > 450.0 or rng.random() < 0.3)
    capacity = float(most_nm * rng.uniform(1.02, 1.30))
    return Design(
        name=f"{NAMES[index % len(NAMES)]} {BODIES[int(rng.integers(len(BODIES)))]}",
        mass_kg=float(np.clip(1080.0 + 125.0 * displacement + rng.uniform(-60.0, 140.0), 1180.0, 1900.0))
        + (80.0 if drive == "all" else 0.0),
        wheelbase_m=round(float(rng.uniform(2.55, 2.90)), 2),
        cg_height_m=float(rng.uniform(0.46, 0.55)),
        front_weight_share=float(
            rng.uniform(*{"all": (0.51, 0.58), "rear": (0.47, 0.53), "front": (0.59, 0.63)}[drive])
        ),
        drag_area_m2=float(rng.uniform(0.58, 0.74)),
        rolling_resistance=float(rng.uniform(0.012, 0.016)),
        rolling_radius_m=radius,
        front_friction=friction * float(rng.uniform(0.97, 1.03)),
        rear_friction=friction,
        peak_slip=float(rng.uniform(0.09, 0.16)),
        slip_shape=float(rng.uniform(1.30, 1.50)),
        gear_ratios=ratios,
        final_drive=round(float(rev_limit * np.pi / 30.0 * radius / (ratios[0] * first_mps)), 2),
        efficiency=float(rng.uniform(0.86, 0.91)),
        front_drive_share=round({"all": float(rng.uniform(0.30, 0.46)), "rear": 0.0, "front": 1.0}[drive], 2),
        coupling_nms=float(rng.uniform(20.0, 120.0)) if drive == "all" else 0.0,
        engine_inertia_kgm2=float(0.10 + 0.03 * displacement),
        wheel_inertia_kgm2=float(rng.uniform(1.2, 1.7)),
        clutch_capacity_nm=(capacity, float(capacity * rng.uniform(0.96, 1.02))),
        clutch_heat_j_per_k=float(round(rng.uniform(5000.0, 8000.0), -2)),
        shift_time_s=float(rng.uniform(0.09, 0.16)),
        displacement_l=displacement,
        cylinders=cylinders,
        rev_limit_rpm=rev_limit,
        peak_torque_nm=peak_nm,
        best_filling_rpm=float(rng.uniform(4300.0, 5300.0)),
        filling_high=float(rng.uniform(0.35, 0.70)),
        threshold_rpm=float(rng.uniform(2400.0, 3200.0)),
        rise_time_s=float(rng.uniform(0.35, 0.70)),
        injector_flow_cc_min=float(fuel_m3ps * 6e7 / cylinders / rng.uniform(0.78, 1.02)),
        rated_pressure_kpa=300.0,
        pump_1_l_h=float(pump * (0.55 if has_two else 1.0)),
        pump_2_l_h=float(pump * 0.5 if has_two else 0.0),
        fuels=fuels,
        guards=_guards(day, most_kpa, rng),
        launch_rpm=(2000.0, 5200.0),
        launch_pressure_kpa=(float(5.0 * np.floor(day.pressure_kpa / 5.0)), 190.0),
        pressure_cap_kpa=(float(5.0 * np.ceil((day.pressure_kpa + 8.0) / 5.0)), most_kpa + 10.0),
        shift_rpm=(rev_limit - 1100.0, rev_limit - 100.0),
        switches=("charge_spray",) if rng.random() < 0.3 else (),
        # Half of the sprays do nothing.
        spray_gain=float(rng.choice([0.0, rng.uniform(0.3, 0.8)])),
        launch_torque_ratio=float(rng.uniform(0.90, 1.02)),
        wastegate_lead_s=float(rng.uniform(0.06, 0.13)),
        intercooler=float(rng.uniform(0.72, 0.84)),
    )


def _guards(day: Conditions, most_kpa: float, rng: np.random.Generator) -> Guards:
    # What a usual cooler leaves of the compressor's heat at the highest pressure, and the owner's margin on it.
    rise_k = (day.air_temperature_c + 273.0) * ((most_kpa / day.pressure_kpa) ** 0.2857 - 1.0) / 0.68
    charge_c = day.air_temperature_c + 8.0 + 0.29 * rise_k + float(rng.uniform(0.0, 14.0))
    return Guards(
        injector_duty=0.90,
        knock_retard_deg=3.0,
        wot_lambda_max=0.90,
        clutch_energy_j=float(round(rng.uniform(90.0, 220.0), -1)) * 1e3,
        gearbox_oil_c=120.0,
        charge_air_c=float(5.0 * np.ceil(charge_c / 5.0)),
        rail_pressure_drop=0.10,
        pressure_step_kpa=float(rng.choice([40.0, 50.0, 60.0])),
    )


def _fuel_need_m3ps(displacement_l: float, rev_limit_rpm: float, pressure_kpa: float, ethanol: float) -> float:
    """Fuel at the highest pressure at 92 % of the limit, 45 °C of charge, lambda 0.82, filling 0.93 [m3/s]."""
    air_kgps = 0.93 * displacement_l * 1e-3 * 0.92 * rev_limit_rpm / 120.0 * pressure_kpa * 1e3 / (287.05 * 318.0)
    ratio = 14.6 - 5.6 * (ethanol * 794.0 / (ethanol * 794.0 + (1.0 - ethanol) * 745.0))
    return air_kgps / (ratio * 0.82) / (745.0 + 49.0 * ethanol)


def cautious_setup(car: ProvingCar, conditions: Conditions, softer: Sequence[float] = ()) -> Setup:
    """What a careful owner dials in: well under every ceiling, soft off the line.

    Parameters
    ----------
    car : ProvingCar
        Its believed file alone is used.
    conditions : Conditions
        The day.
    softer : sequence of float, one a gear
        What he takes off each gear's share of the way from ambient to the highest pressure [-].

    Returns
    -------
    Setup
    """
    believed = car.believed
    adjusters = believed.adjusters
    fuel = next(iter(believed.fuels.values()))
    ambient_kpa = conditions.pressure_kpa
    shares = [0.42, 0.52, 0.60, 0.66] + [0.70] * (believed.gear_count - 4)
    if softer:
        shares = [share - less for share, less in zip(shares, softer, strict=True)]
    cap = adjusters[GEAR_PRESSURE_CAP]
    room_kpa = fuel.manifold_pressure_max_kpa - ambient_kpa
    values: dict[str, AdjusterValue] = {
        LAUNCH_RPM: adjusters[LAUNCH_RPM].on_step(believed.engine.boost_threshold_rpm),
        LAUNCH_PRESSURE: adjusters[LAUNCH_PRESSURE].on_step(ambient_kpa + max(0.12 - sum(softer[:1]), 0.0) * room_kpa),
        GEAR_PRESSURE_CAP: tuple(cap.on_step(ambient_kpa + share * room_kpa) for share in shares),
        SHIFT_RPM: adjusters[SHIFT_RPM].on_step(believed.engine.rev_limit_rpm - 500.0),
        FUEL: fuel.name,
    }
    values |= {name: False for name, adjuster in adjusters.items() if adjuster.kind == "switch"}
    return Setup(values=values)


def tried_setup(car: ProvingCar, strip: Strip, conditions: Conditions) -> Setup:
    """The careful owner's setup after a few tries: softer where it spun for long, as any owner would have made it.

    Parameters
    ----------
    car : ProvingCar
    strip : Strip
    conditions : Conditions

    Returns
    -------
    Setup
    """
    softer = np.zeros(car.believed.gear_count)
    setup = cautious_setup(car, conditions)
    for _ in range(4):
        spin_s = np.array(drive_pass(car, strip, conditions, setup, 0, luck=no_luck()).spin_s)
        if (spin_s < MUCH_SPIN_S).all():
            break
        softer += np.where(spin_s >= MUCH_SPIN_S, 0.12, 0.0)
        setup = cautious_setup(car, conditions, softer.tolist())
    return setup
