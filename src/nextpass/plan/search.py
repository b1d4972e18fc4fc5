"""The cheapest point of a grid, by few batches of many points.

A cost over setups has cliffs (a wheel lets go, an engine bogs) and is otherwise nearly separable: a cap hardly changes
what the next one is worth. So each round tries every slot both ways by one stride, then the best moves of all slots
together, then the same again further on. Slots in which no move gained rest until the others are done; strides shrink
when a round over all slots brings nothing. Points are never paid for twice. The end is a point that no single step
improves, not a proof of the global best: the several starts stand against that.
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
    """The best point that a descent from the best of several starts comes to.

    Parameters
    ----------
    grid : SetupGrid
        Bounds of the walk.
    cost : callable
        Points, shape (m, k), to costs, shape (m,), in any unit.
    starts : ndarray of int, shape (n, k)
        Where to begin; the cheapest is followed.
    strides : sequence of int
        Steps tried from each point, longest first; the next one follows when a round over all slots brings nothing.
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
    everything = np.ones(len(grid.slots), dtype=bool)
    awake, left = everything, list(strides)
    for number in range(rounds):
        following, moving = _step(grid, paid, best, left[0], awake)
        if following.cost < best.cost:
            best, awake = following, moving
        elif not awake.all():
            awake = everything
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


def _step(
    grid: SetupGrid, cost: Cost, best: Found, stride: int, awake: NDArray[np.bool_]
) -> tuple[Found, NDArray[np.bool_]]:
    """The cheapest of single moves and of the best ones combined, and the slots in which a move gained."""
    around = grid.neighbours(best.point, (stride,))
    around = around[((around != best.point) & awake).any(axis=1)]
    if not len(around):
        return best, awake
    moves = around - best.point
    gains = best.cost - cost(around)
    top = sorted(
        ((float(gains[mine].max()), moves[mine[np.argmax(gains[mine])]]) for mine in _by_slot(moves)),
        key=lambda pair: -pair[0],
    )
    gaining = np.array([move for gain, move in top if gain > 0.0])
    if not len(gaining):
        return best, awake
    # Best one, best two, ... best all: the costs are nearly separable, so the last is mostly the winner.
    together = best.point + np.cumsum(gaining, axis=0)
    found = _cheapest(cost, grid.clip(together))
    return _further(grid, cost, best, found), (gaining != 0).any(axis=0)


def _by_slot(moves: IntArray) -> list[NDArray[np.intp]]:
    """Indices of the moves of each slot that has any."""
    slot_of = np.argmax(moves != 0, axis=1)
    return [np.flatnonzero(slot_of == slot) for slot in np.unique(slot_of)]


def _further(grid: SetupGrid, cost: Cost, before: Found, after: Found) -> Found:
    """The same move again and again while it gains: the pattern move of Hooke and Jeeves, J. ACM 8 (1961) 212."""
    move = after.point - before.point
    while True:
        following = _cheapest(cost, grid.clip(np.stack([after.point + move, after.point + 3 * move])))
        if following.cost >= after.cost:
            return after
        after = following
