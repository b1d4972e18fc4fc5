"""The best setup that differs from the last one in few values, for a calibrator who changes one thing at a time."""

from functools import partial

import numpy as np

from nextpass.car import Setup
from nextpass.plan.choose import EXPECTED_OVER, NOTHING_S, Bounds, Choice, bounded_grid
from nextpass.plan.expected import Scenarios
from nextpass.plan.panel import panel_of
from nextpass.plan.search import Ledgered
from nextpass.plan.trust import Trust


def few_changes(scenarios: Scenarios, trust: Trust, newest: Setup, best: Choice, bounds: Bounds, most: int) -> Choice:
    """The best setup that differs from the newest in few values: the best single one first, then the next with it.

    Parameters
    ----------
    scenarios : Scenarios
    trust : Trust
    newest : Setup
    best : Choice
        Without a bound on the number of changes; its values are among those that are tried.
    bounds : Bounds
    most : int
        How many values may move.

    Returns
    -------
    Choice
        Fewer values move where more would bring nothing.
    """
    grid = bounded_grid(scenarios, newest, bounds)
    panel = panel_of(scenarios, trust, EXPECTED_OVER, newest, [best.setup, grid.setup(grid.highest)])
    paid = Ledgered(partial(panel.cost, grid))
    point, goal = grid.point(newest), grid.point(best.setup)
    cost = float(paid(point[np.newaxis])[0])
    free = set(range(len(point)))
    for _ in range(most):
        tried = []
        for i in free:
            around = [goal[i], *(point[i] + stride for stride in (-16, -8, -4, -2, -1, 1, 2, 4, 8, 16))]
            for level in around:
                moved = point.copy()
                moved[i] = level
                tried.append(moved)
        points = grid.clip(np.array(tried))
        costs = paid(points)
        winner = int(np.argmin(costs))
        if costs[winner] >= cost - NOTHING_S:
            break
        free -= set(np.flatnonzero(points[winner] != point).tolist())
        point, cost = points[winner], float(costs[winner])
    return Choice(setup=grid.setup(point), cost_s=cost)
