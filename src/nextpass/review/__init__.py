"""What the car truly did, and what went wrong: from channels to ground speed, timeslip, phases and findings."""

from nextpass.review.findings import Evidence, Finding, Severity
from nextpass.review.phases import Phase, PhaseKind
from nextpass.review.review import Review, ReviewedPass, evidence_of, review_attempt, review_pass
from nextpass.review.speed import GroundSpeed
from nextpass.review.timeslip import Timeslip

__all__ = [
    "Evidence",
    "Finding",
    "GroundSpeed",
    "Phase",
    "PhaseKind",
    "Review",
    "ReviewedPass",
    "Severity",
    "Timeslip",
    "evidence_of",
    "review_attempt",
    "review_pass",
]
