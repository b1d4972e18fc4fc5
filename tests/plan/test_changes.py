"""What is said of a change is true of the figures beside it."""

import pytest

from nextpass.fit import fit_car
from nextpass.plan.changes import changes_between
from nextpass.plan.expected import scenarios_of
from nextpass.plan.trust import NO_PASS


@pytest.fixture(scope="module")
def scenarios(car, cool_evening):
    return scenarios_of(car, fit_car(car, ()).versions(cool_evening, count=8, seed=3), cool_evening)


def why_rpm(scenarios, newest, setup):
    return next(one.why for one in changes_between(scenarios, NO_PASS, newest, setup) if one.adjuster == "launch_rpm")


def test_a_launch_that_gains_no_60_ft_is_not_said_to(scenarios, newest):
    """Higher rpm with less pressure: the tyres get less, and the 60 ft cannot gain."""
    harder = newest.with_values(launch_rpm=3400.0, launch_pressure_kpa=150.0)
    assert "the 60 ft gain 0." in why_rpm(scenarios, newest, harder)
    softer = newest.with_values(launch_rpm=3100.0, launch_pressure_kpa=100.0)
    assert "nothing that clocks could show" in why_rpm(scenarios, newest, softer)
