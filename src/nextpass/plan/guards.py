"""Whether a setup keeps every guard of the car, at the pessimistic end of what is not known.

A guard is held against the figure that only few passes exceed, not against the expected one: the spread of the
scenarios, and what the logs leave of the simulated figures (`trust`). The figures are columns of `sim.OUTPUTS`; limits
come from the car file in the program's units; names and units that leave here are the contract's.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import norm

from nextpass.car import Guards, Setup
from nextpass.plan.plan import GuardMargin
from nextpass.plan.trust import DUTY_OF_GEAR, Trust
from nextpass.sim import OUTPUTS

FloatArray = NDArray[np.float64]

# Share of the scenarios that must keep a guard. With a hundred scenarios two may exceed the figure, and the fit's
# samples reach further than the passes of one day do.
PESSIMISTIC = 0.97
# The same end of a normal, in standard deviations.
DOUBTED = float(norm.ppf(PESSIMISTIC))


@dataclass(frozen=True, slots=True, kw_only=True)
class GuardRule:
    """One guard: the contract's name, the figure of the simulation, its limit, the factor to the contract's unit.

    `by_gear` are the figures of each gear where the guard is held against those instead.
    """

    name: str
    output: str
    limit: Callable[[Guards], float]
    factor: float = 1.0
    by_gear: tuple[str, ...] = ()


GUARD_RULES = (
    GuardRule(
        name="injector_duty_pct",
        output="injector_duty",
        limit=lambda g: g.injector_duty,
        factor=100.0,
        by_gear=DUTY_OF_GEAR,
    ),
    GuardRule(name="knock_retard_deg", output="knock_retard_deg", limit=lambda g: g.knock_retard_deg),
    GuardRule(name="wot_lambda_max", output="wot_lambda", limit=lambda g: g.wot_lambda_max),
    GuardRule(name="clutch_energy_kj", output="clutch_energy_j", limit=lambda g: g.clutch_energy_j, factor=1e-3),
    GuardRule(name="gearbox_oil_c", output="gearbox_oil_c", limit=lambda g: g.gearbox_oil_c),
    GuardRule(name="charge_air_c", output="charge_air_c", limit=lambda g: g.charge_air_c),
    GuardRule(
        name="rail_pressure_drop_pct", output="rail_pressure_drop", limit=lambda g: g.rail_pressure_drop, factor=100.0
    ),
)


def pessimistic(
    figures: FloatArray,
    error: FloatArray | float = 0.0,
    doubt: FloatArray | float = 0.0,
    share: float = PESSIMISTIC,
    unseen: FloatArray | float = 1.0,
) -> FloatArray:
    """The figure that all but a few passes stay under.

    Parameters
    ----------
    figures : ndarray, shape (scenarios, ...)
        Any unit; nan (a pass that did not get far enough to show it) counts as harmless.
    error, doubt : ndarray, shape (...), or float
        Expected error of the simulated figures, and its standard deviation: independent of the scenarios.
    share : float
        Share of the scenarios that stay under, 0..1.
    unseen : ndarray, shape (...), or float
        Part of the scenarios' spread that logs of setups nearby leave open, 0..1: a version that says more than the log
        of a like pass showed is wrong there.

    Returns
    -------
    ndarray, shape (...)
        Of the scenarios the next higher figure, never one between two: few of them make it more careful, not less.
    """
    known = np.where(np.isfinite(figures), figures, -np.inf)
    high = np.asarray(np.quantile(known, share, axis=0, method="higher"))
    middle = np.median(known, axis=0)
    # Two independent one-sided widths add as roots of sums of squares.
    spread = np.where(np.isfinite(middle), high - middle, 0.0)
    return np.asarray(high - spread + np.hypot(unseen * spread, DOUBTED * doubt) + error)


def worst_figures(outputs: FloatArray, setups: Sequence[Setup], trust: Trust) -> dict[str, FloatArray]:
    """Pessimistic figure of each guard, by its contract name and in the program's units.

    Parameters
    ----------
    outputs : ndarray, shape (scenarios, points, len(OUTPUTS))
        Simulated.
    setups : sequence of Setup, length points
        What was simulated.
    trust : Trust
        How far the simulation may be believed there.

    Returns
    -------
    dict of ndarray, shape (points,)
    """
    return {rule.name: worst_figure(rule, outputs, setups, trust) for rule in GUARD_RULES}


def worst_figure(
    rule: GuardRule, outputs: FloatArray, setups: Sequence[Setup], trust: Trust, share: float = PESSIMISTIC
) -> FloatArray:
    """Pessimistic figure of one guard, shape (points,); arguments of `worst_figures` and `pessimistic`."""
    worst = np.zeros(len(setups))
    for name in rule.by_gear or (rule.output,):
        figures = outputs[..., OUTPUTS.index(name)]
        # What is not there at all does not come from an error of the equations: no retard far under the onset.
        there = np.nanmax(np.nan_to_num(figures), axis=0) > 0.0
        if there.any():
            error, doubt, unseen = trust.told(setups, name)
            worst = np.where(there, np.maximum(pessimistic(figures, error, doubt, share, unseen), worst), worst)
    return worst


def excess(outputs: FloatArray, setups: Sequence[Setup], trust: Trust, guards: Guards) -> FloatArray:
    """By how much the guards are exceeded at the pessimistic end, as a share of each limit, summed.

    Parameters
    ----------
    outputs, setups, trust
        As for `worst_figures`.
    guards : Guards

    Returns
    -------
    ndarray, shape (points,)
        0 where every guard is kept.
    """
    worst = worst_figures(outputs, setups, trust)
    shares = [np.maximum(worst[rule.name] / rule.limit(guards) - 1.0, 0.0) for rule in GUARD_RULES]
    return np.asarray(np.sum(shares, axis=0))


def margins(outputs: FloatArray, setup: Setup, trust: Trust, guards: Guards) -> tuple[GuardMargin, ...]:
    """Each guard of one setup against its pessimistic figure, in the contract's units.

    Parameters
    ----------
    outputs : ndarray, shape (scenarios, len(OUTPUTS))
        Simulated.
    setup : Setup
        What was simulated.
    trust : Trust
        How far the simulation may be believed there.
    guards : Guards

    Returns
    -------
    tuple of GuardMargin
        In the order of the contract.
    """
    figures = worst_figures(outputs[:, np.newaxis], [setup], trust)
    made = []
    for rule in GUARD_RULES:
        worst, limit = float(figures[rule.name][0]), rule.limit(guards)
        made.append(
            GuardMargin(name=rule.name, worst=worst * rule.factor, limit=limit * rule.factor, ok=worst <= limit)
        )
    return tuple(made)


def first_crossed(outputs: FloatArray, setup: Setup, trust: Trust, guards: Guards) -> str | None:
    """The first guard that one setup crosses at the pessimistic end, by the contract's name; as for `margins`."""
    return next((margin.name for margin in margins(outputs, setup, trust, guards) if not margin.ok), None)
