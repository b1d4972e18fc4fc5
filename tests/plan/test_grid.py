"""Every setup that a search can meet can be dialled in."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nextpass.car import Adjuster
from nextpass.plan.grid import fuels_to_try, grid_around, planned_slots

GEARS = (1, 2, 3, 4, 5)


def test_a_setup_survives_the_way_through_its_point(car, newest):
    grid = grid_around(car, newest, GEARS, pressure_ceiling_kpa=400.0)
    assert grid.setup(grid.point(newest)) == newest


def test_launch_and_caps_and_shift_are_planned_in_the_order_of_the_pass(car):
    slots = planned_slots(car, (3, 1))
    assert [(slot.adjuster.name, slot.gear) for slot in slots] == [
        ("launch_rpm", None),
        ("launch_pressure_kpa", None),
        ("gear_pressure_cap_kpa", 1),
        ("gear_pressure_cap_kpa", 3),
        ("shift_rpm", None),
    ]


def test_a_gear_that_the_pass_does_not_use_keeps_its_cap(car, newest):
    grid = grid_around(car, newest, (1, 2), pressure_ceiling_kpa=400.0)
    far = grid.setup(grid.highest)
    assert far.gear_pressure_cap_kpa == (260.0, 260.0, 180.0, 190.0, 190.0, 190.0)
    assert far.values["charge_spray"] is False


def test_the_ceiling_rounds_down_to_the_step(car, newest):
    grid = grid_around(car, newest, GEARS, pressure_ceiling_kpa=229.9)
    far = grid.setup(grid.highest)
    assert max(far.gear_pressure_cap_kpa) == 225.0
    # The launch pressure ends where its own range ends.
    assert far.launch_pressure_kpa == 200.0


def test_a_ceiling_below_the_whole_range_leaves_the_lowest_value(car, newest):
    grid = grid_around(car, newest, GEARS, pressure_ceiling_kpa=90.0)
    far = grid.setup(grid.highest)
    assert far.launch_pressure_kpa == 100.0
    assert far.gear_pressure_cap_kpa == (120.0, 120.0, 120.0, 120.0, 120.0, 190.0)


def test_neighbours_differ_in_one_value_by_one_stride(car, newest):
    grid = grid_around(car, newest, GEARS, pressure_ceiling_kpa=400.0)
    point = grid.point(newest)
    around = grid.neighbours(point, (1, 3))
    moved = around - point
    assert (np.count_nonzero(moved, axis=1) == 1).all()
    assert set(np.abs(moved).max(axis=1)) == {1, 3}
    assert len(around) == 4 * len(grid.slots)


def test_neighbours_at_the_edge_stay_inside_and_are_not_repeated(car, newest):
    grid = grid_around(car, newest, GEARS, pressure_ceiling_kpa=400.0)
    around = grid.neighbours(grid.lowest, (1, 2))
    assert (around >= grid.lowest).all()
    assert len(np.unique(around, axis=0)) == len(around) == 2 * len(grid.slots)


@settings(deadline=None)
@given(
    minimum=st.integers(-500, 5000),
    step=st.sampled_from([0.1, 0.25, 0.5, 1.0, 5.0, 50.0, 100.0]),
    span=st.floats(0.0, 60.0),
    ceiling=st.floats(50.0, 400.0),
    levels=st.lists(st.integers(-100, 100), min_size=9, max_size=9),
)
def test_every_point_is_on_step_and_in_range(car, newest, minimum, step, span, ceiling, levels):
    odd = Adjuster(name="launch_rpm", kind="number", minimum=float(minimum), maximum=minimum + span * step, step=step)
    oddly = replace(car, adjusters={**car.adjusters, "launch_rpm": odd})
    grid = grid_around(oddly, newest, (1, 2, 3, 4, 5, 6), pressure_ceiling_kpa=ceiling)
    setup = grid.setup(grid.clip(np.array(levels)))
    for slot in grid.slots:
        value = slot.read(setup)
        assert slot.adjuster.is_on_step(value)
        assert slot.adjuster.minimum <= value <= slot.adjuster.maximum
        if slot.is_pressure:
            assert value <= max(ceiling, slot.adjuster.minimum)


def test_gentleness_counts_the_pressures_only(car, newest):
    grid = grid_around(car, newest, (1, 2), pressure_ceiling_kpa=400.0)
    assert grid.pressures_kpa(grid.point(newest)[np.newaxis]) == pytest.approx(np.array([[120.0, 150.0, 165.0]]))


def test_only_fuels_that_passes_were_run_with_are_tried_the_newest_first(car, newest):
    on_road98 = newest.with_values(fuel="road98")
    assert fuels_to_try(car, [newest, newest]) == ("E60",)
    assert fuels_to_try(car, [on_road98, newest]) == ("E60", "road98")
    assert fuels_to_try(car, [newest, on_road98]) == ("road98", "E60")
