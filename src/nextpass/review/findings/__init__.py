"""Findings: evidence in, findings out, no order between them."""

from nextpass.review.findings import boost, fuelling, gearbox, heat, knock, launch, pull, sensors, supply, traction
from nextpass.review.findings.evidence import Evidence, gather_evidence
from nextpass.review.findings.finding import Finding, Severity, finding_codes
from nextpass.review.findings.heat import cooler_effectiveness
from nextpass.review.findings.launch import launch_heat_j
from nextpass.review.findings.supply import rail_loss
from nextpass.review.findings.thresholds import USUAL, Threshold, limits_of

__all__ = [
    "USUAL",
    "Evidence",
    "Finding",
    "Severity",
    "Threshold",
    "cooler_effectiveness",
    "find_all",
    "finding_codes",
    "gather_evidence",
    "launch_heat_j",
    "limits_of",
    "rail_loss",
]

_GROUPS = (launch, traction, boost, fuelling, supply, knock, gearbox, pull, heat, sensors)
_GRAVEST_FIRST = tuple(Severity)


def find_all(evidence: Evidence) -> tuple[Finding, ...]:
    """Every finding of one try, gravest first, then in time order.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Finding
    """
    found = [finding for group in _GROUPS for finding in group.find(evidence)]
    return tuple(sorted(found, key=lambda finding: (_GRAVEST_FIRST.index(finding.severity), finding.start_s)))
