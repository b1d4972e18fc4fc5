"""What a launch shows is weighed as decision theory has it, and no guard is given up for it."""

import numpy as np
import pytest

from nextpass.car import LAUNCH_PRESSURE, LAUNCH_RPM
from nextpass.fit import fit_car
from nextpass.plan import lookahead
from nextpass.plan.choose import excess_of
from nextpass.plan.expected import scenarios_of
from nextpass.plan.grid import grid_around
from nextpass.plan.lookahead import launches_around, taught_launch, time_after_s
from nextpass.plan.panel import whole_panel
from nextpass.plan.trust import NO_PASS

# Two kinds of car, alike in number: one whose tyres let go at the bold launch and one whose tyres hold.
LETS_GO, HOLDS = (0.0, 0.3), (0.0, -0.1)
COSTS_S = np.array([LETS_GO, LETS_GO, HOLDS, HOLDS])


def test_a_launch_that_tells_all_is_worth_the_value_of_perfect_information():
    """Mean of the least cost of each kind (value of perfect information; textbook decision theory)."""
    shown = np.array([[0.0, 9.0], [0.0, 9.0], [0.0, 0.0], [0.0, 0.0]])[..., np.newaxis]
    sure, bold = time_after_s(COSTS_S, shown)
    assert sure == pytest.approx(0.0)
    assert bold == pytest.approx(COSTS_S.min(axis=1).mean())


def test_a_launch_that_tells_nothing_leaves_the_choice_as_it_is():
    shown = np.zeros((4, 2, 1))
    np.testing.assert_allclose(time_after_s(COSTS_S, shown), COSTS_S.mean(axis=0).min())


def test_a_version_does_not_know_itself():
    """Were its own kind counted among what is believed, each would choose its best launch without any pass."""
    shown = np.array([[0.0], [0.0], [9.0], [9.0]])[:, np.newaxis].repeat(2, axis=1)
    alone = np.array([[0.0, 0.3], [0.0, -0.5], [0.0, 0.3], [0.0, -0.5]])
    # Each believes its one neighbour, which is of the other kind: all are wrong.
    np.testing.assert_allclose(time_after_s(alone, shown), np.mean([0.3, 0.0, 0.3, 0.0]))


@pytest.fixture(scope="module")
def scenarios(car, cool_evening):
    return scenarios_of(car, fit_car(car, ()).versions(cool_evening, count=24, seed=3), cool_evening)


def test_launches_around_a_setup_differ_in_launch_alone(car, newest):
    grid = grid_around(car, newest, range(1, 7), 240.0)
    points = launches_around(grid, grid.point(newest))
    setups = [grid.setup(point) for point in points]
    assert setups[0] == newest
    assert len({(one.launch_rpm, one.launch_pressure_kpa) for one in setups}) == len(setups) > 20
    moved = {name for one in setups for name, value in one.values.items() if value != newest.values[name]}
    assert moved == {LAUNCH_RPM, LAUNCH_PRESSURE}


def test_a_launch_that_teaches_keeps_every_guard_and_says_what_it_costs(scenarios, newest, monkeypatch):
    """However much the pass after counts."""
    monkeypatch.setattr(lookahead, "WORTH_LATER", (50.0,))
    grid = grid_around(scenarios.car, newest, range(1, 7), 240.0)
    gentle = newest.with_values(gear_pressure_cap_kpa=(130.0,) * 6)
    assert excess_of(scenarios, NO_PASS, gentle) == 0.0
    point, teaching = taught_launch(grid, whole_panel(scenarios, NO_PASS, newest), grid.point(gentle))
    assert teaching is not None
    assert excess_of(scenarios, NO_PASS, grid.setup(point)) == 0.0
    assert teaching.worth_s > 0.0
    assert 50.0 * teaching.worth_s > teaching.cost_s


def test_a_setup_over_a_guard_and_a_pass_that_is_the_last_to_learn_from_are_left(scenarios, newest, monkeypatch):
    grid = grid_around(scenarios.car, newest, range(1, 7), 240.0)
    whole = whole_panel(scenarios, NO_PASS, newest)
    harsh = grid.highest
    assert excess_of(scenarios, NO_PASS, grid.setup(harsh)) > 0.0
    assert (taught_launch(grid, whole, harsh)[0] == harsh).all()
    monkeypatch.setattr(lookahead, "WORTH_LATER", (0.0,))
    assert taught_launch(grid, whole, grid.point(newest))[1] is None
