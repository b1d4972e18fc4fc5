"""The answers of `nextpass plan` and `nextpass whatif`."""

import math

from pydantic import Field

from nextpass.answers.schema import (
    DECIMALS,
    KMH_PER_MPS,
    Answer,
    AssumedAnswer,
    ConditionsAnswer,
    EstimateAnswer,
    PlainValue,
    SetupAnswer,
    assumed_answer,
    conditions_answer,
    estimate_answer,
    plain_value,
    setup_answer,
)
from nextpass.car import Setup
from nextpass.plan import Band, Change, Forecast, GuardMargin, OwnEffect, Plan, Rung


class BandAnswer(Answer):
    """A single pass lies between `low` and `high` with 90 % probability."""

    low: float
    median: float
    high: float


class ForecastAnswer(Answer):
    """What one pass should show."""

    et_s: BandAnswer
    t60ft_s: BandAnswer
    t330ft_s: BandAnswer
    t660ft_s: BandAnswer
    t1000ft_s: BandAnswer
    trap_kmh: BandAnswer


class LimitAnswer(Answer):
    """The same car with perfect traction at the same guards."""

    et_s: float
    et_s_plus_minus: float


class BindingAnswer(Answer):
    """What keeps the cap of a gear from being higher, and the ET to gain if it were relaxed."""

    gear: int
    by: str
    gain_s: float
    detail: str


class GuardAnswer(Answer):
    """A guard at the pessimistic end of the forecast."""

    name: str
    worst: float
    limit: float
    ok: bool


class ChangeAnswer(Answer):
    """One adjuster moved, and what that is worth alone."""

    adjuster: str
    gear: int | None
    from_: PlainValue = Field(alias="from")
    to: PlainValue
    gain_s: float
    why: str


class RungAnswer(Answer):
    """One gear of the ladder: caps of the newest and the next pass, and what stands above them; pressures absolute."""

    gear: int
    last_kpa: float
    next_kpa: float
    guard_kpa: float
    guard_by: str
    tyre_kpa: float | None


class OwnEffectAnswer(Answer):
    """What an adjuster of the owner's own did between passes with different values of it."""

    adjuster: str
    from_: PlainValue = Field(alias="from")
    to: PlainValue
    gain_s: EstimateAnswer
    is_clear: bool


class PlanAnswer(Answer):
    """The answer of `nextpass plan`."""

    setup: SetupAnswer
    conditions: ConditionsAnswer
    forecast: ForecastAnswer
    repeat: ForecastAnswer
    limit: LimitAnswer
    binding: list[BindingAnswer]
    guards: list[GuardAnswer]
    rungs: list[RungAnswer]
    changes: list[ChangeAnswer]
    first_change: ChangeAnswer | None
    own_effects: list[OwnEffectAnswer]
    cautions: list[str]
    day: list[str]
    tell_apart: str
    teaches: str
    unknown: list[str]
    fitted: dict[str, EstimateAnswer]
    assumed: list[AssumedAnswer]


class WhatIfAnswer(Answer):
    """The answer of `nextpass whatif`."""

    setup: SetupAnswer
    forecast: ForecastAnswer
    guards: list[GuardAnswer]


def plan_answer(plan: Plan) -> PlanAnswer:
    """The plan by the contract."""
    return PlanAnswer(
        setup=setup_answer(plan.setup),
        conditions=conditions_answer(plan.conditions),
        forecast=forecast_answer(plan.forecast),
        repeat=forecast_answer(plan.repeat),
        limit=LimitAnswer(
            et_s=round(plan.limit_et_s.value, DECIMALS), et_s_plus_minus=round(plan.limit_et_s.plus_minus, DECIMALS)
        ),
        binding=[
            BindingAnswer(gear=item.gear, by=item.by, gain_s=round(item.gain_s, DECIMALS), detail=item.detail)
            for item in plan.binding
        ],
        guards=_guard_answers(plan.guards),
        rungs=[_rung_answer(rung) for rung in plan.rungs],
        changes=[_change_answer(change) for change in plan.changes],
        first_change=None if plan.first_change is None else _change_answer(plan.first_change),
        own_effects=[_own_effect_answer(effect) for effect in plan.own_effects],
        cautions=list(plan.cautions),
        day=list(plan.day),
        tell_apart=plan.tell_apart,
        teaches=plan.teaches,
        unknown=list(plan.unknown),
        fitted={name: answer for name, value in plan.fitted.items() if (answer := estimate_answer(value)) is not None},
        assumed=assumed_answer(plan.assumed),
    )


def forecast_answer(forecast: Forecast) -> ForecastAnswer:
    """A forecast in the contract's units."""
    return ForecastAnswer(
        et_s=_band_answer(forecast.et_s),
        t60ft_s=_band_answer(forecast.t60ft_s),
        t330ft_s=_band_answer(forecast.t330ft_s),
        t660ft_s=_band_answer(forecast.t660ft_s),
        t1000ft_s=_band_answer(forecast.t1000ft_s),
        trap_kmh=_band_answer(forecast.trap_mps, KMH_PER_MPS),
    )


def what_if_answer(setup: Setup, forecast: Forecast) -> WhatIfAnswer:
    """The forecast of any setup by the contract."""
    return WhatIfAnswer(
        setup=setup_answer(setup), forecast=forecast_answer(forecast), guards=_guard_answers(forecast.guards)
    )


def _guard_answers(guards: tuple[GuardMargin, ...]) -> list[GuardAnswer]:
    return [
        GuardAnswer(name=item.name, worst=round(item.worst, DECIMALS), limit=item.limit, ok=item.ok) for item in guards
    ]


def _band_answer(band: Band, factor: float = 1.0) -> BandAnswer:
    return BandAnswer(
        low=round(band.low * factor, DECIMALS),
        median=round(band.median * factor, DECIMALS),
        high=round(band.high * factor, DECIMALS),
    )


def _change_answer(change: Change) -> ChangeAnswer:
    return ChangeAnswer(
        adjuster=change.adjuster,
        gear=change.gear,
        from_=plain_value(change.before),
        to=plain_value(change.after),
        gain_s=round(change.gain_s, DECIMALS),
        why=change.why,
    )


def _rung_answer(rung: Rung) -> RungAnswer:
    return RungAnswer(
        gear=rung.gear,
        last_kpa=rung.last_kpa,
        next_kpa=rung.next_kpa,
        guard_kpa=rung.guard_kpa,
        guard_by=rung.guard_by,
        tyre_kpa=None if math.isnan(rung.tyre_kpa) else round(rung.tyre_kpa, 1),
    )


def _own_effect_answer(effect: OwnEffect) -> OwnEffectAnswer:
    return OwnEffectAnswer(
        adjuster=effect.adjuster,
        from_=plain_value(effect.before),
        to=plain_value(effect.after),
        gain_s=EstimateAnswer(
            value=round(effect.gain_s.value, DECIMALS), plus_minus=round(effect.gain_s.plus_minus, DECIMALS)
        ),
        is_clear=effect.is_clear,
    )
