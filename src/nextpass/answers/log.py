"""The answer of `nextpass log inspect`: what each column was taken for, and what the log can and cannot show."""

import math

from nextpass.answers.schema import DECIMALS, Answer
from nextpass.log import Log, Match


class ColumnAnswer(Answer):
    """One column: the channel that it was taken for, or the question that must be answered first."""

    column: str
    channel: str | None
    unit: str
    confidence: float
    reason: str
    taken: bool
    rate_hz: float | None
    question: str | None
    choices: list[str]
    remark: str | None


class GapAnswer(Answer):
    """A dropout."""

    start_s: float
    end_s: float


class MarkAnswer(Answer):
    """An event that the driver or the logger set."""

    time_s: float
    text: str


class LogQualityAnswer(Answer):
    """Rate, jitter and dropouts of the rows, and everything else that was noticed."""

    rate_hz: float
    jitter_s: float | None
    gaps: list[GapAnswer]
    remarks: list[str]


class LogAnswer(Answer):
    """A log as it was read."""

    columns: list[ColumnAnswer]
    marks: list[MarkAnswer]
    quality: LogQualityAnswer


def log_answer(log: Log) -> LogAnswer:
    """The answer for a log that has been opened."""
    quality = log.quality
    return LogAnswer(
        columns=[_column(match) for match in log.matches],
        marks=[MarkAnswer(time_s=round(mark.time_s, DECIMALS), text=mark.text) for mark in log.marks],
        quality=LogQualityAnswer(
            rate_hz=round(quality.rate_hz, DECIMALS),
            jitter_s=_finite(quality.jitter_s),
            gaps=[
                GapAnswer(start_s=round(gap.start_s, DECIMALS), end_s=round(gap.end_s, DECIMALS))
                for gap in quality.gaps
            ],
            remarks=list(quality.remarks),
        ),
    )


def _column(match: Match) -> ColumnAnswer:
    return ColumnAnswer(
        column=match.column,
        channel=match.channel,
        unit=match.unit,
        confidence=round(match.confidence, 3),
        reason=match.reason,
        taken=match.is_taken,
        rate_hz=_finite(match.rate_hz),
        question=match.question or None,
        choices=list(match.choices),
        remark=match.remark or None,
    )


def _finite(value: float) -> float | None:
    return round(value, DECIMALS) if math.isfinite(value) else None
