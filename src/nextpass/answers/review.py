"""The answer of `nextpass review`."""

from collections.abc import Sequence

from pydantic import Field

from nextpass.answers.schema import (
    DECIMALS,
    KMH_PER_MPS,
    Answer,
    AssumedAnswer,
    EstimateAnswer,
    assumed_answer,
    estimate_answer,
)
from nextpass.log import Log
from nextpass.measure import Absent, Estimate, Measured
from nextpass.review import (
    Attempt,
    ClockDifference,
    Finding,
    LostTime,
    Phase,
    ReviewedPass,
    Severity,
    Timeslip,
    WindowTime,
)
from nextpass.words import phrase


class TimeslipAnswer(Answer):
    """Clocks and speed windows; null where the log cannot support a value."""

    t60ft_s: EstimateAnswer | None
    t330ft_s: EstimateAnswer | None
    t660ft_s: EstimateAnswer | None
    v660ft_kmh: EstimateAnswer | None
    t1000ft_s: EstimateAnswer | None
    et_s: EstimateAnswer | None
    trap_kmh: EstimateAnswer | None
    t0_60mph_s: EstimateAnswer | None
    t0_100kmh_s: EstimateAnswer | None
    t100_200kmh_s: EstimateAnswer | None


class PhaseAnswer(Answer):
    """One stretch of the pass, on the log's clock."""

    kind: str
    gear: int | None
    start_s: float
    end_s: float


class FindingAnswer(Answer):
    """One thing that the log shows."""

    code: str
    severity: Severity
    title: str
    gear: int | None
    start_s: float
    end_s: float
    channels: list[str]
    evidence: dict[str, float]
    meaning: str
    next_step: str


class GapAnswer(Answer):
    """A stretch without samples."""

    start_s: float
    end_s: float


class ChannelAnswer(Answer):
    """Where a channel came from and how often it was truly sampled."""

    column: str
    rate_hz: float


class QualityAnswer(Answer):
    """What the log can and cannot show; `not_supported` says why a value is null."""

    rate_hz: float
    channels_found: dict[str, ChannelAnswer]
    channels_missing: list[str]
    gaps: list[GapAnswer]
    remarks: list[str]
    not_supported: list[str]


class StripAnswer(Answer):
    """One clock of the strip against the log; `explained` where the two can belong to one pass."""

    name: str
    log: EstimateAnswer
    strip: float
    difference: float
    explained: bool


class WindowAnswer(Answer):
    """A stretch that the user named; null with a reason where the pass does not reach it."""

    window: str
    time_s: EstimateAnswer | None
    reason: str


class TryAnswer(Answer):
    """One of several tries in a log, with its own timeslip."""

    start_s: float
    end_s: float
    from_rest: bool
    timeslip: TimeslipAnswer


class LossAnswer(Answer):
    """Time that one cause cost in one gear; gear is null where it belongs to none."""

    cause: str
    gear: int | None
    seconds: EstimateAnswer


class LostTimeAnswer(Answer):
    """ET of the pass less that of the same car with perfect traction; the parts add up to the whole."""

    whole_s: EstimateAnswer
    limit_et_s: float
    parts: list[LossAnswer]


class ReviewAnswer(Answer):
    """The answer of `nextpass review`.

    `corrected` is the timeslip on a level strip in still air, null where the pass states neither slope nor wind;
    `tries` is empty where the log holds one try alone; `lost` is null where it was not asked for or cannot be said.
    """

    timeslip: TimeslipAnswer
    corrected: TimeslipAnswer | None
    strip: list[StripAnswer]
    windows: list[WindowAnswer]
    tries: list[TryAnswer]
    lost: LostTimeAnswer | None
    phases: list[PhaseAnswer]
    findings: list[FindingAnswer]
    quality: QualityAnswer
    assumed: list[AssumedAnswer] = Field(default_factory=list)


# Speeds have another unit in the contract than in the program.
CONTRACT_NAMES = {"v660ft_mps": "v660ft_kmh", "trap_mps": "trap_kmh"}
# What a full review rests on; a log without one of them is told so.
WANTED_CHANNELS = (
    "engine_rpm",
    "vehicle_speed_mps",
    "wheel_speed_fl_mps",
    "wheel_speed_fr_mps",
    "wheel_speed_rl_mps",
    "wheel_speed_rr_mps",
    "gps_speed_mps",
    "longitudinal_acceleration_mps2",
    "manifold_pressure_kpa",
    "target_pressure_kpa",
    "gear",
    "throttle",
    "lambda_bank1",
    "lambda_target",
    "injector_duty",
    "rail_pressure_kpa",
    "knock_retard_deg",
    "charge_temperature_c",
    "coolant_temperature_c",
    "gearbox_oil_temperature_c",
)


def review_answer(
    reviewed: ReviewedPass,
    windows: Sequence[WindowTime] = (),
    tries: Sequence[tuple[Attempt, Timeslip]] = (),
    lost: LostTime | Absent | None = None,
) -> ReviewAnswer:
    """The review of one pass by the contract, with the windows and the tries that were asked for."""
    review = reviewed.review
    return ReviewAnswer(
        timeslip=timeslip_answer(review.timeslip),
        corrected=None if review.corrected is None else timeslip_answer(review.corrected),
        strip=[_strip_answer(one) for one in review.strip],
        windows=[_window_answer(one) for one in windows],
        tries=[
            TryAnswer(
                start_s=round(attempt.leaves_s, DECIMALS),
                end_s=round(attempt.lift_s, DECIMALS),
                from_rest=attempt.from_rest,
                timeslip=timeslip_answer(slip),
            )
            for attempt, slip in tries
        ],
        lost=_lost_answer(lost) if isinstance(lost, LostTime) else None,
        phases=[_phase_answer(phase) for phase in review.phases],
        findings=[_finding_answer(finding) for finding in review.findings],
        quality=_quality_answer(reviewed.log, (*review.missing, *_absences(review.timeslip), *_why_not(lost))),
        assumed=assumed_answer(review.assumed),
    )


def _lost_answer(lost: LostTime) -> LostTimeAnswer:
    return LostTimeAnswer(
        whole_s=_rounded(lost.whole_s),
        limit_et_s=round(lost.limit_et_s, DECIMALS),
        parts=[LossAnswer(cause=one.cause, gear=one.gear, seconds=_rounded(one.seconds)) for one in lost.parts],
    )


def _why_not(lost: LostTime | Absent | None) -> tuple[str, ...]:
    return (f"lost: {lost.reason}",) if isinstance(lost, Absent) else ()


def _rounded(estimate: Estimate, factor: float = 1.0) -> EstimateAnswer:
    return EstimateAnswer(
        value=round(estimate.value * factor, DECIMALS), plus_minus=round(estimate.plus_minus * factor, DECIMALS)
    )


def _strip_answer(one: ClockDifference) -> StripAnswer:
    factor = KMH_PER_MPS if one.name in CONTRACT_NAMES else 1.0
    return StripAnswer(
        name=CONTRACT_NAMES.get(one.name, one.name),
        log=_rounded(one.log, factor),
        strip=round(one.strip * factor, DECIMALS),
        difference=round(one.difference * factor, DECIMALS),
        explained=one.is_explained,
    )


def _window_answer(one: WindowTime) -> WindowAnswer:
    return WindowAnswer(
        window=one.window.text,
        time_s=estimate_answer(one.time_s),
        reason=one.time_s.reason if isinstance(one.time_s, Absent) else "",
    )


def timeslip_answer(slip: Timeslip) -> TimeslipAnswer:
    """The timeslip in the contract's units."""
    return TimeslipAnswer(
        t60ft_s=estimate_answer(slip.t60ft_s),
        t330ft_s=estimate_answer(slip.t330ft_s),
        t660ft_s=estimate_answer(slip.t660ft_s),
        v660ft_kmh=estimate_answer(slip.v660ft_mps, KMH_PER_MPS),
        t1000ft_s=estimate_answer(slip.t1000ft_s),
        et_s=estimate_answer(slip.et_s),
        trap_kmh=estimate_answer(slip.trap_mps, KMH_PER_MPS),
        t0_60mph_s=estimate_answer(slip.t0_60mph_s),
        t0_100kmh_s=estimate_answer(slip.t0_100kmh_s),
        t100_200kmh_s=estimate_answer(slip.t100_200kmh_s),
    )


def timeslip_of_answer(answer: TimeslipAnswer) -> Timeslip:
    """The timeslip that an answer was made from; what was absent is so again, without its reason."""
    absent = Absent(reason=phrase("season.not_supported"))

    def measured(given: EstimateAnswer | None, factor: float = 1.0) -> Measured:
        if given is None:
            return absent
        return Estimate(value=given.value / factor, plus_minus=given.plus_minus / factor)

    return Timeslip(
        t60ft_s=measured(answer.t60ft_s),
        t330ft_s=measured(answer.t330ft_s),
        t660ft_s=measured(answer.t660ft_s),
        v660ft_mps=measured(answer.v660ft_kmh, KMH_PER_MPS),
        t1000ft_s=measured(answer.t1000ft_s),
        et_s=measured(answer.et_s),
        trap_mps=measured(answer.trap_kmh, KMH_PER_MPS),
        t0_60mph_s=measured(answer.t0_60mph_s),
        t0_100kmh_s=measured(answer.t0_100kmh_s),
        t100_200kmh_s=measured(answer.t100_200kmh_s),
    )


def _absences(slip: Timeslip) -> tuple[str, ...]:
    lines = []
    for name in slip.__slots__:
        measured = getattr(slip, name)
        if isinstance(measured, Absent):
            lines.append(f"{CONTRACT_NAMES.get(name, name)}: {measured.reason}")
    return tuple(lines)


def _phase_answer(phase: Phase) -> PhaseAnswer:
    return PhaseAnswer(
        kind=phase.kind,
        gear=phase.gear,
        start_s=round(phase.start_s, DECIMALS),
        end_s=round(phase.end_s, DECIMALS),
    )


def _finding_answer(finding: Finding) -> FindingAnswer:
    return FindingAnswer(
        code=finding.code,
        severity=finding.severity,
        title=finding.title,
        gear=finding.gear,
        start_s=round(finding.start_s, DECIMALS),
        end_s=round(finding.end_s, DECIMALS),
        channels=list(finding.channels),
        evidence={name: round(value, DECIMALS) for name, value in finding.evidence.items()},
        meaning=finding.meaning,
        next_step=finding.next_step,
    )


def _quality_answer(log: Log, not_supported: tuple[str, ...]) -> QualityAnswer:
    return QualityAnswer(
        rate_hz=round(log.quality.rate_hz, 2),
        channels_found={
            name: ChannelAnswer(column=channel.source, rate_hz=round(channel.rate_hz, 2))
            for name, channel in log.channels.items()
        },
        channels_missing=[name for name in WANTED_CHANNELS if name not in log],
        gaps=[
            GapAnswer(start_s=round(gap.start_s, DECIMALS), end_s=round(gap.end_s, DECIMALS))
            for gap in log.quality.gaps
        ],
        remarks=list(log.quality.remarks),
        not_supported=list(dict.fromkeys(not_supported)),
    )
