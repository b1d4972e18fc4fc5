"""What the car truly did, and what went wrong: from channels to ground speed, timeslip, phases and findings."""

from nextpass.review.against_strip import ClockDifference
from nextpass.review.attempt import Attempt, find_attempts
from nextpass.review.coastdown import CoastRun, RoadLoad, coast_runs, fit_road_load
from nextpass.review.findings import USUAL, Evidence, Finding, Severity, Threshold, finding_codes, limits_of
from nextpass.review.gear import GearTrace, driven_wheel_speed, gear_trace
from nextpass.review.losses import Loss, LostTime, lost_time
from nextpass.review.phases import Phase, PhaseKind
from nextpass.review.power import Correction, PowerPoint, Standard, correction, power_points
from nextpass.review.review import Review, ReviewedPass, evidence_of, review_attempt, review_pass, try_timeslip
from nextpass.review.speed import GroundSpeed
from nextpass.review.timeslip import Timeslip
from nextpass.review.windows import Window, WindowTime, read_window, window_time

__all__ = [
    "USUAL",
    "Attempt",
    "ClockDifference",
    "CoastRun",
    "Correction",
    "Evidence",
    "Finding",
    "GearTrace",
    "GroundSpeed",
    "Loss",
    "LostTime",
    "Phase",
    "PhaseKind",
    "PowerPoint",
    "Review",
    "ReviewedPass",
    "RoadLoad",
    "Severity",
    "Standard",
    "Threshold",
    "Timeslip",
    "Window",
    "WindowTime",
    "coast_runs",
    "correction",
    "driven_wheel_speed",
    "evidence_of",
    "find_attempts",
    "finding_codes",
    "fit_road_load",
    "gear_trace",
    "limits_of",
    "lost_time",
    "power_points",
    "read_window",
    "review_attempt",
    "review_pass",
    "try_timeslip",
    "window_time",
]
