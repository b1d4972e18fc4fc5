"""The review of a pass: what the car truly did, where the time went, what went wrong."""

from collections.abc import Sequence
from dataclasses import dataclass

from nextpass.car import Assumed, Car, PassRecord, StripClocks
from nextpass.log import Log
from nextpass.review.against_strip import ClockDifference, against_strip
from nextpass.review.attempt import Attempt, find_attempts
from nextpass.review.corrected import corrected_timeslip
from nextpass.review.findings import Evidence, Finding, find_all, gather_evidence, limits_of
from nextpass.review.gear import gear_trace
from nextpass.review.phases import Phase, find_phases
from nextpass.review.speed import GroundSpeed, ground_speed
from nextpass.review.timeslip import Timeslip, empty_timeslip, timeslip
from nextpass.review.trust import trusted
from nextpass.words import phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class Review:
    """All that the log of one attempt shows.

    Parameters
    ----------
    timeslip : Timeslip
        From the log alone.
    ground_speed : GroundSpeed or None
        Calibrated by the strip's clocks where the pass has them and they can belong to it.
    corrected : Timeslip or None
        On a level strip in still air; None where the pass states neither slope nor wind.
    strip : tuple of ClockDifference
        The log's clocks against the strip's.
    missing : tuple of str
        What the log cannot support as a whole; a clock that is absent carries its own reason.
    """

    timeslip: Timeslip
    phases: tuple[Phase, ...]
    findings: tuple[Finding, ...]
    ground_speed: GroundSpeed | None
    missing: tuple[str, ...]
    assumed: tuple[Assumed, ...]
    corrected: Timeslip | None = None
    strip: tuple[ClockDifference, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewedPass:
    """A pass with its log and review: what `fit`, `plan` and the screens work from."""

    record: PassRecord
    log: Log
    review: Review


def review_pass(car: Car, record: PassRecord, log: Log) -> Review:
    """Review of the best try in the log of a pass: the one that went furthest under power.

    Parameters
    ----------
    car : Car
    record : PassRecord
    log : Log

    Returns
    -------
    Review
        With an empty timeslip and the reason in `missing` where the log has no try or nothing that tells speed.
    """
    attempts = find_attempts(log)
    if not attempts:
        return _without_motion(car, phrase("absent.no_try"))
    return review_attempt(car, record, log, _furthest(attempts), record.clocks)


def review_attempt(
    car: Car, record: PassRecord, log: Log, attempt: Attempt, clocks: StripClocks | None = None
) -> Review:
    """Review of one try of a log.

    Parameters
    ----------
    car : Car
    record : PassRecord
        Conditions and setup of the try.
    log : Log
    attempt : Attempt
        One of `find_attempts`.
    clocks : StripClocks, optional
        The strip's clocks of this very try.

    Returns
    -------
    Review
    """
    known = trusted(car, record.conditions, log, attempt)
    motion = ground_speed(car, known.log, attempt)
    if motion is None:
        return _without_motion(car, phrase("absent.no_speed"))
    slip = timeslip(motion)
    strip = () if clocks is None else against_strip(slip, clocks)
    if strip and all(clock.is_explained for clock in strip):
        motion = ground_speed(car, known.log, attempt, clocks=clocks) or motion
    trace = gear_trace(car, known.log, motion)
    phases = find_phases(known.log, motion, trace)
    evidence = gather_evidence(car, record, known, motion, trace, phases, limits_of(car))
    return Review(
        timeslip=slip,
        phases=phases,
        findings=find_all(evidence),
        ground_speed=motion,
        missing=_unexplained(strip),
        assumed=car.assumed,
        corrected=corrected_timeslip(car, record.conditions, motion, timeslip(motion)),
        strip=strip,
    )


def try_timeslip(car: Car, record: PassRecord, log: Log, attempt: Attempt) -> Timeslip:
    """The clocks of one try of a log, without the rest of its review.

    Parameters
    ----------
    car : Car
    record : PassRecord
        Conditions of the try.
    log : Log
    attempt : Attempt
        One of `find_attempts`.

    Returns
    -------
    Timeslip
        As that of `review_attempt`.
    """
    motion = ground_speed(car, trusted(car, record.conditions, log, attempt).log, attempt)
    return empty_timeslip(phrase("absent.no_speed")) if motion is None else timeslip(motion)


def evidence_of(car: Car, reviewed: ReviewedPass) -> Evidence | None:
    """What the findings of a reviewed pass were drawn from: its channels on one clock, those that can be believed.

    Parameters
    ----------
    car : Car
    reviewed : ReviewedPass

    Returns
    -------
    Evidence or None
        None where the log shows no motion.
    """
    motion, record = reviewed.review.ground_speed, reviewed.record
    if motion is None:
        return None
    known = trusted(car, record.conditions, reviewed.log, _furthest(find_attempts(reviewed.log)))
    trace = gear_trace(car, known.log, motion)
    return gather_evidence(car, record, known, motion, trace, reviewed.review.phases, limits_of(car))


def _furthest(attempts: Sequence[Attempt]) -> Attempt:
    return max(attempts, key=lambda attempt: (attempt.from_rest, attempt.distance_m))


def _unexplained(strip: tuple[ClockDifference, ...]) -> tuple[str, ...]:
    odd = [clock.name for clock in strip if not clock.is_explained]
    if not odd:
        return ()
    names = ", ".join(odd)
    return (phrase("absent.other_pass", names=names),)


def _without_motion(car: Car, reason: str) -> Review:
    return Review(
        timeslip=empty_timeslip(reason),
        phases=(),
        findings=(),
        ground_speed=None,
        missing=(reason,),
        assumed=car.assumed,
    )
