"""The plan: the next setup, what it should bring, what holds it back and why."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from nextpass.car import AdjusterValue, Assumed, Conditions, Setup
from nextpass.measure import Estimate

BindingCause = Literal[
    "traction", "fuel", "injector", "pump", "knock", "clutch", "adjuster range", "step guard", "charge heat", "nothing"
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """The range that holds a single pass with 90 % probability, and its median."""

    low: float
    median: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """What one pass at a setup should show: times from the rollout [s], trap speeds [m/s]."""

    t60ft_s: Band
    t330ft_s: Band
    t660ft_s: Band
    t1000ft_s: Band
    et_s: Band
    trap_mps: Band


@dataclass(frozen=True, slots=True, kw_only=True)
class Binding:
    """What keeps the pressure cap of a gear from being higher, and the ET to gain if that were relaxed [s]."""

    gear: int
    by: BindingCause
    gain_s: float
    detail: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GuardMargin:
    """A guard at the pessimistic end of the forecast; values in the unit of the contract's name."""

    name: str
    worst: float
    limit: float
    ok: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One adjuster moved: `gear` is None unless it has a value a gear; `gain_s` is its worth alone [s]."""

    adjuster: str
    gear: int | None
    before: AdjusterValue
    after: AdjusterValue
    gain_s: float
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The next pass.

    Parameters
    ----------
    setup : Setup
        Every adjuster of the car, on its step, in its range.
    newest : Setup
        The setup of the newest pass, which `changes` start from.
    forecast, repeat : Forecast
        At `setup`, and for running the newest setup again.
    limit_et_s : Estimate
        ET with perfect traction at the same guards; its value is not beaten by any setup.
    tell_apart : str
        Whether the passes can tell `setup` from `newest`, in words; empty where they clearly can.
    teaches : str
        What the pass is meant to teach; empty where it is only meant to be quick.
    unknown : tuple of str
        What the passes leave open, with the one measurement that would tell most.
    fitted : Mapping[str, Estimate]
        The car as its passes show it, by parameter name with unit.
    """

    setup: Setup
    newest: Setup
    conditions: Conditions
    forecast: Forecast
    repeat: Forecast
    limit_et_s: Estimate
    binding: tuple[Binding, ...]
    guards: tuple[GuardMargin, ...]
    changes: tuple[Change, ...]
    tell_apart: str
    teaches: str
    unknown: tuple[str, ...]
    fitted: Mapping[str, Estimate]
    assumed: tuple[Assumed, ...]
