"""The answer of `nextpass review`."""

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
from nextpass.measure import Absent
from nextpass.review import Finding, Phase, ReviewedPass, Severity, Timeslip


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


class ReviewAnswer(Answer):
    """The answer of `nextpass review`."""

    timeslip: TimeslipAnswer
    phases: list[PhaseAnswer]
    findings: list[FindingAnswer]
    quality: QualityAnswer
    assumed: list[AssumedAnswer] = Field(default_factory=list)


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


def review_answer(reviewed: ReviewedPass) -> ReviewAnswer:
    """The review of one pass by the contract."""
    review = reviewed.review
    return ReviewAnswer(
        timeslip=timeslip_answer(review.timeslip),
        phases=[_phase_answer(phase) for phase in review.phases],
        findings=[_finding_answer(finding) for finding in review.findings],
        quality=_quality_answer(reviewed.log, (*review.missing, *_absences(review.timeslip))),
        assumed=assumed_answer(review.assumed),
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


def _absences(slip: Timeslip) -> tuple[str, ...]:
    contract_names = {"v660ft_mps": "v660ft_kmh", "trap_mps": "trap_kmh"}
    lines = []
    for name in slip.__slots__:
        measured = getattr(slip, name)
        if isinstance(measured, Absent):
            lines.append(f"{contract_names.get(name, name)}: {measured.reason}")
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
