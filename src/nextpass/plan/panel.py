"""What a walk over setups is paid with: the few scenarios that it meets, and the prices beside the time.

A walk is paid for in simulated passes, so it meets few scenarios: some that stand for the spread of grip and time, and
for each guard that may bind the one scenario that stands at its pessimistic end (a *sentinel*; which one it is hardly
changes with the setup). Where two setups differ by less than the passes could ever show, the gentler one costs less:
each kPa of cap and each kJ of clutch heat has a small price.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from nextpass.car import Setup
from nextpass.plan.expected import FloatArray, Scenarios, elapsed_s, figure
from nextpass.plan.grid import IntArray, SetupGrid
from nextpass.plan.guards import GUARD_RULES, PESSIMISTIC, worst_figure, worst_figures
from nextpass.plan.trust import Trust

# Prices of harshness [s]: a ladder of six caps lowered by 40 kPa each is worth 3 ms, 20 kJ less clutch heat 1 ms. Both
# are far under what passes can tell apart (0.03 s from pass to pass, common practice).
PRICE_PER_KPA = 1.2e-5
PRICE_PER_KJ = 5e-5
# Part of the standard deviation of the fitted car's error at a setup that the setup pays for: gains that the passes do
# not support do not draw the walk away from what was run.
PRICE_OF_DOUBT = 0.5
# A pass that turns out slower than the last one is not run again, and shows where the edge is: of its loss, only a part
# counts at first. Otherwise the few versions of a car that would spin forbid what most would gain from, and no pass
# would ever show which it is. By how many passes there are, the last for all after.
LOSS_COUNTS = (0.2, 0.6, 1.0)
# Beside an edge the versions lie far apart: this part of their standard deviation of ET is paid for, so that of two
# setups of like expectation the surer is run, once there is more to lose than to learn.
PRICE_OF_SPREAD = (0.0, 0.05, 0.1)
# A guard exceeded by a tenth costs two seconds, and any excess at least this: no time is worth it.
PRICE_PER_EXCESS = 20.0
PRICE_OF_EXCESS = 1.0
# A guard is watched in the walk when its figure comes this near to its limit at the harshest setup.
WATCHED_SHARE = 0.75


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """The few scenarios that a walk meets: the first `count` for the expectation, the rest one a watched guard.

    `newest_s` is the time of the newest setup in each of the first, shape (count,). `corrections` say by guard what the
    pessimistic figure of all scenarios is above that of the panel, where the walk begins.
    """

    scenarios: Scenarios
    count: int
    newest_s: FloatArray
    sentinels: tuple[tuple[str, int], ...]
    corrections: Mapping[str, float]
    trust: Trust

    @property
    def stage(self) -> int:
        """Where in what goes by the number of passes this panel stands."""
        return min(max(len(self.trust.run), 1), len(LOSS_COUNTS)) - 1

    def borne_s(self, lost_s: FloatArray) -> FloatArray:
        """What losses against the newest setup count for, same shape [s]."""
        return np.minimum(lost_s, 0.0) + LOSS_COUNTS[self.stage] * np.maximum(lost_s, 0.0)

    def cost(self, grid: SetupGrid, points: IntArray) -> FloatArray:
        """Expected time, losses bounded, with the prices of doubt, harshness and guards exceeded, shape (m,) [s]."""
        setups = [grid.setup(point) for point in points]
        return self.cost_of(grid, points, setups, self.scenarios.drive(setups))

    def cost_of(self, grid: SetupGrid, points: IntArray, setups: Sequence[Setup], outputs: FloatArray) -> FloatArray:
        """Cost as `cost`, of points whose setups were driven already: `outputs` of the panel's scenarios."""
        expected = outputs[: self.count]
        harsh = PRICE_PER_KPA * grid.pressures_kpa(points).sum(axis=1)
        heat = PRICE_PER_KJ * 1e-3 * np.nan_to_num(figure(expected, "clutch_energy_j")).mean(axis=0)
        over = sum((np.maximum(share, 0.0) for share in self.shares(outputs, setups).values()), np.zeros(len(points)))
        error_s, sd_s = self.trust.error(setups, "et_s")
        doubt = error_s + PRICE_OF_DOUBT * sd_s
        return np.asarray(self.expected_s(expected) + doubt + harsh + heat + price_of(over))

    def expected_s(self, outputs: FloatArray) -> FloatArray:
        """Expected time with losses as they count and the price of spread, shape (m,) [s].

        `outputs` are those of the first scenarios, shape (count, m, len(OUTPUTS)).
        """
        et_s = elapsed_s(outputs)
        lost_s = et_s - self.newest_s[:, np.newaxis]
        time_s = self.newest_s.mean() + self.borne_s(lost_s).mean(axis=0)
        return np.asarray(time_s + PRICE_OF_SPREAD[self.stage] * et_s.std(axis=0))

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
                worst = worst_figure(rule, outputs[[*range(self.count), *at]], setups, self.trust, share=1.0)
                found[rule.name] = (worst + self.corrections[rule.name]) / rule.limit(guards) - 1.0
        return found


def price_of(over: FloatArray | float) -> FloatArray:
    """Price of guards exceeded by a share of their limits [s]; 0 where all are kept."""
    return np.asarray(np.where(np.asarray(over) > 0.0, PRICE_OF_EXCESS + PRICE_PER_EXCESS * np.asarray(over), 0.0))


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
        Where else the scenarios are ranked, first of all where the walk begins; guards are watched that come near to
        their limit at any of them.

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
    # Several sentinels and the versions of the expectation together are harsher than the share that a guard asks for.
    begin = 1 if ranked else 0
    corrections = {}
    for rule in GUARD_RULES:
        stand_for = [*chosen, *(i for name, i in sentinels if name == rule.name)]
        of_panel = worst_figure(rule, outputs[stand_for][:, [begin]], [setups[begin]], trust, share=1.0)
        corrections[rule.name] = float(worst[rule.name][begin] - of_panel[0])
    places = {i: len(chosen) + n for n, i in enumerate(watched)}
    return Panel(
        scenarios=scenarios.part([*chosen, *watched]),
        count=len(chosen),
        newest_s=elapsed_s(outputs)[chosen, 0],
        sentinels=tuple((name, places[i]) for name, i in sentinels),
        corrections=corrections,
        trust=trust,
    )


def whole_panel(scenarios: Scenarios, trust: Trust, newest: Setup) -> Panel:
    """A panel of all scenarios, which watches no guard: what a winner of walks is weighed with."""
    return Panel(
        scenarios=scenarios,
        count=len(scenarios.versions),
        newest_s=elapsed_s(scenarios.drive([newest]))[:, 0],
        sentinels=(),
        corrections={},
        trust=trust,
    )


def _spread(scenarios: Scenarios, et_s: FloatArray, count: int) -> list[int]:
    """Of each group of like grip in turn a quick and a slow scenario, so that the spread within the groups stays."""
    if count >= len(et_s):
        return list(range(len(et_s)))
    grip = np.array([version.peak_friction * version.grip for version in scenarios.versions])
    groups = np.array_split(np.argsort(grip, kind="stable"), count)
    return [
        int(group[np.argsort(et_s[group], kind="stable")[(1 + 2 * (number % 2)) * len(group) // 4]])
        for number, group in enumerate(groups)
    ]
