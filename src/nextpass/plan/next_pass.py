"""From the passes of a car to the plan of the next one."""

from collections.abc import Callable, Sequence

import numpy as np

from nextpass.car import FUEL, Car, Conditions, Setup
from nextpass.errors import NotEnoughData
from nextpass.fit import FittedCar, fit_car
from nextpass.measure import Absent
from nextpass.plan.cautions import cautions_of
from nextpass.plan.changes import changes_between
from nextpass.plan.choose import Bounds, Choice, best_setup, rough_setup
from nextpass.plan.day import day_sentences
from nextpass.plan.evidence import Evidence, evidence_of
from nextpass.plan.expected import Scenarios, elapsed_s, per_gear, scenarios_of
from nextpass.plan.few_changes import few_changes
from nextpass.plan.forecast import forecast_of
from nextpass.plan.grid import fuels_to_try
from nextpass.plan.ladder import ladder_of
from nextpass.plan.limit import limit_of
from nextpass.plan.own import own_effects, with_clear_gains
from nextpass.plan.plan import OwnEffect, Plan
from nextpass.plan.teach import taught_by, told_apart
from nextpass.plan.trust import Trust, trust_of
from nextpass.review import ReviewedPass
from nextpass.sim import drive_many, pack
from nextpass.words import phrase

Progress = Callable[[str, float], None]

# Versions of the car that a plan stands on, and how many of them explain it.
VERSIONS = 96
EXPLAINED_BY = 24
# Another fuel must bring this much [s].
FUEL_WORTH_S = 0.03
# Part of the time of a plan that the fit takes.
FIT_SHARE = 0.3


def plan_next(
    car: Car,
    passes: Sequence[ReviewedPass],
    conditions: Conditions | None = None,
    most_changes: int | None = None,
    seed: int = 0,
    progress: Progress | None = None,
) -> Plan:
    """The best next setup of a car, from all of its passes.

    Parameters
    ----------
    car : Car
        As its file describes it.
    passes : sequence of ReviewedPass
        In the order in which they were run; the last is the newest.
    conditions : Conditions, optional
        Of the pass to come; those of the newest pass where not given.
    most_changes : int, optional
        How many values may move from the newest setup; no bound where not given.
    seed : int
        Draws the versions of the car: same seed, same plan.
    progress : callable, optional
        Told what is being done and the share that is done.

    Returns
    -------
    Plan

    Raises
    ------
    NotEnoughData
        Without any pass.
    """
    if not passes:
        raise NotEnoughData(phrase("refusal.jobs.plan_needs_pass"), remedy=phrase("refusal.jobs.give_pass"))
    tell = progress or _silent
    tell(phrase("plan.doing.fit"), 0.0)
    fitted = fit_car(car, passes, seed=seed, progress=lambda done: tell(phrase("plan.doing.fit"), FIT_SHARE * done))
    return plan_setup(fitted, passes, conditions, most_changes, seed, _later(tell, FIT_SHARE))


def plan_setup(
    fitted: FittedCar,
    passes: Sequence[ReviewedPass],
    conditions: Conditions | None = None,
    most_changes: int | None = None,
    seed: int = 0,
    progress: Progress | None = None,
) -> Plan:
    """The plan of a car that is already fitted to its passes; arguments as for `plan_next`."""
    tell = progress or _silent
    car, newest = fitted.car, passes[-1].record.setup
    day = conditions or passes[-1].record.conditions
    scenarios = scenarios_of(car, fitted.versions(day, count=VERSIONS, seed=seed), day)
    trust = trust_of(fitted)
    evidence = evidence_of(car, passes)
    effects = _effects(fitted, passes)
    start = with_clear_gains(newest, effects)
    fuels = fuels_to_try(car, [one.record.setup for one in passes])[: None if most_changes is None else 1]
    choice, bounds = _best_of_fuels(scenarios, trust, start, fuels, evidence, _later(tell, 0.0, 0.8))
    if most_changes is not None:
        choice = few_changes(scenarios, trust, newest, choice, bounds, most_changes)
    tell(phrase("plan.doing.explain"), 0.8)
    single = few_changes(scenarios, trust, newest, choice, bounds, 1)
    return _explained(fitted, scenarios, trust, passes, choice, single.setup, bounds, effects, evidence)


def _best_of_fuels(
    scenarios: Scenarios, trust: Trust, start: Setup, fuels: Sequence[str], evidence: Evidence, tell: Progress
) -> tuple[Choice, Bounds]:
    """The best setup over all fuels that can be chosen, and the bounds it was held to."""
    first: list[tuple[Choice, Setup, Bounds]] = []
    for i, fuel in enumerate(fuels):
        setup = start if fuel == start.fuel else start.with_values(**{FUEL: fuel})
        bounds = _bounds(scenarios, setup, evidence)
        part = _later(tell, 0.5 * i / len(fuels), 0.5 * (i + 1) / len(fuels))
        first.append((rough_setup(scenarios, trust, setup, bounds, part), setup, bounds))
    # Another fuel costs an hour at the pump: it must bring more than the rough answers are sure of.
    rough, setup, bounds = min(first, key=lambda one: one[0].cost_s + (FUEL_WORTH_S if one[1] != start else 0.0))
    return best_setup(scenarios, trust, setup, rough.setup, bounds, _later(tell, 0.5)), bounds


def _bounds(scenarios: Scenarios, newest: Setup, evidence: Evidence) -> Bounds:
    car = scenarios.car
    outputs = scenarios.part(range(0, len(scenarios.versions), 4)).drive([newest])[:, 0]
    seconds = per_gear(outputs, "seconds", car.gear_count).mean(axis=0)
    # A quicker pass may reach one gear more than any did so far.
    used = {*evidence.gears, *(np.flatnonzero(seconds > 0.0) + 1).tolist()}
    return Bounds(
        ceilings=tuple(evidence.gear_ceiling(car, newest, newest.fuel, gear + 1) for gear in range(car.gear_count)),
        launch_kpa=evidence.launch_ceiling_kpa(car),
        held_gears=evidence.slipping_gears,
        gears=tuple(sorted(used)),
    )


def _effects(fitted: FittedCar, passes: Sequence[ReviewedPass]) -> tuple[OwnEffect, ...]:
    """Effects of the owner's own adjusters, from what the fitted car leaves of each pass."""
    left_s = []
    for one in passes:
        row = pack(fitted.car, fitted.parameters, one.record.setup, one.record.conditions)
        run_s = float(elapsed_s(drive_many(row[np.newaxis]))[0])
        left_s.append(_et_s(one) - run_s)
    return own_effects(fitted.car, [one.record.setup for one in passes], left_s, fitted.scatter_sd["et_s"])


def _et_s(one: ReviewedPass) -> float:
    """ET of a pass [s]: the strip's where it gave one, else the log's; nan where neither."""
    clocks = one.record.clocks
    if clocks is not None and clocks.et_s is not None:
        return clocks.et_s
    measured = one.review.timeslip.et_s
    return np.nan if isinstance(measured, Absent) else measured.value


def _explained(
    fitted: FittedCar,
    scenarios: Scenarios,
    trust: Trust,
    passes: Sequence[ReviewedPass],
    choice: Choice,
    single: Setup,
    bounds: Bounds,
    effects: tuple[OwnEffect, ...],
    evidence: Evidence,
) -> Plan:
    """The plan of a chosen setup: forecasts, limit, what binds, what each change is worth."""
    car, newest, setup = fitted.car, passes[-1].record.setup, choice.setup
    few = scenarios.part(range(0, len(scenarios.versions), len(scenarios.versions) // EXPLAINED_BY))
    outputs = scenarios.drive([setup, newest])
    times = elapsed_s(outputs).mean(axis=0)
    forecast = forecast_of(outputs[:, 0], setup, trust, fitted.scatter_sd, car.guards)
    repeat = forecast_of(outputs[:, 1], newest, trust, fitted.scatter_sd, car.guards)
    binding, rungs = ladder_of(few, trust, newest, setup, bounds)
    changes = changes_between(few, trust, newest, setup)
    alone = changes_between(few, trust, newest, single)
    return Plan(
        setup=setup,
        newest=newest,
        conditions=scenarios.conditions,
        forecast=forecast,
        repeat=repeat,
        limit_et_s=limit_of(few, fitted.parameters),
        binding=binding,
        rungs=rungs,
        changes=changes,
        first_change=alone[0] if alone else None,
        own_effects=effects,
        cautions=cautions_of(passes, forecast, repeat, car.guards),
        day=day_sentences(few, newest, passes[-1].record.conditions),
        tell_apart=told_apart(
            float(times[1] - times[0]),
            fitted.scatter_sd["et_s"],
            is_same=setup == newest,
            crosses=not all(margin.ok for margin in repeat.guards),
        ),
        teaches=taught_by(setup, evidence, choice.teaching),
        unknown=fitted.unknown,
        fitted=fitted.values,
        assumed=car.assumed,
    )


def _later(tell: Progress, start: float, end: float = 1.0) -> Progress:
    def inner(doing: str, done: float) -> None:
        tell(doing, start + (end - start) * done)

    return inner


def _silent(_doing: str, _done: float) -> None:
    pass
