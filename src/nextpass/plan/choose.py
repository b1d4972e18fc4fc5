"""The best next setup: least expected time over the scenarios, every guard kept at the pessimistic end.

A walk over the steps meets a panel of few scenarios (`panel`). Its winner then meets all of them; where it exceeds a
guard after all, the sentinels are chosen again at that setup and the walk goes on from it.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial

import numpy as np

from nextpass.car import GEAR_PRESSURE_CAP, LAUNCH_PRESSURE, LAUNCH_RPM, Setup
from nextpass.plan.expected import FloatArray, Scenarios, elapsed_s, per_gear
from nextpass.plan.grid import IntArray, SetupGrid, grid_around
from nextpass.plan.guards import excess
from nextpass.plan.lookahead import Teaching, taught_launch
from nextpass.plan.panel import Panel, panel_of, price_of, whole_panel
from nextpass.plan.plan import BindingCause
from nextpass.plan.search import Cost, Found, Ledgered, descend
from nextpass.plan.trust import Trust
from nextpass.words import phrase

Report = Callable[[str, float], None]

# Scenarios that stand for the spread in the first walk, and in those that follow: even numbers, half of them slow.
ROUGHLY_OVER = 4
EXPECTED_OVER = 8
# A change that brings less is not worth a line on the card [s].
NOTHING_S = 2e-3
# How many values of each the launches that are tried have: for a first answer, and for all that follows.
FEW_LAUNCHES = {LAUNCH_RPM: 6, LAUNCH_PRESSURE: 4}
MANY_LAUNCHES = {LAUNCH_RPM: 9, LAUNCH_PRESSURE: 7}
# The end of a walk that exceeds guards by no more than this share of them is mended rather than left; most rounds in
# which all scenarios are asked for the step after.
NEARLY_KEPT = 0.03
SETTLING_ROUNDS = 3
# How often the winner of a walk is held against all scenarios and walked on from, at most.
VERIFIED = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """What the passes allow, apart from the guards that the simulation answers for.

    Parameters
    ----------
    ceilings : tuple of (float, BindingCause)
        Highest cap of each gear [kPa absolute], and what sets it: fuel, step guard, injector, or knock that a log
        showed.
    launch_kpa : float
        Highest launch pressure [kPa absolute].
    held_gears : frozenset of int
        Gears, counted from 1, whose cap must not be raised over that of the newest setup.
    gears : tuple of int
        Gears that the pass uses.
    """

    ceilings: tuple[tuple[float, BindingCause], ...]
    launch_kpa: float
    held_gears: frozenset[int]
    gears: tuple[int, ...]

    def of_gear(self, gear: int) -> tuple[float, BindingCause]:
        """Highest pressure that may be set in a gear, counted from 1 [kPa], and what sets it."""
        return self.ceilings[gear - 1]

    @property
    def ceiling_kpa(self) -> float:
        """Highest pressure that may be set in any gear [kPa absolute]."""
        return max(kpa for kpa, _ in self.ceilings)


def bounded_grid(scenarios: Scenarios, newest: Setup, bounds: Bounds) -> SetupGrid:
    """The grid around a setup inside the bounds."""
    grid = grid_around(scenarios.car, newest, bounds.gears, bounds.ceiling_kpa)
    highest = grid.highest.copy()
    for i, slot in enumerate(grid.slots):
        if slot.adjuster.name == LAUNCH_PRESSURE:
            highest[i] = max(min(highest[i], slot.level_at_most(bounds.launch_kpa)), grid.lowest[i])
        if slot.adjuster.name != GEAR_PRESSURE_CAP or slot.gear is None:
            continue
        if slot.gear in bounds.held_gears:
            highest[i] = min(highest[i], max(slot.level(slot.read(newest)), 0))
        ceiling_kpa, _ = bounds.of_gear(slot.gear)
        highest[i] = max(min(highest[i], slot.level_at_most(ceiling_kpa)), grid.lowest[i])
    return SetupGrid(slots=grid.slots, around=grid.around, lowest=grid.lowest, highest=highest)


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """The setup that a search ends with, what it costs over all scenarios [s], and what its launch should teach."""

    setup: Setup
    cost_s: float
    teaching: Teaching | None = None


def rough_setup(
    scenarios: Scenarios, trust: Trust, newest: Setup, bounds: Bounds, report: Report | None = None
) -> Choice:
    """A first answer: a walk by long strides from some launches, over few scenarios; arguments of `best_setup`."""
    tell = report or _silent
    tell(phrase("plan.doing.coarse"), 0.0)
    grid = bounded_grid(scenarios, newest, bounds)
    panel = panel_of(scenarios, trust, ROUGHLY_OVER, newest, [grid.setup(grid.highest)])
    found = descend(
        grid,
        partial(panel.cost, grid),
        _launches(grid, _half_way(grid, grid.point(newest)), FEW_LAUNCHES),
        (8, 4, 2),
        report=lambda done: tell(phrase("plan.doing.coarse"), done),
    )
    tell(phrase("plan.doing.first", et=f"{found.cost:.2f}"), 1.0)
    return Choice(setup=grid.setup(found.point), cost_s=found.cost)


def best_setup(
    scenarios: Scenarios, trust: Trust, newest: Setup, rough: Setup, bounds: Bounds, report: Report | None = None
) -> Choice:
    """The setup of least expected time that keeps every guard at the pessimistic end.

    Parameters
    ----------
    scenarios : Scenarios
        All of them; the walk meets few.
    trust : Trust
        How far the fitted car may be believed.
    newest : Setup
        Where what is not walked comes from, and from where losses count.
    rough : Setup
        Where the walk begins.
    bounds : Bounds
    report : callable, optional
        Told what is being done, and the share of the work that is done.

    Returns
    -------
    Choice
        On step and in range. Where no setup keeps every guard, the one that exceeds them least.
    """
    tell = report or _silent
    grid = bounded_grid(scenarios, newest, bounds)
    at_newest, point = grid.point(newest), grid.point(rough)
    ended: list[IntArray] = []
    for attempt in range(VERIFIED):
        # The first panel watches the guards where they are harshest, the next ones where the walk has come to.
        ranked = [grid.setup(point)] if attempt else [grid.setup(point), grid.setup(grid.highest)]
        fine = Ledgered(partial(panel_of(scenarios, trust, EXPECTED_OVER, newest, ranked).cost, grid))
        # Which launch is best hangs on the caps that the first walk found: all of them once more.
        begin = np.stack([point, at_newest])
        walked = descend(
            grid,
            fine,
            begin if attempt else _launches(grid, begin, MANY_LAUNCHES),
            (2, 1),
            report=partial(_tell_attempt, tell, attempt),
        )
        point = _without_needless(fine, walked, at_newest)
        ended.append(point)
        kept = excess_of(scenarios, trust, grid.setup(point)) == 0.0
        if attempt and kept and (point == ended[-2]).all():
            break
    whole = whole_panel(scenarios, trust, newest)
    best = settled(grid, whole, np.stack([*ended, at_newest]))
    tell(phrase("plan.doing.fine"), 1.0)
    mended = _with_falls_taken_back(grid, whole, best.point, at_newest)
    point, teaching = taught_launch(grid, whole, mended)
    chosen = _with_unused_kept(scenarios, newest, grid.setup(point), bounds)
    stays = teaching is None and grid.setup(at_newest) == newest and _is_no_gain(scenarios, trust, newest, chosen)
    return Choice(setup=newest if stays else chosen, cost_s=best.cost, teaching=teaching)


def settled(grid: SetupGrid, whole: Panel, ended: IntArray) -> Found:
    """The best of the points at which walks ended, walked on from the best of them by what all scenarios say.

    Few scenarios blur what a setup is worth by as much as the ends of two walks differ, and most of all beside an edge;
    and a walk that ends a hair over a guard is no worse than that hair.

    Parameters
    ----------
    grid : SetupGrid
    whole : Panel
        Of all scenarios.
    ended : ndarray of int, shape (n, k)

    Returns
    -------
    Found
    """

    def weighed(points: IntArray) -> FloatArray:
        costs, over = _weighed(grid, whole, points)
        return costs + price_of(over)

    costs, over = _weighed(grid, whole, ended)
    nearly_kept = ended[int(np.argmin(np.where(over <= NEARLY_KEPT, costs, np.inf)))]
    found = descend(grid, weighed, nearly_kept[np.newaxis], (1,), SETTLING_ROUNDS)
    at = int(np.argmin(costs + price_of(over)))
    kept = Found(point=ended[at], cost=float(costs[at] + price_of(over[at])))
    return min(found, kept, key=lambda one: one.cost)


def _weighed(grid: SetupGrid, whole: Panel, points: IntArray) -> tuple[FloatArray, FloatArray]:
    """Cost of points without the price of guards, and by how much they exceed them, by all scenarios; shape (m,)."""
    setups = [grid.setup(point) for point in points]
    outputs = whole.scenarios.drive(setups)
    return whole.cost_of(grid, points, setups, outputs), excess(
        outputs, setups, whole.trust, whole.scenarios.car.guards
    )


def _with_falls_taken_back(grid: SetupGrid, whole: Panel, point: IntArray, at_newest: IntArray) -> IntArray:
    """A point with each cap that fell for no guard put back where simulated passes lose nothing by it.

    What logs showed of a setup counts less the further away it lies, so that a cap that hardly matters would be moved
    only to get away from it.
    """
    guards = whole.scenarios.car.guards
    for i, slot in enumerate(grid.slots):
        if slot.adjuster.name == GEAR_PRESSURE_CAP and point[i] < at_newest[i]:
            back = point.copy()
            back[i] = at_newest[i]
            setups = [grid.setup(point), grid.setup(back)]
            outputs = whole.scenarios.drive(setups)
            fallen_s, back_s = whole.expected_s(outputs)
            if back_s <= fallen_s and excess(outputs[:, 1:], setups[1:], whole.trust, guards)[0] == 0.0:
                point = back
    return point


def _is_no_gain(scenarios: Scenarios, trust: Trust, newest: Setup, chosen: Setup) -> bool:
    """Whether the newest setup keeps the guards and most passes at the chosen one would not be quicker."""
    if excess_of(scenarios, trust, newest) > 0.0:
        return False
    error_s, _ = trust.error([newest, chosen], "et_s")
    newest_s, chosen_s = np.median(elapsed_s(scenarios.drive([newest, chosen])), axis=0) + error_s
    return bool(chosen_s >= newest_s)


def _with_unused_kept(scenarios: Scenarios, newest: Setup, setup: Setup, bounds: Bounds) -> Setup:
    """The setup with the cap of each gear that it does not use as it was, where that is within the ceiling."""
    gears = scenarios.car.gear_count
    seconds = per_gear(scenarios.drive([setup])[:, 0], "seconds", gears).max(axis=0)
    each = zip(newest.gear_pressure_cap_kpa, setup.gear_pressure_cap_kpa, seconds, bounds.ceilings, strict=True)
    caps = tuple(was if not used and was <= ceiling else cap for was, cap, used, (ceiling, _) in each)
    return setup.with_values(**{GEAR_PRESSURE_CAP: caps})


def _without_needless(cost: Cost, found: Found, at_newest: IntArray) -> IntArray:
    """The point of a walk after moves that bring nothing were taken back, the most needless first."""
    point = found.point
    while (moved := np.flatnonzero(point != at_newest)).size:
        back = np.repeat(point[np.newaxis], len(moved), axis=0)
        back[np.arange(len(moved)), moved] = at_newest[moved]
        costs = cost(back)
        least = int(np.argmin(costs))
        if costs[least] > found.cost + NOTHING_S:
            break
        point = back[least]
    return point


def excess_of(scenarios: Scenarios, trust: Trust, setup: Setup) -> float:
    """By how much a setup exceeds the guards over all scenarios, as a share of the limits; 0 where it keeps them."""
    return float(excess(scenarios.drive([setup]), [setup], trust, scenarios.car.guards)[0])


def _tell_attempt(tell: Report, attempt: int, done: float) -> None:
    tell(phrase("plan.doing.fine"), (attempt + done) / VERIFIED)


def _silent(_doing: str, _done: float) -> None:
    pass


def _launches(grid: SetupGrid, points: IntArray, counts: Mapping[str, int]) -> IntArray:
    """Points, and each of them with launches from soft to hard: launch rpm and pressure have many hollows together.

    So many values of each are tried over its whole range, shape (m, k).
    """
    levels = {
        i: np.unique(np.linspace(grid.lowest[i], grid.highest[i], counts[slot.adjuster.name]).round().astype(np.int64))
        for i, slot in enumerate(grid.slots)
        if slot.adjuster.name in counts
    }
    return grid.with_levels(points, levels)


def _half_way(grid: SetupGrid, point: IntArray) -> IntArray:
    """A point, and the same with caps half-way to the ceiling, shape (2, k)."""
    caps = np.array([slot.adjuster.name == GEAR_PRESSURE_CAP for slot in grid.slots])
    return np.stack([point, np.where(caps, (point + grid.highest) // 2, point)])
