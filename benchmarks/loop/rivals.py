"""What the plan is held against: the rule of thumb, and a generic optimiser. Both are given the truth of their passes.

Both keep within the fuel's ceiling and the adjusters' ranges and start from the same first setup. They are told which
gears truly slipped and which guards were truly crossed, which no log tells so well.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from cmaes import CMAwM

from benchmarks.loop.judge import UNFINISHED_S, StripDay, crossed_in
from nextpass.car import GEAR_PRESSURE_CAP, Setup
from nextpass.plan.grid import grid_around
from nextpass.proving import Outcome

# A gear counts as slipping when a driven wheel was past the slip of its greatest pull for this long [s].
SLIPPED_S = 0.25
THUMB_STEP_KPA = 10.0


@dataclass(frozen=True, slots=True)
class Tried:
    """One pass that a rival ran: the setup, and how the pass truly went."""

    setup: Setup
    outcome: Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class Followed:
    """A rival's afternoon: the setup that it would propose after each number of passes, and passes over a guard."""

    best: list[Setup]
    crossed: int


def rule_of_thumb(day: StripDay, tried: Sequence[Tried]) -> Setup:
    """Lower the cap where it slipped, raise it where it did not, the launch likewise; back off after a guard."""
    newest, outcome = tried[-1].setup, tried[-1].outcome
    car = day.car
    ceiling = car.fuels[newest.fuel].manifold_pressure_max_kpa
    caps = []
    hurt = bool(crossed_in(outcome, car))
    for cap, past_peak_s in zip(newest.gear_pressure_cap_kpa, outcome.past_peak_s, strict=True):
        down = hurt or past_peak_s > SLIPPED_S
        caps.append(min(cap + (-THUMB_STEP_KPA if down else THUMB_STEP_KPA), ceiling))
    adjuster = car.adjusters[GEAR_PRESSURE_CAP]
    rpm = car.adjusters["launch_rpm"]
    spun = outcome.past_peak_s[0] > SLIPPED_S
    return newest.with_values(
        gear_pressure_cap_kpa=tuple(adjuster.on_step(cap) for cap in caps),
        launch_rpm=rpm.on_step(newest.launch_rpm + (-200.0 if spun else 200.0)),
    )


def follow_thumb(day: StripDay, passes: int, first_seed: int) -> Followed:
    """The rule of thumb, pass after pass."""
    setups, tried = [day.entry.baseline], []
    for number in range(passes):
        tried.append(Tried(setups[-1], day.run(setups[-1], first_seed + number)))
        setups.append(rule_of_thumb(day, tried))
    return Followed(best=setups, crossed=sum(bool(crossed_in(one.outcome, day.car)) for one in tried))


def follow_optimiser(day: StripDay, passes: int, first_seed: int) -> Followed:
    """A covariance matrix adaptation with whole steps, one pass an evaluation; a guard crossed costs two seconds."""
    gears = range(1, day.car.gear_count + 1)
    ceiling_kpa = day.car.fuels[day.entry.baseline.fuel].manifold_pressure_max_kpa
    grid = grid_around(day.car, day.entry.baseline, gears, ceiling_kpa)
    low, high = grid.lowest.astype(float), np.maximum(grid.highest, grid.lowest + 1).astype(float)
    optimiser = CMAwM(
        mean=(grid.point(day.entry.baseline) - low) / (high - low),
        sigma=0.15,
        bounds=np.stack([np.zeros(len(low)), np.ones(len(low))], axis=1),
        steps=1.0 / (high - low),
        seed=first_seed,
    )
    best_s, best = np.inf, day.entry.baseline
    known, crossed = [best], 0
    generation: list[tuple[np.ndarray, float]] = []
    for number in range(passes):
        # The first setup is a pass like any other, as it is for the plan.
        asked, told = optimiser.ask() if number else (None, None)
        setup = day.entry.baseline if asked is None else grid.setup(grid.clip(_level(low, high, asked)))
        outcome = day.run(setup, first_seed + number)
        over = len(crossed_in(outcome, day.car))
        crossed += bool(over)
        et_s = outcome.clocks.et_s
        value = (UNFINISHED_S if et_s is None else et_s) + 2.0 * over
        if value < best_s:
            best_s, best = value, setup
        known.append(best)
        if told is not None:
            generation.append((told, value))
        if len(generation) == optimiser.population_size:
            optimiser.tell(generation)
            generation = []
    return Followed(best=known, crossed=crossed)


def _level(low: np.ndarray, high: np.ndarray, share: np.ndarray) -> np.ndarray:
    return np.round(low + share * (high - low)).astype(np.int64)
