"""The answer of `nextpass ledger`."""

import math
from datetime import datetime
from typing import Literal

from nextpass.answers.figures import (
    KJ_PER_J,
    PERCENT,
    LimitPassedAnswer,
    PassFiguresAnswer,
    ResidencyAnswer,
    figures_answer,
    limit_answer,
    residency_answer,
)
from nextpass.answers.schema import Answer, EstimateAnswer, estimate_answer
from nextpass.health import (
    Due,
    FigureTrend,
    LearnedChange,
    Ledger,
    Precondition,
    Reach,
)
from nextpass.measure import Absent


class ReachAnswer(Answer):
    """Launches from the newest pass to the limit; `latest` is null where the slow end does not reach it."""

    launches: float
    soonest: float
    latest: float | None


class TrendAnswer(Answer):
    """One figure over the season: `slope` per launch, `p_value` that chance alone would order it so."""

    figure: str
    drift: Literal["drifts", "steady", "cannot tell"]
    is_wear: bool
    slope: EstimateAnswer | None
    over_season: EstimateAnswer | None
    now: EstimateAnswer | None
    p_value: float | None
    method: str
    freed_of_air: bool
    limit: float | None
    reach: ReachAnswer | None
    passes: list[str]
    launches: list[float]
    values: list[float]


class DueAnswer(Answer):
    """One item with a term; negative where it is over it."""

    item: str
    since: datetime
    launches: float
    days: float
    launches_left: float | None
    days_left: float | None
    is_due: bool


class PreconditionAnswer(Answer):
    """One need of a learning run; null bounds are none, `is_met` is null where the log cannot tell."""

    figure: str
    low: float | None
    high: float | None
    found: EstimateAnswer | None
    is_met: bool | None


class LearnedAnswer(Answer):
    """Learned values before and after a reset or learning run."""

    when: datetime
    item: str
    before: dict[str, float | str]
    after: dict[str, float | str]
    preconditions: list[PreconditionAnswer]


class ConsumptionAnswer(Answer):
    """What launches take of the clutch's stated life."""

    launches: int
    clutch_energy_kj: EstimateAnswer | None
    clutch_life_pct: EstimateAnswer | None
    hardest: str
    hardest_life_pct: EstimateAnswer | None
    median_life_pct: EstimateAnswer | None


class PassedAnswer(Answer):
    """A limit passed and by which pass."""

    pass_name: str
    limit: LimitPassedAnswer


class LedgerAnswer(Answer):
    """The answer of `nextpass ledger`."""

    passes: list[PassFiguresAnswer]
    consumption: ConsumptionAnswer
    residency: list[ResidencyAnswer]
    limits_passed: list[PassedAnswer]
    trends: list[TrendAnswer]
    due: list[DueAnswer]
    learned: list[LearnedAnswer]
    tyre_cycles: int


def ledger_answer(ledger: Ledger) -> LedgerAnswer:
    """The ledger by the contract."""
    consumption = ledger.consumption
    return LedgerAnswer(
        passes=[figures_answer(one) for one in ledger.passes],
        consumption=ConsumptionAnswer(
            launches=consumption.launches,
            clutch_energy_kj=estimate_answer(consumption.energy_j, KJ_PER_J),
            clutch_life_pct=estimate_answer(consumption.life_share, PERCENT),
            hardest=consumption.hardest,
            hardest_life_pct=estimate_answer(consumption.hardest_share, PERCENT),
            median_life_pct=estimate_answer(consumption.median_share, PERCENT),
        ),
        residency=[residency_answer(one) for one in ledger.residency],
        limits_passed=[PassedAnswer(pass_name=name, limit=limit_answer(limit)) for name, limit in ledger.limits_passed],
        trends=[_trend_answer(one) for one in ledger.trends],
        due=[_due_answer(one) for one in ledger.due],
        learned=[_learned_answer(one) for one in ledger.learned],
        tyre_cycles=ledger.tyre_cycles,
    )


def _trend_answer(one: FigureTrend) -> TrendAnswer:
    trend = None if isinstance(one.trend, Absent) else one.trend
    return TrendAnswer(
        figure=one.name,
        drift=one.drift.value,
        is_wear=one.is_wear,
        slope=None
        if trend is None
        else EstimateAnswer(value=_figure(trend.slope.value), plus_minus=_figure(trend.slope.plus_minus)),
        over_season=estimate_answer(one.over_season),
        now=estimate_answer(one.now),
        p_value=None if trend is None else trend.p_value,
        method="" if trend is None else f"{trend.method}; {trend.test}",
        freed_of_air=one.freed_of_air,
        limit=one.limit,
        reach=_reach_answer(one.reach),
        passes=list(one.passes),
        launches=list(one.launches),
        values=[_figure(value) for value in one.values],
    )


def _reach_answer(reach: Reach | Absent) -> ReachAnswer | None:
    if isinstance(reach, Absent):
        return None
    return ReachAnswer(
        launches=round(reach.launches, 1),
        soonest=round(reach.soonest, 1),
        latest=round(reach.latest, 1) if math.isfinite(reach.latest) else None,
    )


def _due_answer(due: Due) -> DueAnswer:
    return DueAnswer(
        item=due.item,
        since=due.since,
        launches=due.launches,
        days=round(due.days, 2),
        launches_left=due.launches_left,
        days_left=None if due.days_left is None else round(due.days_left, 2),
        is_due=due.is_due,
    )


def _learned_answer(learned: LearnedChange) -> LearnedAnswer:
    return LearnedAnswer(
        when=learned.when,
        item=learned.item,
        before=dict(learned.before),
        after=dict(learned.after),
        preconditions=[_precondition_answer(one) for one in learned.preconditions],
    )


def _precondition_answer(one: Precondition) -> PreconditionAnswer:
    return PreconditionAnswer(
        figure=one.figure,
        low=one.low if math.isfinite(one.low) else None,
        high=one.high if math.isfinite(one.high) else None,
        found=estimate_answer(one.found),
        is_met=one.is_met,
    )


def _figure(value: float) -> float:
    """Six significant digits: slopes per launch are small."""
    return float(f"{value:.6g}")
