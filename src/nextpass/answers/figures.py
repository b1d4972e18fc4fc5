"""What the ledger keeps of one pass, as JSON and back: a season is read from these, not from its logs."""

from datetime import datetime

from nextpass.answers.schema import DECIMALS, Answer, EstimateAnswer, estimate_answer
from nextpass.health import Launch, LimitPassed, PassFigures, Residency
from nextpass.measure import Absent, Estimate, Measured
from nextpass.review import Severity
from nextpass.words import phrase

KJ_PER_J = 1e-3
PERCENT = 100.0


class LaunchAnswer(Answer):
    """One launch; null where the log cannot tell."""

    launch_rpm: float
    clutch_energy_kj: EstimateAnswer | None
    clutch_rise_k: EstimateAnswer | None
    gearbox_oil_c: EstimateAnswer | None
    clutch_peak_c: EstimateAnswer | None
    clutch_life_pct: EstimateAnswer | None


class ResidencyAnswer(Answer):
    """Seconds of one oil below the first edge, between each two, above the last."""

    channel: str
    edges_c: list[float]
    seconds: list[float]


class LimitPassedAnswer(Answer):
    """A limit that a pass went over, on the log's clock."""

    code: str
    severity: Severity
    title: str
    start_s: float
    end_s: float


class PassFiguresAnswer(Answer):
    """What the ledger keeps of one pass; `wear` by name with unit, ratios as they are."""

    name: str
    number: int | None
    started: datetime | None
    fuel: str
    air_temperature_c: float
    launch: LaunchAnswer | None
    residency: list[ResidencyAnswer]
    limits_passed: list[LimitPassedAnswer]
    wear: dict[str, float]


def figures_answer(figures: PassFigures) -> PassFiguresAnswer:
    """What the ledger keeps of one pass, by the contract."""
    return PassFiguresAnswer(
        name=figures.name,
        number=figures.number,
        started=figures.started,
        fuel=figures.fuel,
        air_temperature_c=figures.air_temperature_c,
        launch=None if figures.launch is None else _launch_answer(figures.launch),
        residency=[residency_answer(one) for one in figures.residency],
        limits_passed=[limit_answer(one) for one in figures.limits_passed],
        wear={name: round(value, DECIMALS + 2) for name, value in figures.wear.items()},
    )


def figures_of_answer(answer: PassFiguresAnswer, name: str) -> PassFigures:
    """The figures of a pass from their answer, under the name that the reader knows the pass by.

    Parameters
    ----------
    answer : PassFiguresAnswer
        As it was kept.
    name : str
        In place of the folder's.

    Returns
    -------
    PassFigures
        To the digits of the answer; what it has as null is absent, without the reason.
    """
    return PassFigures(
        name=name,
        number=answer.number,
        started=answer.started,
        fuel=answer.fuel,
        air_temperature_c=answer.air_temperature_c,
        launch=None if answer.launch is None else _launch(answer.launch),
        residency=tuple(
            Residency(channel=one.channel, edges_c=tuple(one.edges_c), seconds=tuple(one.seconds))
            for one in answer.residency
        ),
        limits_passed=tuple(
            LimitPassed(code=one.code, severity=one.severity, title=one.title, start_s=one.start_s, end_s=one.end_s)
            for one in answer.limits_passed
        ),
        wear=dict(answer.wear),
    )


def _launch_answer(launch: Launch) -> LaunchAnswer:
    return LaunchAnswer(
        launch_rpm=launch.launch_rpm,
        clutch_energy_kj=estimate_answer(launch.energy_j, KJ_PER_J),
        clutch_rise_k=estimate_answer(launch.rise_k),
        gearbox_oil_c=estimate_answer(launch.oil_c),
        clutch_peak_c=estimate_answer(launch.peak_c),
        clutch_life_pct=estimate_answer(launch.life_share, PERCENT),
    )


def _launch(answer: LaunchAnswer) -> Launch:
    return Launch(
        launch_rpm=answer.launch_rpm,
        energy_j=_measured(answer.clutch_energy_kj, KJ_PER_J),
        rise_k=_measured(answer.clutch_rise_k),
        oil_c=_measured(answer.gearbox_oil_c),
        peak_c=_measured(answer.clutch_peak_c),
        life_share=_measured(answer.clutch_life_pct, PERCENT),
    )


def _measured(answer: EstimateAnswer | None, factor: float = 1.0) -> Measured:
    """A value back in the program's unit, of which `factor` made the answer's."""
    if answer is None:
        return Absent(reason=phrase("ledger.absent.not_told"))
    return Estimate(value=answer.value / factor, plus_minus=answer.plus_minus / factor)


def residency_answer(residency: Residency) -> ResidencyAnswer:
    """Time of one oil in its bands."""
    return ResidencyAnswer(
        channel=residency.channel,
        edges_c=list(residency.edges_c),
        seconds=[round(seconds, 2) for seconds in residency.seconds],
    )


def limit_answer(limit: LimitPassed) -> LimitPassedAnswer:
    """A limit that a pass went over."""
    return LimitPassedAnswer(
        code=limit.code,
        severity=limit.severity,
        title=limit.title,
        start_s=round(limit.start_s, DECIMALS),
        end_s=round(limit.end_s, DECIMALS),
    )
