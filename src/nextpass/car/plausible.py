"""Is the car as its file describes it one that could be? Figures that are possible but do not go together.

Each check holds two statements of the file against each other by a plain sum, and says by how much they disagree. The
bands are wide: they are the trade's common practice, and a doubt is a question to the owner, not a refusal.
"""

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from nextpass.car.adjuster import FUEL, GEAR_PRESSURE_CAP, LAUNCH_RPM, SHIFT_RPM
from nextpass.car.car import Car, Fuel
from nextpass.physics import blend, engine, gearing, supply
from nextpass.words import phrase

# Mean effective pressure per absolute manifold pressure of a spark-ignition engine at full load (common practice).
BMEP_PER_PRESSURE = (6.0, 13.5)
# Engine speed before over after an upshift (common practice).
GEAR_STEPS = (1.08, 2.1)
# A box whose steps grow towards the top by more than this has a slip in one ratio (common practice).
STEP_GROWTH = 1.12
# Road speed at the rev limit, in first and in top gear [km/h] (common practice).
FIRST_GEAR_KMH = (30.0, 130.0)
TOP_GEAR_KMH = (150.0, 500.0)
# Height of the centre of gravity over the wheelbase (common practice).
HEIGHT_OVER_WHEELBASE = (0.12, 0.28)
# Displacement of one cylinder [l] (common practice).
CYLINDER_L = (0.15, 1.0)
# Power over mass as raced [kW/kg] (common practice).
POWER_TO_MASS = (0.04, 0.9)
# Clutch capacity over the peak torque that it is asked for (common practice).
CLUTCH_MARGIN = 3.0
# Part of a fuel's heat that a rich turbocharged engine brings to the crank: 330 g/(kW h) at 43.2 MJ/kg.
BRAKE_EFFICIENCY = 0.2525
# Less ethanol than any fuel is sold with: a share that was written for a percentage.
LEAST_ETHANOL = 0.01
# Below this part of their flow at the most power the injectors' figure is probably in another unit.
LEAST_INJECTOR_USE = 0.12


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """Two figures that do not go together.

    Parameters
    ----------
    key : str
        Dotted key of the car file to look at first.
    what : str
        What disagrees, with the figures.
    remedy : str
        What to check.
    """

    key: str
    what: str
    remedy: str


def doubts(car: Car) -> tuple[Doubt, ...]:
    """What is implausible in a car, in the order of its file.

    Parameters
    ----------
    car : Car
        As read from its file.
    """
    checks = (_height, _gears, _road_speeds, _clutch, _torque, _power, _cylinders, _speeds, _supply, _fuels, _guards)
    return tuple(doubt for check in checks for doubt in check(car))


def _doubt(key: str, name: str, **figures: object) -> Doubt:
    return Doubt(
        key=key, what=phrase(f"doubt.{name}.what", **figures), remedy=phrase(f"doubt.{name}.remedy", **figures)
    )


def _height(car: Car) -> Iterator[Doubt]:
    low, high = HEIGHT_OVER_WHEELBASE
    share = car.chassis.cg_height_m / car.chassis.wheelbase_m
    if not low <= share <= high:
        yield _doubt("chassis.cg_height_m", "cg_height", share_pct=100 * share, low_pct=100 * low, high_pct=100 * high)


def _gears(car: Car) -> Iterator[Doubt]:
    low, high = GEAR_STEPS
    steps = [before / after for before, after in itertools.pairwise(car.driveline.gear_ratios)]
    for gear, step in enumerate(steps, start=1):
        if not low <= step <= high:
            yield _doubt("driveline.gear_ratios", "gear_step", gear=gear, next=gear + 1, step=step, low=low, high=high)
    for gear, (step, following) in enumerate(itertools.pairwise(steps), start=2):
        if following > STEP_GROWTH * step:
            yield _doubt("driveline.gear_ratios", "gear_growth", gear=gear, next=gear + 1, step=following, before=step)


def _road_speeds(car: Car) -> Iterator[Doubt]:
    ratios = (car.driveline.gear_ratios[0], car.driveline.gear_ratios[-1])
    for ratio, (low, high), name in zip(ratios, (FIRST_GEAR_KMH, TOP_GEAR_KMH), ("first", "top"), strict=True):
        speed_kmh = 3.6 * float(
            gearing.road_speed_mps(
                car.engine.rev_limit_rpm, ratio * car.driveline.final_drive, car.tyres.rolling_radius_m
            )
        )
        if not low <= speed_kmh <= high:
            yield _doubt("driveline.final_drive", f"{name}_gear_speed", speed=speed_kmh, low=low, high=high)


def _clutch(car: Car) -> Iterator[Doubt]:
    capacity_nm, torque_nm = min(car.clutch.torque_capacity_nm), _peak_torque_nm(car)
    figures = {"capacity": capacity_nm, "torque": torque_nm, "pressure": car.engine.reference_pressure_kpa}
    if capacity_nm < torque_nm:
        yield _doubt("clutch.torque_capacity_nm", "clutch_weak", **figures)
    elif capacity_nm > CLUTCH_MARGIN * torque_nm * max(1.0, _most_pressure_ratio(car)):
        yield _doubt("clutch.torque_capacity_nm", "clutch_strong", **figures)


def _torque(car: Car) -> Iterator[Doubt]:
    low, high = BMEP_PER_PRESSURE
    ratio = (
        float(engine.mean_effective_pressure_kpa(_peak_torque_nm(car), car.engine.displacement_l))
        / car.engine.reference_pressure_kpa
    )
    if not low <= ratio <= high:
        key = "engine.full_load_torque_nm"
        figures = {"torque": _peak_torque_nm(car), "pressure": car.engine.reference_pressure_kpa}
        yield _doubt(key, "torque_high" if ratio > high else "torque_low", ratio=ratio, low=low, high=high, **figures)


def _power(car: Car) -> Iterator[Doubt]:
    low, high = POWER_TO_MASS
    power_kw = _peak_power_w(car) / 1000.0
    share = power_kw / car.chassis.mass_kg
    if not low <= share <= high:
        yield _doubt("chassis.mass_kg", "power_to_mass", power=power_kw, mass=car.chassis.mass_kg, watts=1000.0 * share)


def _cylinders(car: Car) -> Iterator[Doubt]:
    low, high = CYLINDER_L
    cylinder_l = car.engine.displacement_l / car.engine.cylinders
    if not low <= cylinder_l <= high:
        yield _doubt("engine.displacement_l", "cylinder_size", litres=cylinder_l, low=low, high=high)
    if car.fuel_system.injector_count % car.engine.cylinders:
        count, cylinders = car.fuel_system.injector_count, car.engine.cylinders
        yield _doubt("fuel_system.injector_count", "injector_count", count=count, cylinders=cylinders)


def _speeds(car: Car) -> Iterator[Doubt]:
    highest_rpm = car.engine.full_load_torque_nm[-1][0]
    shift_rpm, launch_rpm = car.adjusters[SHIFT_RPM].maximum, car.adjusters[LAUNCH_RPM].minimum
    if highest_rpm < shift_rpm:
        yield _doubt("engine.full_load_torque_nm", "curve_ends_early", highest=highest_rpm, shift=shift_rpm)
    if car.engine.full_load_torque_nm[0][0] > launch_rpm:
        lowest_rpm = car.engine.full_load_torque_nm[0][0]
        yield _doubt("engine.full_load_torque_nm", "curve_starts_late", lowest=lowest_rpm, launch=launch_rpm)
    if car.engine.idle_rpm > launch_rpm:
        yield _doubt("engine.idle_rpm", "idle_above_launch", idle=car.engine.idle_rpm, launch=launch_rpm)
    if car.engine.boost_threshold_rpm > 0.8 * car.engine.rev_limit_rpm:
        threshold_rpm, limit_rpm = car.engine.boost_threshold_rpm, car.engine.rev_limit_rpm
        yield _doubt("engine.boost_threshold_rpm", "threshold_high", threshold=threshold_rpm, limit=limit_rpm)


def _supply(car: Car) -> Iterator[Doubt]:
    """What the torque curve burns at its reference pressure, against what injectors and pumps bring."""
    fuel = min(car.fuels.values(), key=lambda fuel: _fuel_l_h(car, fuel))
    needed_l_h = _fuel_l_h(car, fuel)
    system = car.fuel_system
    injectors_l_h = system.injector_count * system.injector_flow_cc_min * 60.0 / 1000.0
    pumps_l_h = float(supply.staged_flow_l_h([pump.flow_l_h for pump in system.pumps], [True] * len(system.pumps)))
    figures = {"fuel": fuel.name, "needed": needed_l_h, "power": _peak_power_w(car) / 1000.0}
    if needed_l_h > injectors_l_h:
        yield _doubt("fuel_system.injector_flow_cc_min", "injectors_small", flow=injectors_l_h, **figures)
    elif needed_l_h < LEAST_INJECTOR_USE * injectors_l_h:
        yield _doubt("fuel_system.injector_flow_cc_min", "injectors_large", flow=injectors_l_h, **figures)
    if needed_l_h > pumps_l_h:
        yield _doubt("fuel_system.pumps", "pumps_small", flow=pumps_l_h, **figures)


def _fuels(car: Car) -> Iterator[Doubt]:
    cap_kpa = car.adjusters[GEAR_PRESSURE_CAP].maximum
    for name, fuel in car.fuels.items():
        if name not in car.adjusters[FUEL].values:
            yield _doubt(f"fuels.{name}", "fuel_never_chosen", fuel=name)
        if fuel.manifold_pressure_max_kpa > cap_kpa:
            key, most_kpa = f"fuels.{name}.manifold_pressure_max_kpa", fuel.manifold_pressure_max_kpa
            yield _doubt(key, "fuel_beyond_cap", fuel=name, most=most_kpa, cap=cap_kpa)
        if 0.0 < fuel.ethanol < LEAST_ETHANOL:
            share = fuel.ethanol * 100.0
            yield _doubt(f"fuels.{name}.ethanol_pct", "ethanol_share", fuel=name, share=share, meant_pct=100.0 * share)
        if fuel.ethanol >= 0.5 and fuel.octane_ron < 100:
            key, octane = f"fuels.{name}.octane_ron", fuel.octane_ron
            yield _doubt(key, "octane_low", fuel=name, ethanol_pct=100 * fuel.ethanol, octane=octane)


def _guards(car: Car) -> Iterator[Doubt]:
    if car.guards.wot_lambda_max > 1.0:
        yield _doubt("guards.wot_lambda_max", "guard_lean", limit=car.guards.wot_lambda_max)
    if car.guards.injector_duty > 0.95:
        yield _doubt("guards.injector_duty_pct", "guard_duty", limit_pct=100 * car.guards.injector_duty)
    if car.guards.pressure_step_kpa > 80.0:
        yield _doubt("guards.pressure_step_kpa", "guard_step", limit=car.guards.pressure_step_kpa)


def _peak_torque_nm(car: Car) -> float:
    return max(torque_nm for _, torque_nm in car.engine.full_load_torque_nm)


def _peak_power_w(car: Car) -> float:
    rpm, torque_nm = np.asarray(car.engine.full_load_torque_nm, dtype=np.float64).T
    return float(np.max(engine.power_w(torque_nm, rpm)))


def _most_pressure_ratio(car: Car) -> float:
    """Highest pressure that any fuel and the caps allow, over that of the torque curve."""
    most_kpa = max(fuel.manifold_pressure_max_kpa for fuel in car.fuels.values())
    return min(most_kpa, car.adjusters[GEAR_PRESSURE_CAP].maximum) / car.engine.reference_pressure_kpa


def _fuel_l_h(car: Car, fuel: Fuel) -> float:
    """Fuel burnt at the peak of power [l/h]."""
    heat_jpkg = float(blend.blend_heating_value_jpkg(fuel.ethanol))
    flow_kgps = _peak_power_w(car) / (BRAKE_EFFICIENCY * heat_jpkg)
    return float(supply.volume_flow_l_h(flow_kgps, blend.blend_density_kgpm3(fuel.ethanol)))
