"""The best next setup: least expected time over the scenarios, every guard kept at the pessimistic end.

The walk is paid for in simulated passes, so it meets few scenarios: some that stand for the spread of grip and time,
and for each guard that may bind the one scenario that stands at its pessimistic end (a *sentinel*; which one it is
hardly changes with the setup). The winner then meets all scenarios; where it exceeds a guard after all, the sentinels
are chosen again at that setup and the walk goes on from it. Where two setups differ by less than the passes could ever
show, the gentler one costs less: each kPa of cap and each kJ of clutch heat has a small price.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from nextpass.car import GEAR_PRESSURE_CAP, LAUNCH_PRESSURE, LAUNCH_RPM, Setup
from nextpass.plan.expected import FloatArray, Scenarios, elapsed_s, figure, per_gear
from nextpass.plan.grid import IntArray, SetupGrid, grid_around
from nextpass.plan.guards import GUARD_RULES, PESSIMISTIC, excess, pessimistic, worst_figures
from nextpass.plan.plan import BindingCause
from nextpass.plan.search import Cost, Found, Ledgered, descend
from nextpass.plan.trust import Trust
from nextpass.words import phrase

Report = Callable[[str, float], None]

# Prices of harshness [s]: a ladder of six caps lowered by 40 kPa each is worth 3 ms, 20 kJ less clutch heat 1 ms. Both
# are far under what passes can tell apart (0.03 s from pass to pass, common practice).
PRICE_PER_KPA = 1.2e-5
PRICE_PER_KJ = 5e-5
# Part of the standard deviation of the fitted car's error at a setup that the setup pays for: gains that the passes do
# not support do not draw the walk away from what was run.
PRICE_OF_DOUBT = 0.5
# A pass that turns out slower than the last one is not run again: its loss counts whole up to this much [s], and a part
# of it beyond. Otherwise the few versions of a car that would spin forbid what most would gain from, and no pass would
# ever show which it is.
BEARABLE_S = 0.15
BEYOND = 0.25
# A guard exceeded by a tenth costs two seconds, and any excess at least this: no time is worth it.
PRICE_PER_EXCESS = 20.0
PRICE_OF_EXCESS = 1.0
# Scenarios that stand for the spread in the walk.
EXPECTED_OVER = 8
# A change that brings less is not worth a line on the card [s].
NOTHING_S = 5e-4
# How often the winner of a walk is held against all scenarios and walked on from, at most.
VERIFIED = 3
# A guard is watched in the walk when its figure comes this near to its limit at the harshest setup.
WATCHED_SHARE = 0.75


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """What the passes allow, apart from the guards that the simulation answers for.

    Parameters
    ----------
    ceiling_kpa : float
        Highest pressure that may be set [kPa absolute].
    ceiling_by : BindingCause
        What sets it: fuel, step guard, or knock that a log showed.
    held_gears : frozenset of int
        Gears, counted from 1, whose cap must not be raised over that of the newest setup.
    gears : tuple of int
        Gears that the pass uses.
    """

    ceiling_kpa: float
    ceiling_by: BindingCause
    held_gears: frozenset[int]
    gears: tuple[int, ...]


def bounded_grid(scenarios: Scenarios, newest: Setup, bounds: Bounds) -> SetupGrid:
    """The grid around a setup inside the bounds."""
    grid = grid_around(scenarios.car, newest, bounds.gears, bounds.ceiling_kpa)
    highest = grid.highest.copy()
    for i, slot in enumerate(grid.slots):
        if slot.adjuster.name == GEAR_PRESSURE_CAP and slot.gear in bounds.held_gears:
            highest[i] = min(highest[i], max(slot.level(slot.read(newest)), 0))
    return SetupGrid(slots=grid.slots, around=grid.around, lowest=grid.lowest, highest=highest)


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """The few scenarios that a walk meets: the first `count` for the expectation, the rest one a watched guard.

    `newest_s` is the time of the newest setup in each of the first, shape (count,).
    """

    scenarios: Scenarios
    count: int
    newest_s: FloatArray
    sentinels: tuple[tuple[str, int], ...]
    trust: Trust

    def cost(self, grid: SetupGrid, points: IntArray) -> FloatArray:
        """Expected time, losses bounded, with the prices of doubt, harshness and guards exceeded, shape (m,) [s]."""
        setups = [grid.setup(point) for point in points]
        outputs = self.scenarios.drive(setups)
        expected = outputs[: self.count]
        harsh = PRICE_PER_KPA * grid.pressures_kpa(points).sum(axis=1)
        heat = PRICE_PER_KJ * 1e-3 * np.nan_to_num(figure(expected, "clutch_energy_j")).mean(axis=0)
        over = sum((np.maximum(share, 0.0) for share in self.shares(outputs, setups).values()), np.zeros(len(points)))
        error_s, sd_s = self.trust.error(setups, "et_s")
        doubt = error_s + PRICE_OF_DOUBT * sd_s
        lost_s = elapsed_s(expected) - self.newest_s[:, np.newaxis]
        borne_s = np.minimum(lost_s, BEARABLE_S) + BEYOND * np.maximum(lost_s - BEARABLE_S, 0.0)
        time_s = self.newest_s.mean() + borne_s.mean(axis=0)
        return np.asarray(time_s + doubt + harsh + heat + _price_of(over))

    def shares(self, outputs: FloatArray, setups: Sequence[Setup]) -> dict[str, FloatArray]:
        """By watched guard: how far its sentinels stand over the limit, as a share of it; below 0 where it is kept.

        `outputs` are those of the panel's scenarios, shape (scenarios, m, len(OUTPUTS)); each share has shape (m,).
        """
        guards = self.scenarios.car.guards
        found: dict[str, FloatArray] = {}
        for rule in GUARD_RULES:
            at = [i for name, i in self.sentinels if name == rule.name]
            if at:
                # The sentinels stand at the pessimistic end already: of the panel, none is let off.
                figures = figure(outputs[[*range(self.count), *at]], rule.output)
                worst = pessimistic(figures, *self.trust.error(setups, rule.output), share=1.0)
                found[rule.name] = worst / rule.limit(guards) - 1.0
        return found


def _price_of(over: FloatArray) -> FloatArray:
    return np.asarray(np.where(over > 0.0, PRICE_OF_EXCESS + PRICE_PER_EXCESS * over, 0.0))


def panel_of(scenarios: Scenarios, trust: Trust, count: int, newest: Setup, ranked: Sequence[Setup]) -> Panel:
    """The few scenarios that stand for all: spread over grip and time, and one sentinel for each guard that is near.

    Parameters
    ----------
    scenarios : Scenarios
    trust : Trust
    count : int
        How many stand for the expectation.
    newest : Setup
        Whose time the losses are counted from.
    ranked : sequence of Setup
        Where else the scenarios are ranked; guards are watched that come near to their limit at any of them.

    Returns
    -------
    Panel
    """
    setups = [newest, *ranked]
    outputs = scenarios.drive(setups)
    chosen = _spread(scenarios, elapsed_s(outputs).mean(axis=1), count)
    sentinels: list[tuple[str, int]] = []
    worst = worst_figures(outputs, setups, trust)
    for rule in GUARD_RULES:
        figures = np.nan_to_num(figure(outputs, rule.output))
        rank = min(int(np.ceil(PESSIMISTIC * (len(figures) - 1))), len(figures) - 1)
        for at in np.flatnonzero(worst[rule.name] > WATCHED_SHARE * rule.limit(scenarios.car.guards)):
            sentinel = int(np.argsort(figures[:, at], kind="stable")[rank])
            if (rule.name, sentinel) not in sentinels:
                sentinels.append((rule.name, sentinel))
    watched = sorted({i for _, i in sentinels})
    places = {i: len(chosen) + n for n, i in enumerate(watched)}
    return Panel(
        scenarios=scenarios.part([*chosen, *watched]),
        count=len(chosen),
        newest_s=elapsed_s(outputs)[chosen, 0],
        sentinels=tuple((name, places[i]) for name, i in sentinels),
        trust=trust,
    )


def _spread(scenarios: Scenarios, et_s: FloatArray, count: int) -> list[int]:
    """Of each group of like grip, the scenario with the middle time."""
    if count >= len(et_s):
        return list(range(len(et_s)))
    grip = np.array([version.peak_friction * version.grip for version in scenarios.versions])
    groups = np.array_split(np.argsort(grip, kind="stable"), count)
    return [int(group[np.argsort(et_s[group], kind="stable")[len(group) // 2]]) for group in groups]


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """The setup that a search ends with, and what it costs over all scenarios [s]."""

    setup: Setup
    cost_s: float


def best_setup(
    scenarios: Scenarios, trust: Trust, newest: Setup, bounds: Bounds, report: Report | None = None
) -> Choice:
    """The setup of least expected time that keeps every guard at the pessimistic end.

    Parameters
    ----------
    scenarios : Scenarios
        All of them; the walk meets few.
    trust : Trust
        How far the fitted car may be believed.
    newest : Setup
        Where the walk begins, and where what is not walked comes from.
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
    at_newest = grid.point(newest)
    harshest = grid.setup(grid.highest)
    tell(phrase("plan.doing.coarse"), 0.0)
    coarse = Ledgered(partial(panel_of(scenarios, trust, 3, newest, [harshest]).cost, grid))
    rough = descend(
        grid,
        coarse,
        _starts(grid, at_newest),
        (8, 4, 2),
        report=lambda done: tell(phrase("plan.doing.coarse"), 0.5 * done),
    )
    point, cost = rough.point, rough.cost
    tell(phrase("plan.doing.first", et=f"{cost:.2f}"), 0.5)
    for attempt in range(VERIFIED):
        ranked = [grid.setup(point)] if attempt else [grid.setup(point), harshest]
        fine = Ledgered(partial(panel_of(scenarios, trust, EXPECTED_OVER, newest, ranked).cost, grid))
        found = descend(
            grid,
            fine,
            np.stack([point, at_newest]),
            (2, 1),
            report=lambda done: tell(phrase("plan.doing.fine"), 0.5 + 0.45 * done),
        )
        point, cost = _without_needless(fine, found, at_newest)
        if not excess_of(scenarios, trust, grid.setup(point)):
            break
    tell(phrase("plan.doing.fine"), 1.0)
    chosen = _with_unused_kept(scenarios, newest, grid.setup(point), bounds)
    reachable = grid.setup(at_newest) == newest
    no_gain = reachable and _is_no_gain(scenarios, trust, newest, chosen)
    return Choice(setup=newest if no_gain else chosen, cost_s=cost)


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
    pairs = zip(newest.gear_pressure_cap_kpa, setup.gear_pressure_cap_kpa, seconds, strict=True)
    caps = tuple(was if not used and was <= bounds.ceiling_kpa else cap for was, cap, used in pairs)
    return setup.with_values(**{GEAR_PRESSURE_CAP: caps})


def _without_needless(cost: Cost, found: Found, at_newest: IntArray) -> tuple[IntArray, float]:
    """A point and its cost after moves that bring nothing were taken back, the most needless first."""
    point, paid_s = found.point, found.cost
    while (moved := np.flatnonzero(point != at_newest)).size:
        back = np.repeat(point[np.newaxis], len(moved), axis=0)
        back[np.arange(len(moved)), moved] = at_newest[moved]
        costs = cost(back)
        least = int(np.argmin(costs))
        if costs[least] > found.cost + NOTHING_S:
            break
        point, paid_s = back[least], float(costs[least])
    return point, paid_s


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


def excess_of(scenarios: Scenarios, trust: Trust, setup: Setup) -> float:
    """By how much a setup exceeds the guards over all scenarios, as a share of the limits; 0 where it keeps them."""
    return float(excess(scenarios.drive([setup]), [setup], trust, scenarios.car.guards)[0])


def _silent(_doing: str, _done: float) -> None:
    pass


def _starts(grid: SetupGrid, at_newest: IntArray) -> IntArray:
    """The newest setup, and launches from soft to hard with caps as they are and half-way to the ceiling."""
    caps = np.array([slot.adjuster.name == GEAR_PRESSURE_CAP for slot in grid.slots])
    ladder = [at_newest, np.where(caps, (at_newest + grid.highest) // 2, at_newest)]
    names = [slot.adjuster.name for slot in grid.slots]
    starts = list(ladder)
    for base in ladder:
        for rpm_share in (0.15, 0.4, 0.65):
            for pressure_share in (0.0, 0.3, 0.6):
                start = base.copy()
                for name, share in ((LAUNCH_RPM, rpm_share), (LAUNCH_PRESSURE, pressure_share)):
                    if name in names:
                        i = names.index(name)
                        start[i] = grid.lowest[i] + round(share * (grid.highest[i] - grid.lowest[i]))
                starts.append(start)
    return np.stack(starts)
