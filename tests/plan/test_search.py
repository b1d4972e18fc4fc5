"""The descent against costs whose best point is known by construction."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nextpass.plan.grid import grid_around
from nextpass.plan.search import Ledgered, descend

GEARS = (1, 2, 3, 4, 5, 6)


@pytest.fixture(scope="module")
def grid(car, newest):
    return grid_around(car, newest, GEARS, pressure_ceiling_kpa=400.0)


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_a_separable_bowl_is_solved_exactly(grid, seed):
    rng = np.random.default_rng(seed)
    goal = rng.integers(grid.lowest, grid.highest + 1)
    weight = rng.uniform(0.1, 10.0, len(goal))
    found = descend(grid, lambda points: ((points - goal) ** 2 * weight).sum(axis=1), grid.point(grid.around)[None])
    assert (found.point == goal).all()
    assert found.cost == 0.0


def test_a_cliff_between_start_and_goal_is_passed_from_another_start(grid):
    goal = grid.highest - 2

    def walled(points):
        # A wall across the launch rpm, as a bogging engine makes one: five steps wide, higher than anything else.
        wall = (points[:, 0] > 10) & (points[:, 0] < 16)
        return np.abs(points - goal).sum(axis=1) + 1000.0 * wall

    starts = np.stack([grid.lowest, (grid.lowest + grid.highest) // 2, grid.highest])
    found = descend(grid, walled, starts)
    assert (found.point == goal).all()


def test_the_best_point_stays_inside_the_bounds(grid):
    found = descend(grid, lambda points: -points.sum(axis=1).astype(float), grid.point(grid.around)[None])
    assert (found.point == grid.highest).all()


def test_a_point_is_paid_for_once(grid):
    asked = []

    def counting(points):
        asked.extend(map(tuple, points))
        return points.sum(axis=1).astype(float)

    paid = Ledgered(counting)
    descend(grid, paid, np.stack([grid.highest, grid.lowest]))
    descend(grid, paid, np.stack([grid.highest, grid.lowest]))
    assert len(asked) == len(set(asked))


def test_the_share_done_rises_to_one_round_before_the_end(grid):
    told = []
    descend(grid, lambda points: points.sum(axis=1).astype(float), grid.highest[None], report=told.append)
    assert told == sorted(told)
    assert told[0] > 0.0
    assert told[-1] <= 1.0
