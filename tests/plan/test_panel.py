"""The few scenarios of a walk hold the guards where all scenarios do, no harsher."""

import numpy as np
import pytest

from nextpass.fit import fit_car
from nextpass.plan.expected import scenarios_of
from nextpass.plan.grid import grid_around
from nextpass.plan.guards import GUARD_RULES, worst_figures
from nextpass.plan.panel import panel_of
from nextpass.plan.trust import NO_PASS


@pytest.fixture(scope="module")
def scenarios(car, cool_evening):
    return scenarios_of(car, fit_car(car, ()).versions(cool_evening, count=48, seed=3), cool_evening)


def test_where_the_walk_begins_the_panel_stands_at_the_pessimistic_figure_of_all(scenarios, newest):
    """Several sentinels and the versions of the expectation are together harsher than 97 of 100 scenarios."""
    grid = grid_around(scenarios.car, newest, range(1, 7), 240.0)
    begin, harshest = grid.setup(grid.point(newest) + 4), grid.setup(grid.highest)
    panel = panel_of(scenarios, NO_PASS, 8, newest, [begin, harshest])
    shares = panel.shares(panel.scenarios.drive([begin]), [begin])
    worst = worst_figures(scenarios.drive([begin]), [begin], NO_PASS)
    limits = {rule.name: rule.limit(scenarios.car.guards) for rule in GUARD_RULES}
    assert {"injector_duty_pct", "charge_air_c"} & shares.keys()
    for name, share in shares.items():
        assert share == pytest.approx(worst[name] / limits[name] - 1.0, abs=1e-9)


def test_a_loss_counts_more_the_more_passes_there_are(scenarios, newest):
    lost_s = np.array([-0.2, 0.04, 0.5])
    panel = panel_of(scenarios, NO_PASS, 3, newest, [])
    early = panel.borne_s(lost_s)
    assert early[0] == pytest.approx(-0.2)
    assert 0.0 < early[1] < 0.04
    assert early[2] < 0.5
