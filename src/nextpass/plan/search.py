"""The cheapest point of a grid, by few batches of many points.

A cost over setups has cliffs (a wheel lets go, an engine bogs) and is otherwise nearly separable: a cap hardly changes
what the next one is worth. So each round tries every slot both ways by several strides at once, from several starts,
and also the point that takes the best stride of every slot together; strides halve when a round brings nothing. Points
are never paid for twice. The end is a point that no single step improves, not a proof of the global best: the several
starts stand against that.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from nextpass.plan.grid import FloatArray, IntArray, SetupGrid

Cost = Callable[[IntArray], FloatArray]  # points, shape (m, k) -> cost, shape (m,); lower is better, never nan


@dataclass(slots=True)
class Ledgered:
    """A cost that remembers what it has been asked: points are paid for once.

    Parameters
    ----------
    cost : callable
        Of points, shape (m, k).
    known : dict
        Cost by point.
    """

    cost: Cost
    known: dict[bytes, float] = field(default_factory=dict)

    def __call__(self, points: IntArray) -> FloatArray:
        """Cost of points, shape (m,)."""
        keys = [point.tobytes() for point in np.ascontiguousarray(points)]
        fresh = [i for i, key in enumerate(keys) if key not in self.known]
        unique = list({keys[i]: i for i in fresh}.values())
        if unique:
            for i, cost in zip(unique, self.cost(points[unique]), strict=True):
                self.known[keys[i]] = float(cost)
        return np.array([self.known[key] for key in keys])


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """The best point of a search and its cost."""

    point: IntArray
    cost: float


def descend(
    grid: SetupGrid,
    cost: Cost,
    starts: IntArray,
    strides: Sequence[int] = (8, 4, 2, 1),
    rounds: int = 40,
    report: Callable[[float], None] | None = None,
) -> Found:
    """The best point that a descent from several starts comes to.

    Parameters
    ----------
    grid : SetupGrid
        Bounds of the walk.
    cost : callable
        Points, shape (m, k), to costs, shape (m,), in any unit.
    starts : ndarray of int, shape (n, k)
        Where to begin; the best few are followed.
    strides : sequence of int
        Steps tried from each point, longest first; each is dropped when a round brings nothing.
    rounds : int
        Most rounds.
    report : callable, optional
        Called after each round with the share of the work that is done, 0..1.

    Returns
    -------
    Found
        No neighbour by the last stride is cheaper, unless the rounds ran out.
    """
    paid = cost if isinstance(cost, Ledgered) else Ledgered(cost)
    best = _cheapest(paid, np.unique(grid.clip(starts), axis=0))
    left = list(strides)
    for number in range(rounds):
        following = _step(grid, paid, best, left)
        if following.cost < best.cost:
            best = following
        elif len(left) > 1:
            left.pop(0)
        else:
            break
        if report is not None:
            report(1.0 - (1.0 - (number + 1) / rounds) * len(left) / len(strides))
    return best


def _cheapest(cost: Cost, points: IntArray) -> Found:
    costs = cost(points)
    i = int(np.argmin(costs))
    return Found(point=points[i], cost=float(costs[i]))


def _step(grid: SetupGrid, cost: Cost, best: Found, strides: Sequence[int]) -> Found:
    """The cheapest of all single moves and of the moves that combine the best ones."""
    around = grid.neighbours(best.point, strides[:2])
    if not len(around):
        return best
    costs = cost(around)
    moves = around - best.point
    gains = best.cost - costs
    slot_of = np.argmax(moves != 0, axis=1)
    top: list[tuple[float, NDArray[np.int64]]] = []
    for slot in range(moves.shape[1]):
        mine = np.flatnonzero(slot_of == slot)
        if len(mine) and gains[mine].max() > 0.0:
            i = mine[np.argmax(gains[mine])]
            top.append((float(gains[i]), moves[i]))
    if not top:
        return best
    top.sort(key=lambda pair: -pair[0])
    # Best one, best two, ... best all: the costs are nearly separable, so the last is mostly the winner.
    together = best.point + np.cumsum([move for _, move in top], axis=0)
    return _cheapest(cost, grid.clip(together))
