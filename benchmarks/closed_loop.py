"""The whole loop on cars that the plan has never seen, beside the rule of thumb and a generic optimiser.

Each car of the fleet runs its cautious first pass; its log goes through reader, review and fit; the plan is run, logged
and read in turn, three times. Regret is (mean ET of the proposed setup - best attainable) / (first setup - best
attainable). The rivals are told the truth of their passes, the plan only what a logger wrote.
"""

import os
import statistics
import tempfile
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path

from benchmarks.figure import Figure
from benchmarks.loop.afternoon import Planned, afternoon
from benchmarks.loop.judge import StripDay
from benchmarks.loop.rivals import follow_optimiser, follow_thumb
from benchmarks.loop.table import table_text
from nextpass.car import Setup
from nextpass.proving import fleet

CARS, FEW_CARS = 12, 3
FLEET_SEED = 2035
PLANS = 3
# Passes after which the rivals' setups are judged.
RIVAL_PASSES = (3, 10, 30)
# The draws of chance that judge a setup, and those of the passes themselves, never meet.
JUDGED_BY = range(9000, 9012)
RIVAL_SEED = 5000
# Further passes at each planned setup, for the coverage of its band.
AGAIN = range(7000, 7006)
TABLE = Path(__file__).parents[1] / "docs" / "plan-table.md"


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One car: regrets of the plan and of the rivals after a number of passes, and what else is judged."""

    car: str
    first_s: float
    best_s: float
    plan: dict[int, float]
    thumb: dict[int, float]
    optimiser: dict[int, float]
    plan_crossed: int
    thumb_crossed: int
    optimiser_crossed: int
    held: tuple[bool, ...]
    held_again: tuple[bool, ...]
    limit_over_best_s: float


def run(quick: bool = False) -> list[Figure]:
    """Figures of the closed loop; the table for the documentation is written beside when all cars ran.

    Parameters
    ----------
    quick : bool
        Three cars only.
    """
    count = FEW_CARS if quick else CARS
    # A fresh interpreter for each worker: compiled threads and fork do not go together.
    with ProcessPoolExecutor(max_workers=os.cpu_count(), mp_context=get_context("spawn")) as workers:
        told = list(workers.map(_one_car, range(count)))
    print(table_text(told))
    if not quick:
        TABLE.write_text(table_text(told), encoding="utf-8")
    return _figures(told)


def _one_car(index: int) -> Told:
    day = StripDay(fleet(index + 1, FLEET_SEED)[index], list(JUDGED_BY))
    chance = 100 * index
    with tempfile.TemporaryDirectory(prefix="closed-loop-") as place:
        planned = list(afternoon(day, PLANS, chance, Path(place), with_timeslip=index % 2 == 0))
    thumb = follow_thumb(day, max(RIVAL_PASSES), RIVAL_SEED + chance)
    optimiser = follow_optimiser(day, max(RIVAL_PASSES), RIVAL_SEED + chance)
    # What anyone found counts for the best attainable, so that no regret is flattered by a poor search.
    for setup in [*(one.plan.setup for one in planned), *thumb.best, *optimiser.best]:
        day.worth(setup)
    first, (_, best) = day.worth(day.entry.baseline), day.best()

    def regret(setup: Setup) -> float:
        return (day.worth(setup).et_s - best.et_s) / (first.et_s - best.et_s)

    return Told(
        car=day.entry.car.name,
        first_s=first.et_s,
        best_s=best.et_s,
        plan={number: regret(one.plan.setup) for number, one in enumerate(planned, start=1)},
        thumb={number: regret(thumb.best[number]) for number in RIVAL_PASSES},
        optimiser={number: regret(optimiser.best[number]) for number in RIVAL_PASSES},
        plan_crossed=sum(bool(one.crossed) for one in planned),
        thumb_crossed=thumb.crossed,
        optimiser_crossed=optimiser.crossed,
        held=tuple(one.is_held for one in planned),
        held_again=tuple(held for one in planned for held in _held_again(day, one)),
        limit_over_best_s=max(one.plan.limit_et_s.value for one in planned) - best.et_s,
    )


def _held_again(day: StripDay, one: Planned) -> list[bool]:
    """Whether the band of a plan holds further passes at its setup."""
    band = one.plan.forecast.et_s
    times = [day.run(one.plan.setup, seed).strip_clocks.et_s for seed in AGAIN]
    return [et_s is not None and band.low <= et_s <= band.high for et_s in times]


def _figures(told: Sequence[Told]) -> list[Figure]:
    median = statistics.median
    regrets = [
        Figure(
            name=f"regret after {plans} plans, {word} of {len(told)} cars",
            value=of([one.plan[plans] for one in told]),
            unit="",
            floor=of([one.thumb[10] for one in told]),
            floor_name="rule of thumb after 10 passes",
            target=target,
        )
        for plans, word, of, target in (
            (2, "median", median, "<= 0.10"),
            (3, "median", median, "<= 0.05"),
            (3, "worst", max, "<= 0.20"),
        )
    ]
    optimiser = Figure(
        name="regret of the optimiser after 30 passes, median",
        value=median(one.optimiser[30] for one in told),
        unit="",
        floor=median(one.thumb[30] for one in told),
        floor_name="rule of thumb after 30 passes",
    )
    crossed = Figure(
        name="planned passes that crossed a guard",
        value=sum(one.plan_crossed for one in told),
        unit=f"of {PLANS * len(told)}",
        floor=sum(one.thumb_crossed for one in told),
        floor_name=f"rule of thumb, of {max(RIVAL_PASSES) * len(told)}",
        target="<= 0",
    )
    held = statistics.mean(held for one in told for held in one.held + one.held_again)
    return [
        *regrets,
        optimiser,
        crossed,
        Figure(name="passes held by their forecast's band", value=held, unit="", target=">= 0.82"),
        Figure(name="passes held by their forecast's band, not too wide", value=held, unit="", target="<= 0.97"),
        Figure(
            name="limit above the best attainable, worst car",
            value=max(one.limit_over_best_s for one in told),
            unit="s",
            target="<= 0.0",
        ),
    ]
