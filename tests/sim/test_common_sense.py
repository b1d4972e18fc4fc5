"""What every calibrator knows: more grip, less mass, more pressure where it grips and cooler air are never slower.

Held at the setup, over launches on boost. A launch far below the turbocharger's threshold is another matter: there a
wheel that spins keeps the engine on boost, and grip can bog it.
"""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from nextpass.car import GEAR_PRESSURE_CAP
from nextpass.proving import fleet
from nextpass.sim import OUTPUTS, default_parameters, drive_many, pack

ET = OUTPUTS.index("et_s")
# Half of a clock's resolution, and of what the step itself leaves.
NEVER_SLOWER_S = 2e-3
# Grip at which no axle of any of these cars can spin, the unloaded front one included.
GLUED = 4.0
SHARES = (0.0, 0.4, 1.0)
LAUNCHES = (3200.0, 3800.0, 4400.0)
LOW, MIDDLE, HIGH = (
    (130.0, 150.0, 170.0, 190.0, 200.0, 200.0),
    (150.0, 170.0, 190.0, 200.0, 200.0, 200.0),
    (190.0, 210.0, 220.0, 230.0, 230.0, 230.0),
)


def cases(car_with, setup_with):
    for share, launch_rpm, which in product(SHARES, LAUNCHES, (0, 1)):
        # What spins one axle through three gears ends in a gear that bogs: no launch of any sense.
        both = (MIDDLE, HIGH) if share == SHARES[1] else (LOW, MIDDLE)
        caps = both[which]
        car = car_with(front_share=share)
        yield car, default_parameters(car), setup_with(launch_rpm=launch_rpm, launch_pressure=130.0, caps=caps)


def et_s(rows):
    return drive_many(np.stack(rows))[:, ET]


@pytest.mark.parametrize("more", [1.02, 1.05, 1.15])
def test_more_grip_is_never_slower(car_with, setup_with, conditions, more):
    every = list(cases(car_with, setup_with))
    before = et_s([pack(car, p, setup, conditions) for car, p, setup in every])
    after = et_s([pack(car, replace(p, grip=more), setup, conditions) for car, p, setup in every])
    assert (after <= before + NEVER_SLOWER_S).all()


@pytest.mark.parametrize("less", [0.99, 0.95])
def test_less_mass_is_never_slower_where_it_grips(car_with, setup_with, conditions, less):
    """On grip to spare: where the tyre limits, mass presses it down as much as it holds the car back."""
    every = [(car, replace(p, grip=GLUED), setup) for car, p, setup in cases(car_with, setup_with)]
    before = et_s([pack(car, p, setup, conditions) for car, p, setup in every])
    after = et_s([pack(car, replace(p, mass_kg=less * p.mass_kg), setup, conditions) for car, p, setup in every])
    assert (after < before).all()


@pytest.mark.parametrize("gear", range(1, 6))
def test_more_pressure_where_it_grips_is_never_slower(car_with, setup_with, conditions, gear):
    rows, raised = [], []
    for car, p, setup in cases(car_with, setup_with):
        caps = list(setup.gear_pressure_cap_kpa)
        caps[gear - 1] += 10.0
        gripping = replace(p, grip=GLUED)
        rows.append(pack(car, gripping, setup, conditions))
        raised.append(pack(car, gripping, setup.with_values(**{GEAR_PRESSURE_CAP: tuple(caps)}), conditions))
    assert (et_s(raised) <= et_s(rows) + NEVER_SLOWER_S).all()


@pytest.mark.parametrize("cooler_k", [2.0, 10.0])
def test_cooler_air_is_never_slower_where_it_grips(car_with, setup_with, conditions, cooler_k):
    """Denser air drags more, but charge that is as much cooler makes more torque than that costs."""
    cool = replace(conditions, air_temperature_c=conditions.air_temperature_c - cooler_k)
    every = [(car, replace(p, grip=GLUED), setup) for car, p, setup in cases(car_with, setup_with)]
    warm_s = et_s([pack(car, p, setup, conditions) for car, p, setup in every])
    assert (et_s([pack(car, p, setup, cool) for car, p, setup in every]) <= warm_s + NEVER_SLOWER_S).all()


def test_uphill_headwind_and_drag_cost_time(car, setup_, conditions):
    p = replace(default_parameters(car), grip=GLUED)
    calm = et_s([pack(car, p, setup_, conditions)])[0]
    hill = et_s([pack(car, p, setup_, replace(conditions, slope=0.01))])[0]
    wind = et_s([pack(car, p, setup_, replace(conditions, headwind_mps=5.0))])[0]
    body = et_s([pack(car, replace(p, drag_area_m2=0.8), setup_, conditions)])[0]
    assert min(hill, wind, body) > calm


def test_a_spinning_wheel_costs_time_against_the_same_torque_on_grip(car_with, setup_with, conditions):
    car = car_with(front_share=0.0)
    setup = setup_with(launch_rpm=4400.0, launch_pressure=170.0, caps=(240.0,) * 6)
    slick = drive_many(pack(car, default_parameters(car), setup, conditions)[np.newaxis])[0]
    glued = drive_many(pack(car, replace(default_parameters(car), grip=GLUED), setup, conditions)[np.newaxis])[0]
    assert slick[OUTPUTS.index("gear1_spin_s")] > 0.1
    assert glued[OUTPUTS.index("gear1_spin_s")] == 0.0
    assert slick[ET] > glued[ET] + 0.3


def test_a_pack_just_at_its_capacity_does_not_hold_the_pass_up():
    """It sticks and slips in turn: packs a hair stronger and weaker give the same time."""
    entry = fleet(1, 3)[0]
    car = entry.car.believed
    slick = replace(default_parameters(car), grip=0.85)
    rows = [
        pack(car, replace(slick, clutch_capacity_scale=scale), entry.baseline, entry.conditions)
        for scale in (0.299, 0.3, 0.301)
    ]
    weaker_s, at_s, stronger_s = et_s(rows)
    assert weaker_s >= at_s - NEVER_SLOWER_S
    assert at_s >= stronger_s - NEVER_SLOWER_S
    assert weaker_s - stronger_s < 0.2
