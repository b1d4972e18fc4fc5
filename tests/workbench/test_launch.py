"""Clutch heat of a launch against energy and arithmetic."""

import dataclasses
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nextpass.workbench import launch_sum

RADPS = 2.0 * math.pi / 60.0
OVERALL = 4.06 * 3.70


def test_most_heat_is_the_cars_kinetic_energy_over_the_efficiency(car):
    """1795 kg and four wheels of 1.5 kg m2 at the road speed of 3500 rpm, over 0.88 (arithmetic)."""
    road_mps = 3500.0 * RADPS / OVERALL * 0.347
    kinetic_j = 0.5 * (1795.0 + 4.0 * 1.5 / 0.347**2) * road_mps**2
    launch = launch_sum(car, 3500.0)
    assert launch.of("clutch_energy_j").value == pytest.approx(kinetic_j / 0.88, rel=1e-9)
    assert launch.of("clutch_rise_k").value == pytest.approx(kinetic_j / 0.88 / 6000.0, rel=1e-9)
    assert launch.of("guard_share").value == pytest.approx(kinetic_j / 0.88 / 240e3, rel=1e-9)


def test_least_heat_is_that_of_two_inertias_coming_together(car):
    """1/2 I1 I2/(I1 + I2) w^2 with 0.20 kg m2 before and the car behind (arithmetic)."""
    car_kgm2 = (1795.0 + 4.0 * 1.5 / 0.347**2) * 0.347**2 / OVERALL**2 / 0.88
    expected = 0.5 * 0.20 * car_kgm2 / (0.20 + car_kgm2) * (3500.0 * RADPS) ** 2
    launch = launch_sum(car, 3500.0)
    assert launch.of("clutch_energy_least_j").value == pytest.approx(expected, rel=1e-9)
    assert launch.of("clutch_energy_least_j").value < launch.of("clutch_energy_j").value


def test_slip_lasts_as_long_as_the_weaker_pack_needs(car):
    """I w/(T efficiency) with the 970 N m of pack A (arithmetic)."""
    car_kgm2 = (1795.0 + 4.0 * 1.5 / 0.347**2) * 0.347**2 / OVERALL**2
    expected = car_kgm2 * 3500.0 * RADPS / (970.0 * 0.88)
    assert launch_sum(car, 3500.0).of("slip_s").value == pytest.approx(expected, rel=1e-9)


@given(rpm=st.floats(1500.0, 6000.0))
def test_at_the_limit_the_heat_is_the_guard(car, rpm):
    limit_rpm = launch_sum(car, rpm).of("launch_limit_rpm").value
    assert launch_sum(car, limit_rpm).of("guard_share").value == pytest.approx(1.0, rel=1e-9)


def test_heat_over_the_guard_is_cautioned(car):
    guarded = dataclasses.replace(car, guards=dataclasses.replace(car.guards, clutch_energy_j=60e3))
    assert launch_sum(guarded, 3500.0).cautions[0] == "The heat of one launch can go over the guard"
    assert "The heat of one launch can go over the guard" not in launch_sum(car, 3500.0).cautions


def test_plus_minus_of_the_heat_is_that_of_mass_and_efficiency(car):
    """1 % of the car's own share of the moved mass, and 3 % (GUM, arithmetic)."""
    heat = launch_sum(car, 3500.0).of("clutch_energy_j")
    wheels_kg = 4.0 * 1.5 / 0.347**2
    expected = math.hypot(0.01 * 1795.0 / (1795.0 + wheels_kg), 0.03)
    assert heat.plus_minus / heat.value == pytest.approx(expected, rel=2e-3)
