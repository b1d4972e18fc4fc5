"""Whether a setup keeps every guard of the car, at the pessimistic end of what is not known.

A guard is held against the figure that only few of the scenarios exceed, not against the expected one. The figures are
columns of `sim.OUTPUTS`; limits come from the car file in the program's units; names and units that leave here are the
contract's.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Guards
from nextpass.plan.plan import GuardMargin
from nextpass.sim import OUTPUTS

FloatArray = NDArray[np.float64]

# Share of the scenarios that must keep a guard. With a hundred scenarios two may exceed the figure, and the fit's
# samples reach further than the passes of one day do.
PESSIMISTIC = 0.97


@dataclass(frozen=True, slots=True, kw_only=True)
class GuardRule:
    """One guard: the contract's name, the figure of the simulation, its limit, the factor to the contract's unit."""

    name: str
    output: str
    limit: Callable[[Guards], float]
    factor: float = 1.0


GUARD_RULES = (
    GuardRule(name="injector_duty_pct", output="injector_duty", limit=lambda g: g.injector_duty, factor=100.0),
    GuardRule(name="knock_retard_deg", output="knock_retard_deg", limit=lambda g: g.knock_retard_deg),
    GuardRule(name="wot_lambda_max", output="wot_lambda", limit=lambda g: g.wot_lambda_max),
    GuardRule(name="clutch_energy_kj", output="clutch_energy_j", limit=lambda g: g.clutch_energy_j, factor=1e-3),
    GuardRule(name="gearbox_oil_c", output="gearbox_oil_c", limit=lambda g: g.gearbox_oil_c),
    GuardRule(name="charge_air_c", output="charge_air_c", limit=lambda g: g.charge_air_c),
    GuardRule(
        name="rail_pressure_drop_pct", output="rail_pressure_drop", limit=lambda g: g.rail_pressure_drop, factor=100.0
    ),
)


def pessimistic(figures: FloatArray, share: float = PESSIMISTIC) -> FloatArray:
    """The figure that all but a few scenarios stay under.

    Parameters
    ----------
    figures : ndarray, shape (scenarios, ...)
        Any unit; nan (a pass that did not get far enough to show it) counts as harmless.
    share : float
        Share of the scenarios that stay under, 0..1.

    Returns
    -------
    ndarray, shape (...)
        The next higher figure, never one between two: few scenarios make it more careful, not less.
    """
    known = np.where(np.isfinite(figures), figures, -np.inf)
    return np.asarray(np.quantile(known, share, axis=0, method="higher"))


def figures_of(outputs: FloatArray) -> dict[str, FloatArray]:
    """The guarded columns of simulated outputs by name, each without the last axis."""
    return {rule.output: np.asarray(outputs[..., OUTPUTS.index(rule.output)]) for rule in GUARD_RULES}


def excess(outputs: FloatArray, guards: Guards) -> FloatArray:
    """By how much the guards are exceeded at the pessimistic end, as a share of each limit, summed.

    Parameters
    ----------
    outputs : ndarray, shape (scenarios, points, len(OUTPUTS))
        Simulated.
    guards : Guards

    Returns
    -------
    ndarray, shape (points,)
        0 where every guard is kept.
    """
    figures = figures_of(outputs)
    shares = []
    for rule in GUARD_RULES:
        limit = rule.limit(guards)
        over = pessimistic(figures[rule.output]) - limit
        shares.append(np.maximum(over, 0.0) / max(abs(limit), 1e-9))
    return np.asarray(np.sum(shares, axis=0))


def margins(outputs: FloatArray, guards: Guards) -> tuple[GuardMargin, ...]:
    """Each guard of one setup against its pessimistic figure, in the contract's units.

    Parameters
    ----------
    outputs : ndarray, shape (scenarios, len(OUTPUTS))
        Simulated.
    guards : Guards

    Returns
    -------
    tuple of GuardMargin
        In the order of the contract.
    """
    figures = figures_of(outputs)
    made = []
    for rule in GUARD_RULES:
        worst, limit = float(pessimistic(figures[rule.output])), rule.limit(guards)
        made.append(
            GuardMargin(name=rule.name, worst=worst * rule.factor, limit=limit * rule.factor, ok=worst <= limit)
        )
    return tuple(made)


def first_crossed(outputs: FloatArray, guards: Guards) -> str | None:
    """The first guard that one setup crosses at the pessimistic end, by the contract's name; arguments of `margins`."""
    return next((margin.name for margin in margins(outputs, guards) if not margin.ok), None)
