"""Common sense: what helps a car never makes its forecast slower."""

from dataclasses import replace

import numpy as np
import pytest

from nextpass.fit import fit_car
from nextpass.plan.expected import elapsed_s, scenarios_of
from nextpass.sim import default_parameters

# A millisecond of the fixed step's own error is no slower.
STEP_S = 0.002


@pytest.fixture(scope="module")
def versions(car, cool_evening):
    return fit_car(car, ()).versions(cool_evening, count=12, seed=3)


@pytest.fixture(scope="module")
def all_versions(car, cool_evening):
    """As many as a forecast stands on: in a single one more grip can bog the engine that spin kept in its pressure."""
    return fit_car(car, ()).versions(cool_evening, seed=3)


def mean_s(car, versions, setup, day):
    return float(elapsed_s(scenarios_of(car, versions, day).drive([setup])).mean())


def changed(versions, **factors):
    return [replace(one, **{name: getattr(one, name) * factor for name, factor in factors.items()}) for one in versions]


@pytest.mark.parametrize("grip", [0.85, 0.95, 1.05, 1.2])
def test_more_grip_is_never_slower(car, newest, cool_evening, all_versions, grip):
    slower = mean_s(car, changed(all_versions, grip=grip), newest, cool_evening)
    assert mean_s(car, changed(all_versions, grip=grip * 1.05), newest, cool_evening) <= slower + STEP_S


@pytest.mark.parametrize("mass", [0.9, 1.0, 1.1])
def test_less_mass_is_never_slower_where_the_tyres_grip(car, newest, cool_evening, versions, mass):
    gripping = changed(versions, peak_friction=1.4)
    heavy = mean_s(car, changed(gripping, mass_kg=mass), newest, cool_evening)
    assert mean_s(car, changed(gripping, mass_kg=0.97 * mass), newest, cool_evening) <= heavy + STEP_S


@pytest.mark.parametrize("gear", [1, 2, 3, 4, 5])
def test_more_pressure_is_never_slower_where_the_tyres_grip(car, newest, cool_evening, versions, gear):
    # Grip without end, and an engine that does not knock: nothing is left for pressure to spoil.
    easy = changed(versions, peak_friction=3.0)
    easy = [replace(one, knock_onset_kpa=tuple(400.0 for _ in one.knock_onset_kpa)) for one in easy]
    caps = list(newest.gear_pressure_cap_kpa)
    caps[gear - 1] += 10.0
    more = newest.with_values(gear_pressure_cap_kpa=tuple(caps))
    assert mean_s(car, easy, more, cool_evening) <= mean_s(car, easy, newest, cool_evening) + STEP_S


@pytest.mark.parametrize("warm_c", [10.0, 20.0, 30.0])
def test_cooler_air_is_never_slower_where_the_tyres_grip(car, newest, cool_evening, versions, warm_c):
    gripping = changed(versions, peak_friction=1.4)
    warm = replace(cool_evening, air_temperature_c=warm_c)
    cool = replace(cool_evening, air_temperature_c=warm_c - 5.0)
    assert mean_s(car, gripping, newest, cool) <= mean_s(car, gripping, newest, warm) + STEP_S


def test_perfect_traction_bounds_every_version(car, newest, cool_evening):
    from nextpass.plan.limit import limit_of

    fitted = fit_car(car, ())
    few = scenarios_of(car, fitted.versions(cool_evening, count=12, seed=3), cool_evening)
    limit = limit_of(few, default_parameters(car))
    gripping = few.with_grip(1.5)
    harsh = newest.with_values(gear_pressure_cap_kpa=(220.0, 240.0, 245.0, 245.0, 245.0, 245.0), launch_rpm=4000.0)
    assert limit.value <= np.quantile(elapsed_s(gripping.drive([harsh])), 0.5)
