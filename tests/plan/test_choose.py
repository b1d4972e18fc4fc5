"""The grid that is searched keeps to what the passes allow."""

import numpy as np
import pytest

from nextpass.fit import fit_car
from nextpass.plan import choose
from nextpass.plan.choose import Bounds, bounded_grid, settled
from nextpass.plan.expected import scenarios_of
from nextpass.plan.grid import grid_around


@pytest.fixture(scope="module")
def scenarios(car, cool_evening):
    return scenarios_of(car, fit_car(car, ()).versions(cool_evening, count=4, seed=3), cool_evening)


def test_the_grid_keeps_to_what_the_passes_allow(scenarios, newest):
    bounds = Bounds(
        ceilings=((165.0, "injector"), *[(215.0, "step guard")] * (len(newest.gear_pressure_cap_kpa) - 1)),
        launch_kpa=140.0,
        held_gears=frozenset({2}),
        gears=(1, 2, 3, 4, 5),
    )
    grid = bounded_grid(scenarios, newest, bounds)
    highest = grid.setup(grid.highest)
    assert highest.launch_pressure_kpa == 140.0
    assert highest.gear_pressure_cap_kpa[:5] == (165.0, newest.gear_pressure_cap_kpa[1], 215.0, 215.0, 215.0)
    assert bounds.of_gear(1) == (165.0, "injector")
    assert bounds.of_gear(3) == (215.0, "step guard")


def test_a_walk_that_ends_a_hair_over_a_guard_is_mended_not_thrown_away(car, newest, monkeypatch):
    """Every step up gains 0.02 s, and each costs a part of a guard that so many steps and no more keep."""
    grid = grid_around(car, newest, (1, 2, 3), pressure_ceiling_kpa=400.0)
    kept = int(grid.highest.sum()) - 10

    def weighed(_grid, _whole, points):
        steps = points.sum(axis=1)
        return 12.0 - 0.02 * steps, np.maximum(steps - kept, 0) * 5e-3

    monkeypatch.setattr(choose, "_weighed", weighed)
    over = grid.highest.copy()
    over[0] -= 8
    found = settled(grid, None, np.stack([over, grid.lowest]))
    assert found.point.sum() == kept
    assert found.cost == pytest.approx(12.0 - 0.02 * kept)


def test_a_walk_that_ends_far_over_a_guard_loses_to_what_keeps_it(car, newest, monkeypatch):
    grid = grid_around(car, newest, (1, 2, 3), pressure_ceiling_kpa=400.0)

    def weighed(_grid, _whole, points):
        steps = points.sum(axis=1)
        return 12.0 - 0.02 * steps, np.where(steps > grid.lowest.sum(), 0.5, 0.0)

    monkeypatch.setattr(choose, "_weighed", weighed)
    assert (settled(grid, None, np.stack([grid.highest, grid.lowest])).point == grid.lowest).all()
