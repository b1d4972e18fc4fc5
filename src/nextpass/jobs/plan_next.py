"""From reviewed passes to the next setup."""

from collections.abc import Sequence
from pathlib import Path

from nextpass.car import Car, Conditions
from nextpass.files import read_conditions
from nextpass.jobs.progress import ProgressReport, part, silent
from nextpass.jobs.read_passes import review_folders
from nextpass.plan import Plan, plan_next
from nextpass.review import ReviewedPass


def plan_folders(
    car_file: Path,
    folders: Sequence[Path],
    conditions_file: Path | None = None,
    most_changes: int | None = None,
    report: ProgressReport = silent,
) -> tuple[Car, tuple[ReviewedPass, ...], Plan]:
    """The plan for the pass after those in `folders`, which stand in the order in which they were run.

    Parameters
    ----------
    conditions_file : Path, optional
        The weather of the pass to come; that of the newest pass where it is not given.
    most_changes : int, optional
        How many adjusters may move.
    """
    car, passes = review_folders(car_file, folders, part(report, 0.0, 0.2))
    conditions = None if conditions_file is None else read_conditions(conditions_file)
    return car, passes, plan_passes(car, passes, conditions, most_changes, part(report, 0.2, 1.0))


def plan_passes(
    car: Car,
    passes: Sequence[ReviewedPass],
    conditions: Conditions | None = None,
    most_changes: int | None = None,
    report: ProgressReport = silent,
) -> Plan:
    """The plan for the pass after the newest of `passes`."""
    return plan_next(car, passes, conditions, most_changes=most_changes, progress=report)
