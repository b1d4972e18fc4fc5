"""What a car can have done below its driven wheels, against closed forms."""

from dataclasses import replace

import numpy as np
import pytest

from nextpass.review.speed.engine_pull import ABOVE_EXPECTED, engine_pull_mps2
from nextpass.review.speed.wheels import MAY_LOSE_MPS, reachable_speed

TIME_S = np.arange(0.0, 4.0, 0.02)
ALWAYS = np.ones(TIME_S.size, dtype=bool)


def test_wheels_that_hold_are_believed_as_they_are():
    assert reachable_speed(TIME_S, 5.0 * TIME_S, 6.0, ALWAYS) == pytest.approx(5.0 * TIME_S, abs=1e-9)


def test_a_spinning_wheel_is_cut_to_what_tyres_can_give():
    assert reachable_speed(TIME_S, 20.0 * TIME_S, 6.0, ALWAYS) == pytest.approx(6.0 * TIME_S, abs=1e-9)


def test_wheels_that_come_back_to_the_car_tell_what_it_did_before():
    wheels = np.interp(TIME_S, [0.0, 1.0, 2.0, 2.5, 4.0], [0.0, 15.0, 25.0, 10.0, 16.0])
    most = reachable_speed(TIME_S, wheels, 7.0, ALWAYS)
    assert most[TIME_S < 2.5].max() == pytest.approx(10.0 + MAY_LOSE_MPS, abs=0.2)
    # Lifted, a car may slow: nothing is then taken off what it did before.
    lifted = reachable_speed(TIME_S, wheels, 7.0, TIME_S < 2.0)
    assert lifted[TIME_S < 2.0].max() == pytest.approx(7.0 * 1.98, abs=0.05)


def test_the_engine_gives_no_more_than_torque_through_the_gear(car, log_of):
    # First gear closed, 200 kPa and so the file's own torque; engine speed held, so that all of it is passed on.
    bare = replace(car, driveline=replace(car.driveline, wheel_inertia_kgm2=0.0))
    rpm, overall, radius_m = 4500.0, 3.9 * 3.5, 0.34
    steady = np.full(TIME_S.size, rpm / overall * 2.0 * np.pi / 60.0 * radius_m)
    log = log_of(
        {
            "engine_rpm": (TIME_S, np.full(TIME_S.size, rpm)),
            "manifold_pressure_kpa": (TIME_S, np.full(TIME_S.size, 200.0)),
        },
        50.0,
    )
    # Newton: torque 590 N m x ratio x efficiency 0.88 / radius / 1600 kg.
    expected = 590.0 * overall * 0.88 / radius_m / 1600.0
    assert engine_pull_mps2(bare, log, TIME_S, steady) == pytest.approx((1.0 + ABOVE_EXPECTED) * expected, rel=1e-6)


def test_without_engine_speed_nothing_is_known_of_its_pull(car, log_of):
    assert engine_pull_mps2(car, log_of({}, 50.0), TIME_S, 5.0 * TIME_S) is None
