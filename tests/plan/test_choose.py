"""The grid that is searched keeps to what the passes allow."""

import pytest

from nextpass.fit import fit_car
from nextpass.plan.choose import Bounds, bounded_grid
from nextpass.plan.expected import scenarios_of


@pytest.fixture(scope="module")
def scenarios(car, cool_evening):
    return scenarios_of(car, fit_car(car, ()).versions(cool_evening, count=4, seed=3), cool_evening)


def test_the_grid_keeps_to_what_the_passes_allow(scenarios, newest):
    bounds = Bounds(
        ceiling_kpa=215.0,
        ceiling_by="step guard",
        first_gear_kpa=165.0,
        first_gear_by="injector",
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
