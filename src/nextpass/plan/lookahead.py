"""A launch chosen for its own time and for what it shows the pass after it.

Off the line the tyres hold or let go, and a pass that held does not show how much more they would have held: a plan
that looks at its own pass alone stays where it is sure, pass after pass. So each launch around the end of a walk is
also weighed by what the pass after it may expect once this one was seen: the value of information one step ahead
(knowledge gradient: Frazier, Powell & Dayanik, SIAM J. Control Optim. 47 (2008) 2410; from memory).
"""

from dataclasses import dataclass

import numpy as np

from nextpass.car import LAUNCH_PRESSURE, LAUNCH_RPM
from nextpass.plan.expected import UNFINISHED_S, FloatArray, elapsed_s, figure
from nextpass.plan.grid import IntArray, SetupGrid
from nextpass.plan.guards import excess
from nextpass.plan.panel import Panel

# By how many passes there are, the last for all after: how much the time of the pass after the planned one counts.
# After one pass a launch over the edge costs too much, for a gear that slipped is held; after three, what was learnt
# is used.
WORTH_LATER = (0.0, 1.0, 0.0)
# Launches that are weighed: so far from the end of the walk.
AWAY = {
    LAUNCH_RPM: (-600.0, -300.0, 0.0, 300.0, 600.0),
    LAUNCH_PRESSURE: (-15.0, -10.0, -5.0, 0.0, 5.0, 10.0, 15.0, 20.0, 25.0),
}
# Clocks by which a pass tells versions apart, and by how many seconds two must differ for that: the scatter of a pass,
# and the luck of its tyres and its driver, which the versions hold too.
TOLD_APART_S = {"t60ft_s": 0.04, "et_s": 0.08}


@dataclass(frozen=True, slots=True, kw_only=True)
class Teaching:
    """What a launch that is meant to teach costs on its own pass and brings the pass after it, both expected [s]."""

    cost_s: float
    worth_s: float


def launches_around(grid: SetupGrid, point: IntArray) -> IntArray:
    """Points that differ from a point in launch rpm and launch pressure only, itself first; shape (m, k)."""
    levels = {
        i: point[i] + np.array([round(far / slot.adjuster.step) for far in AWAY[slot.adjuster.name]])
        for i, slot in enumerate(grid.slots)
        if slot.adjuster.name in AWAY
    }
    points = grid.with_levels(point[np.newaxis], levels)
    _, first = np.unique(points, axis=0, return_index=True)
    return np.asarray(points[np.sort(first)])


def time_after_s(costs_s: FloatArray, shown: FloatArray) -> FloatArray:
    """What the pass after may expect once a pass at each point was seen.

    Each version in turn is taken for the truth, and the others for what is believed of it after its pass.

    Parameters
    ----------
    costs_s : ndarray, shape (versions, points)
        What each point costs in each version [s].
    shown : ndarray, shape (versions, points, figures)
        What a pass shows, in units of the difference that tells two versions apart.

    Returns
    -------
    ndarray, shape (points,)
        Mean over the versions of what the point that would be chosen costs [s].
    """
    versions = np.arange(len(costs_s))
    found = np.empty(shown.shape[1])
    for point in range(shown.shape[1]):
        apart = np.square(shown[:, np.newaxis, point] - shown[np.newaxis, :, point]).sum(axis=2)
        np.fill_diagonal(apart, np.inf)
        # The nearest counts in full, so that a version that is like no other still has something to believe.
        weights = np.exp(-0.5 * (apart - apart.min(axis=1, keepdims=True)))
        believed = weights @ costs_s / weights.sum(axis=1, keepdims=True)
        found[point] = costs_s[versions, believed.argmin(axis=1)].mean()
    return found


def taught_launch(grid: SetupGrid, whole: Panel, point: IntArray) -> tuple[IntArray, Teaching | None]:
    """The launch for which the time of its own pass and that of the pass after are the least together.

    Parameters
    ----------
    grid : SetupGrid
    whole : Panel
        Of all scenarios.
    point : ndarray of int, shape (k,)
        Where the walk ended.

    Returns
    -------
    point : ndarray of int, shape (k,)
        Keeps every guard at the pessimistic end, or is the point itself.
    teaching : Teaching or None
        None where the point stays.
    """
    later = WORTH_LATER[whole.stage]
    if not later:
        return point, None
    points = launches_around(grid, point)
    setups = [grid.setup(one) for one in points]
    outputs = whole.scenarios.drive(setups)
    keeps = np.flatnonzero(excess(outputs, setups, whole.trust, whole.scenarios.car.guards) == 0.0)
    if not keeps.size or keeps[0] != 0:
        return point, None
    points, setups, outputs = points[keeps], [setups[i] for i in keeps], outputs[:, keeps]
    own_s = whole.cost_of(grid, points, setups, outputs)
    # What is the same in all versions: error and doubt of the equations, the prices of harshness and spread.
    beside_s = own_s - elapsed_s(outputs).mean(axis=0)
    clocks = [
        (np.nan_to_num(figure(outputs, name), nan=UNFINISHED_S) + whole.trust.error(setups, name)[0]) / apart_s
        for name, apart_s in TOLD_APART_S.items()
    ]
    after_s = time_after_s(elapsed_s(outputs) + beside_s, np.stack(clocks, axis=-1))
    at = int(np.argmin(own_s + later * after_s))
    if at == 0:
        return point, None
    return points[at], Teaching(cost_s=float(own_s[at] - own_s[0]), worth_s=float(after_s[0] - after_s[at]))
