"""Perfect traction: never beaten, within the guards, and what optimal control says."""

from dataclasses import replace

import casadi
import numpy as np
import pytest

from nextpass.car import FUEL, GEAR_PRESSURE_CAP, LAUNCH_PRESSURE, LAUNCH_RPM, SHIFT_RPM, Setup
from nextpass.sim import (
    OUTPUTS,
    PER_GEAR,
    default_parameters,
    drive_many,
    pack,
    pack_setups,
    perfect_traction,
    without_slip,
)

FINISH_M = 402.336


def any_setup(car, fuel, generator):
    """A setup drawn from the whole range of every adjuster, within what the fuel allows."""
    ceiling = car.fuels[fuel].manifold_pressure_max_kpa

    def draw(name):
        adjuster = car.adjusters[name]
        top = min(adjuster.maximum, ceiling) if name.endswith("_kpa") else adjuster.maximum
        return adjuster.on_step(generator.uniform(adjuster.minimum, top))

    caps = tuple(draw(GEAR_PRESSURE_CAP) for _ in range(car.gear_count))
    values = {name: draw(name) for name in (LAUNCH_RPM, LAUNCH_PRESSURE, SHIFT_RPM)}
    return Setup(values={FUEL: fuel, GEAR_PRESSURE_CAP: caps, **values})


@pytest.mark.parametrize("front_share", [0.0, 0.4, 1.0])
def test_no_setup_beats_it_at_any_grip(car_with, conditions, front_share):
    car = car_with(front_share=front_share)
    parameters = default_parameters(car)
    bound_s = perfect_traction(car, parameters, conditions).outputs["et_s"]
    generator = np.random.default_rng(7)
    setups = [any_setup(car, fuel, generator) for fuel in car.fuels for _ in range(60)]
    for grip in (0.8, 1.0, 1.4, 2.5):
        outputs = drive_many(pack_setups(car, replace(parameters, grip=grip), setups, conditions))
        assert np.nanmin(outputs[:, OUTPUTS.index("et_s")]) > bound_s


def test_it_keeps_the_guards_that_pressure_can_cross_and_goes_up_to_them(car, conditions):
    """Injectors too small for the fuel's ceiling, and a fuel that knocks below it."""
    small = replace(car, fuel_system=replace(car.fuel_system, injector_flow_cc_min=580.0))
    parameters = replace(default_parameters(small), knock_onset_kpa=(260.0, 180.0))
    bound, guards = perfect_traction(small, parameters, conditions), small.guards
    assert bound.outputs["injector_duty"] <= guards.injector_duty + 1e-9
    assert bound.outputs["knock_retard_deg"] <= guards.knock_retard_deg + 1e-9
    # A step of the caps more would cross one of them.
    step = small.adjusters["gear_pressure_cap_kpa"].step
    caps = tuple(cap + step for cap in bound.setup.gear_pressure_cap_kpa)
    row = pack(small, parameters, bound.setup.with_values(gear_pressure_cap_kpa=caps), conditions)
    more = dict(zip(OUTPUTS, drive_many(without_slip(row[np.newaxis]))[0], strict=True))
    assert more["injector_duty"] > guards.injector_duty or more["knock_retard_deg"] > guards.knock_retard_deg


def test_the_columns_of_a_gear_are_in_the_order_that_the_bound_reads():
    first = OUTPUTS.index(f"gear1_{PER_GEAR[0]}")
    assert OUTPUTS[first : first + len(PER_GEAR)] == tuple(f"gear1_{name}" for name in PER_GEAR)
    assert len(OUTPUTS) - first == 10 * len(PER_GEAR)


def test_it_agrees_with_optimal_control_of_a_point_mass(car_with, still_air):
    """Direct collocation (trapezoidal, 120 intervals, IPOPT): least time of a point mass under the same two limits.

    Constant power at the crank in every gear, shifts of 1 ms, pressure held: the car is a point mass that the clutch
    limits to the torque of the lowest launch rpm and then the power. 0.5 % is asked; the torque table's straight
    lines cost up to 0.15 % of power.
    """
    power_w, efficiency, radius_m = 260e3, 0.88, 0.345
    base = car_with(front_share=0.4)
    curve = tuple((float(rpm), power_w / (rpm * np.pi / 30.0)) for rpm in np.linspace(1000.0, 8000.0, 71))
    car = replace(
        base,
        driveline=replace(base.driveline, engine_inertia_kgm2=1e-3, wheel_inertia_kgm2=0.3),
        clutch=replace(base.clutch, torque_capacity_nm=(5000.0,)),
        engine=replace(base.engine, full_load_torque_nm=curve),
        fuels={"E60": replace(base.fuels["E60"], manifold_pressure_max_kpa=200.0)},
        guards=replace(base.guards, injector_duty=5.0),
        adjusters={**base.adjusters, LAUNCH_RPM: replace(base.adjusters[LAUNCH_RPM], minimum=3000.0)},
    )
    parameters = replace(
        default_parameters(car),
        charge_temperature_exponent=0.0,
        threshold_exponent=0.0,
        pressure_rise_s=1e-3,
        shift_time_s=1e-3,
        launch_release_s=1e-3,
    )
    bound = perfect_traction(car, parameters, still_air)

    first = 4.0 * 3.7 * efficiency / radius_m
    launch_n = first * power_w / (bound.setup.launch_rpm * np.pi / 30.0)
    mass_kg = car.chassis.mass_kg + 4.0 * 0.3 / radius_m**2
    seconds = point_mass_least_s(mass_kg, launch_n, efficiency * power_w, 0.5 * 1.225 * 0.63, 0.014 * 1750.0 * 9.80665)
    assert bound.outputs["et_s"] + bound.outputs["rollout_s"] == pytest.approx(seconds, rel=5e-3)


def point_mass_least_s(mass_kg, most_n, power_w, drag_kgpm, rolling_n):
    """Least time over a quarter mile from rest by direct collocation; speed and force over distance are free."""
    n = 120
    problem = casadi.Opti()
    duration = problem.variable()
    x, v, force = problem.variable(n + 1), problem.variable(n + 1), problem.variable(n + 1)
    step = duration / n
    pull = (force * 1e4 - drag_kgpm * v**2 - rolling_n) / mass_kg
    problem.minimize(duration)
    for i in range(n):
        problem.subject_to(x[i + 1] == x[i] + 0.5 * step * (v[i] + v[i + 1]))
        problem.subject_to(v[i + 1] == v[i] + 0.5 * step * (pull[i] + pull[i + 1]))
    problem.subject_to(problem.bounded(0.0, force, most_n / 1e4))
    problem.subject_to(force * v * 1e4 <= power_w)
    problem.subject_to([x[0] == 0.0, v[0] == 0.0, x[n] == FINISH_M])
    problem.set_initial(duration, 11.0)
    problem.set_initial(x, np.linspace(0.0, FINISH_M, n + 1))
    problem.set_initial(v, np.linspace(1.0, 55.0, n + 1))
    problem.set_initial(force, 0.5)
    problem.solver("ipopt", {"print_time": False}, {"print_level": 0, "sb": "yes"})
    return float(problem.solve().value(duration))
