"""The review of a pass: what the car truly did, where the time went, what went wrong."""

from dataclasses import dataclass

from nextpass.car import Assumed, PassRecord
from nextpass.log import Log
from nextpass.review.findings import Finding
from nextpass.review.phases import Phase
from nextpass.review.speed import GroundSpeed
from nextpass.review.timeslip import Timeslip


@dataclass(frozen=True, slots=True, kw_only=True)
class Review:
    """All that the log of one attempt shows.

    Parameters
    ----------
    missing : tuple of str
        One line for each value that the log cannot support, saying why.
    """

    timeslip: Timeslip
    phases: tuple[Phase, ...]
    findings: tuple[Finding, ...]
    ground_speed: GroundSpeed | None
    missing: tuple[str, ...]
    assumed: tuple[Assumed, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewedPass:
    """A pass with its log and review: what `fit`, `plan` and the screens work from."""

    record: PassRecord
    log: Log
    review: Review
