"""A finding: something that the log shows, what it means, and the next test or change."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from nextpass.words import keys, phrase


class Severity(StrEnum):
    """How much it matters, gravest first."""

    STOP = "stop"  # do not run again until resolved
    ACT = "act"
    WATCH = "watch"
    NOTE = "note"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing that the log shows.

    Parameters
    ----------
    code : str
        Stable name, such as ``wheel-slip``.
    gear : int or None
        Where it belongs to one gear.
    start_s, end_s : float
        On the log's clock.
    channels : tuple of str
        Canonical names of the channels that show it.
    evidence : Mapping[str, float]
        Figures by name with unit.
    meaning, next_step : str
        In a calibrator's words.
    """

    code: str
    severity: Severity
    title: str
    gear: int | None
    start_s: float
    end_s: float
    channels: tuple[str, ...]
    evidence: Mapping[str, float]
    meaning: str
    next_step: str


def finding_codes() -> tuple[str, ...]:
    """Codes of all findings that a review can have, sorted."""
    titles = (key.removeprefix("finding.") for key in keys("en") if key.startswith("finding."))
    return tuple(sorted(title.removesuffix(".title") for title in titles if title.endswith(".title")))


def worded(
    code: str,
    severity: Severity,
    start_s: float,
    end_s: float,
    channels: tuple[str, ...],
    evidence: Mapping[str, float],
    gear: int | None = None,
    **names: object,
) -> Finding:
    """A finding with its texts, which stand under ``finding.<code>`` among the words.

    Parameters
    ----------
    code, severity, start_s, end_s, channels, evidence, gear
        As in `Finding`.
    **names : object
        What the texts of this finding leave open, such as the axle.

    Returns
    -------
    Finding
    """
    return Finding(
        code=code,
        severity=severity,
        title=phrase(f"finding.{code}.title", **names),
        gear=gear,
        start_s=start_s,
        end_s=end_s,
        channels=channels,
        evidence=evidence,
        meaning=phrase(f"finding.{code}.meaning", **names),
        next_step=phrase(f"finding.{code}.next_step", **names),
    )
