"""From pass folders to whether a change helped."""

from collections.abc import Sequence
from pathlib import Path

from nextpass.car import Car
from nextpass.compare import Comparison, Group, basis_of, compare_groups, groups_by, in_order
from nextpass.errors import NotEnoughData
from nextpass.fit import fit_car
from nextpass.jobs.progress import ProgressReport, part, silent
from nextpass.jobs.read_passes import review_folders
from nextpass.words import phrase


def compare_folders(
    car_file: Path,
    folders: Sequence[Path] = (),
    before: Sequence[Path] = (),
    after: Sequence[Path] = (),
    change: str | None = None,
    known_scatter_s: float | None = None,
    report: ProgressReport = silent,
) -> tuple[Comparison, ...]:
    """Compare passes: those before a change with those after it, or grouped by the value of an adjuster.

    Parameters
    ----------
    folders : sequence of Path
        To be grouped by `change`, or by the one adjuster that was changed; two passes stand against each other.
    before, after : sequence of Path
        Instead of `folders`.
    change : str, optional
        An adjuster, or ``adjuster.gear``.
    known_scatter_s : float, optional
        Standard deviation of the ET of like passes that the calibrator knows [s].

    Raises
    ------
    NotEnoughData
        Nothing to compare.
    """
    _check_given(folders, before, after, change)
    reading = part(report, 0.0, 0.4)
    if folders:
        car, passes = review_folders(car_file, folders, reading)
        groups = groups_by(car, passes, change)
    else:
        car, passes = review_folders(car_file, [*before, *after], reading)
        groups = (
            Group(label=phrase("compare.before"), passes=passes[: len(before)]),
            Group(label=phrase("compare.after"), passes=passes[len(before) :]),
        )
    return compare_reviewed(car, groups, known_scatter_s, part(report, 0.4, 1.0))


def compare_reviewed(
    car: Car, groups: Sequence[Group], known_scatter_s: float | None = None, report: ProgressReport = silent
) -> tuple[Comparison, ...]:
    """Compare groups of reviewed passes, each with the one before it."""
    basis = basis_of(groups)
    fitted = fit_car(
        car, in_order(groups[basis : basis + 1]), progress=lambda done: report(phrase("plan.doing.fit"), 0.9 * done)
    )
    report(phrase("compare.doing"), 0.9)
    return compare_groups(fitted, groups, basis, known_scatter_s)


def _check_given(folders: Sequence[Path], before: Sequence[Path], after: Sequence[Path], change: str | None) -> None:
    if folders and (before or after):
        raise NotEnoughData(
            "passes are given with and without --before and --after", remedy="give each pass once, in one of the ways"
        )
    if not folders and change is not None:
        raise NotEnoughData("--change groups passes that stand without --before and --after", remedy="give them so")
    if len(folders) == 1:
        raise NotEnoughData("one pass alone compares with nothing", remedy="give a second one")
    if not folders and not (before and after):
        missing = "--after" if before else "--before" if after else "two passes, or --before and --after"
        raise NotEnoughData("there is nothing to compare with", remedy=f"give {missing}")
