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
class GuardMargin:
    """A guard at the pessimistic end of the forecast; values in the unit of the contract's name."""

    name: str
    worst: float
    limit: float
    ok: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """What one pass at a setup should show: times from the rollout [s], trap speeds [m/s], and the guards."""

    t60ft_s: Band
    t330ft_s: Band
    t660ft_s: Band
    t1000ft_s: Band
    et_s: Band
    trap_mps: Band
    guards: tuple[GuardMargin, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Binding:
    """What keeps the pressure cap of a gear from being higher, and the ET to gain if that were relaxed [s]."""

    gear: int
    by: BindingCause
    gain_s: float
    detail: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Rung:
    """One gear of the ladder: pressure caps of the newest and the next pass, and what stands above them [kPa absolute].

    Parameters
    ----------
    gear : int
        Counted from 1.
    last_kpa, next_kpa : float
        Cap of the newest pass and of the plan.
    guard_kpa : float
        Highest cap that the guards, the fuel, the step guard and the adjuster allow with the rest of the plan as it is.
    guard_by : BindingCause
        Which of them bounds it.
    tyre_kpa : float
        Pressure above which the tyres cannot carry the torque anywhere in the gear; nan where not known or never.
    """

    gear: int
    last_kpa: float
    next_kpa: float
    guard_kpa: float
    guard_by: BindingCause
    tyre_kpa: float


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
class OwnEffect:
    """What an adjuster of the owner's own did to the ET between passes with different values of it.

    Parameters
    ----------
    adjuster : str
    before, after : AdjusterValue
        The value of the newest pass, and the other one.
    gain_s : Estimate
        ET to gain by going from `before` to `after`, all else taken out [s].
    is_clear : bool
        Whether the ± leaves its sign in no doubt: only then does the plan move the adjuster.
    """

    adjuster: str
    before: AdjusterValue
    after: AdjusterValue
    gain_s: Estimate
    is_clear: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The next pass.

    Parameters
    ----------
    setup : Setup
        Every adjuster of the car, on its step, in its range.
    changes : tuple of Change
        The one that is worth most alone first.
    first_change : Change or None
        The one to make if only one is wanted; None where nothing is worth changing.
    newest : Setup
        The setup of the newest pass, which `changes` start from.
    forecast, repeat : Forecast
        At `setup`, and for running the newest setup again.
    limit_et_s : Estimate
        ET with perfect traction at the same guards; its value is not beaten by any setup.
    own_effects : tuple of OwnEffect
        Adjusters of the owner's own that the passes tell something about.
    cautions : tuple of str
        What must be said about guards before the plan is dialled in.
    day : tuple of str
        What the air and the track of the pass to come do to it, a sentence each.
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
    rungs: tuple[Rung, ...]
    changes: tuple[Change, ...]
    first_change: Change | None
    own_effects: tuple[OwnEffect, ...]
    cautions: tuple[str, ...]
    day: tuple[str, ...]
    tell_apart: str
    teaches: str
    unknown: tuple[str, ...]
    fitted: Mapping[str, Estimate]
    assumed: tuple[Assumed, ...]

    @property
    def guards(self) -> tuple[GuardMargin, ...]:
        """Guards at the pessimistic end of the forecast of `setup`."""
        return self.forecast.guards
