"""The ledger of a car: what its passes have cost it, what drifts, what is due."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from nextpass.car import Car, LedgerEntry
from nextpass.health.due import Due, due_of, heat_cycles
from nextpass.health.figures import LimitPassed, PassFigures
from nextpass.health.learned import LearnedChange, learned_changes
from nextpass.health.residency import Residency, added
from nextpass.health.trends import FigureTrend, trends_of
from nextpass.log import Log
from nextpass.measure import Absent, Estimate, Measured
from nextpass.words import phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class Consumption:
    """What launches take of the clutch's stated life.

    Parameters
    ----------
    launches : int
        That the sum rests on.
    energy_j : Estimate or Absent
        Heat of all of them [J].
    life_share : Estimate or Absent
        Part of the stated life that they took [0..1].
    hardest : str
        Name of the pass with the hottest launch; empty where none is known.
    hardest_share, median_share : Estimate or Absent
        What one launch like the hardest takes, and one like the median [0..1].
    """

    launches: int
    energy_j: Measured
    life_share: Measured
    hardest: str
    hardest_share: Measured
    median_share: Measured


@dataclass(frozen=True, slots=True, kw_only=True)
class Ledger:
    """All that the passes and entries of a car tell about its health.

    Parameters
    ----------
    passes : tuple of PassFigures
        In the order in which they were run.
    consumption : Consumption
        Of the clutch.
    residency : tuple of Residency
        Time of each oil in its bands, over all passes.
    limits_passed : tuple of (str, LimitPassed)
        Name of the pass and what it went over, in order.
    trends : tuple of FigureTrend
        Drifting ones first.
    due : tuple of Due
        The nearest first.
    learned : tuple of LearnedChange
    tyre_cycles : int
        Passes on the tyres that are fitted.
    entries : tuple of LedgerEntry
        The oldest first.
    """

    passes: tuple[PassFigures, ...]
    consumption: Consumption
    residency: tuple[Residency, ...]
    limits_passed: tuple[tuple[str, LimitPassed], ...]
    trends: tuple[FigureTrend, ...]
    due: tuple[Due, ...]
    learned: tuple[LearnedChange, ...]
    tyre_cycles: int
    entries: tuple[LedgerEntry, ...] = field(default=())


def ledger_of(
    car: Car,
    passes: Sequence[PassFigures],
    entries: Sequence[LedgerEntry] = (),
    logs: Mapping[int, Log] | None = None,
) -> Ledger:
    """The ledger of a car.

    Parameters
    ----------
    car : Car
        For its limits.
    passes : sequence of PassFigures
        In the order in which they were run.
    entries : sequence of LedgerEntry
        Entries by hand, the oldest first.
    logs : Mapping[int, Log], optional
        Logs of learning runs by the index of their entry.
    """
    return Ledger(
        passes=tuple(passes),
        consumption=_consumption(passes),
        residency=_residency(passes),
        limits_passed=tuple((one.name, limit) for one in passes for limit in one.limits_passed),
        trends=trends_of(car, passes),
        due=due_of(entries, passes),
        learned=learned_changes(entries, logs or {}),
        tyre_cycles=heat_cycles(entries, passes),
        entries=tuple(entries),
    )


def _consumption(passes: Sequence[PassFigures]) -> Consumption:
    known = [
        (one.name, one.launch.energy_j, one.launch.life_share)
        for one in passes
        if one.launch is not None
        and isinstance(one.launch.energy_j, Estimate)
        and isinstance(one.launch.life_share, Estimate)
    ]
    if not known:
        absent = Absent(reason=phrase("ledger.absent.no_launch"))
        return Consumption(
            launches=0, energy_j=absent, life_share=absent, hardest="", hardest_share=absent, median_share=absent
        )
    energies, shares = [energy for _, energy, _ in known], [share for _, _, share in known]
    hardest = int(np.argmax([share.value for share in shares]))
    return Consumption(
        launches=len(known),
        energy_j=_sum(energies),
        life_share=_sum(shares),
        hardest=known[hardest][0],
        hardest_share=shares[hardest],
        median_share=_median(shares),
    )


def _sum(parts: Sequence[Estimate]) -> Estimate:
    """Sum of figures whose errors have one origin, mass or torque, and so add up."""
    return Estimate(value=sum(part.value for part in parts), plus_minus=sum(part.plus_minus for part in parts))


def _residency(passes: Sequence[PassFigures]) -> tuple[Residency, ...]:
    by_oil: dict[str, list[Residency]] = {}
    for one in passes:
        for part in one.residency:
            by_oil.setdefault(part.channel, []).append(part)
    return tuple(added(tuple(parts)) for parts in by_oil.values())


def _median(shares: Sequence[Estimate]) -> Estimate:
    """The middle one; of an even number what lies between the two in the middle, whose ± have the same cause."""
    ordered = sorted(shares, key=lambda share: share.value)
    middle = ordered[(len(ordered) - 1) // 2 : len(ordered) // 2 + 1]
    return Estimate(
        value=sum(share.value for share in middle) / len(middle),
        plus_minus=sum(share.plus_minus for share in middle) / len(middle),
    )
