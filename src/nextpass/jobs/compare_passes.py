"""From pass folders, or passes of a book, to whether a change helped."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from nextpass.book import KeptCar, KeptPass
from nextpass.car import AdjusterValue, Car
from nextpass.compare import Comparison, Group, basis_of, compare_groups, groups_by, in_order
from nextpass.errors import NotEnoughData, Where
from nextpass.fit import fit_car
from nextpass.jobs.desk import Desk, open_desk
from nextpass.jobs.kept_passes import chosen_passes, named_pass
from nextpass.jobs.progress import ProgressReport, part, silent
from nextpass.jobs.read_passes import review_folders
from nextpass.review import ReviewedPass
from nextpass.words import phrase

# So far back the last change of the setup is looked for.
_LOOK_BACK = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class CompareAsked:
    """Which passes of a car stand against which, by their counts.

    Parameters
    ----------
    passes : tuple of int
        To be grouped by `change`, or by the one adjuster that was changed; two passes stand against each other.
    before, after : tuple of int
        Instead of `passes`.
    change : str or None
        An adjuster, or ``adjuster.gear``.
    known_scatter_s : float or None
        Standard deviation of the ET of like passes that the calibrator knows [s].
    """

    passes: tuple[int, ...] = ()
    before: tuple[int, ...] = ()
    after: tuple[int, ...] = ()
    change: str | None = None
    known_scatter_s: float | None = None


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
    _check_given(len(folders), len(before), len(after), change)
    _refuse_twice([Where(file=one.resolve()) for one in (*folders, *before, *after)])
    reading = part(report, 0.0, 0.4)
    if folders:
        car, passes = review_folders(car_file, folders, reading)
        groups = groups_by(car, passes, change)
    else:
        car, passes = review_folders(car_file, [*before, *after], reading)
        groups = _before_and_after(passes[: len(before)], passes[len(before) :])
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


def compare_kept(
    desk: Desk, kept: KeptCar, asked: CompareAsked, report: ProgressReport = silent
) -> tuple[Comparison, ...]:
    """Compare passes of a book; refusals as for `compare_folders`.

    Parameters
    ----------
    desk : Desk
        With the book open.
    kept : KeptCar
        Whose passes they are.
    asked : CompareAsked
        Which stand against which.

    Raises
    ------
    BookError
        There is no such pass.
    NotEnoughData
        Nothing to compare, or a pass on both sides.
    """
    _check_given(len(asked.passes), len(asked.before), len(asked.after), asked.change)
    both = sorted(set(asked.before) & set(asked.after))
    if both:
        raise NotEnoughData(
            phrase("refusal.compare.both_sides", sequence=both[0]), remedy=phrase("refusal.compare.one_side")
        )
    _refuse_twice([Where(key=str(one)) for one in (*asked.passes, *asked.before, *asked.after)])
    every = chosen_passes(desk, kept, asked.passes or (*asked.before, *asked.after))
    reviewed: dict[int, ReviewedPass] = {}
    for count, one in enumerate(every):
        report(phrase("doing.reading", number=one.sequence), 0.4 * count / len(every))
        reviewed[one.sequence] = named_pass(desk.reviewed(kept, one), one)
    car = desk.car(kept)
    if asked.passes:
        groups = groups_by(car, list(reviewed.values()), asked.change)
    else:
        groups = _before_and_after(
            [one for number, one in reviewed.items() if number in asked.before],
            [one for number, one in reviewed.items() if number in asked.after],
        )
    basis = basis_of(groups)
    fitted = desk.fitted_to(kept, _kept_of(groups[basis], reviewed, every), part(report, 0.4, 0.9))
    report(phrase("compare.doing"), 0.9)
    return compare_groups(fitted, groups, basis, asked.known_scatter_s)


def compare_in_book(
    place: Path | str, car_name: str, asked: CompareAsked, report: ProgressReport = silent
) -> tuple[Comparison, ...]:
    """Compare passes of a car of the book at a place; see `compare_kept`."""
    desk = open_desk(place, is_kept=True)
    try:
        return compare_kept(desk, desk.kept_car(car_name), asked, report)
    finally:
        desk.close()


def last_change(desk: Desk, kept: KeptCar) -> CompareAsked:
    """The newest passes with one setup against those before them with one other.

    Parameters
    ----------
    desk : Desk
        With the book open.
    kept : KeptCar
        Whose passes they are.

    Returns
    -------
    CompareAsked
        With nothing before where the setup was never changed.
    """
    groups: list[tuple[dict[str, AdjusterValue], list[int]]] = []
    for one in reversed(desk.passes(kept)[-_LOOK_BACK:]):
        setup = dict(desk.record(kept, one).setup.values)
        if not groups or groups[-1][0] != setup:
            if len(groups) == 2:
                break
            groups.append((setup, []))
        groups[-1][1].append(one.sequence)
    newest, before = ([tuple(reversed(numbers)) for _, numbers in groups] + [(), ()])[:2]
    return CompareAsked(before=before, after=newest)


def _kept_of(group: Group, reviewed: dict[int, ReviewedPass], every: Sequence[KeptPass]) -> list[KeptPass]:
    """The passes of a group as the book has them, in the order in which they were run."""
    members = {id(one) for one in group.passes}
    return [one for one in every if id(reviewed[one.sequence]) in members]


def _check_given(folders: int, before: int, after: int, change: str | None) -> None:
    if folders and (before or after):
        raise NotEnoughData(phrase("refusal.compare.both_ways"), remedy=phrase("refusal.compare.one_way"))
    if not folders and change is not None:
        raise NotEnoughData(phrase("refusal.compare.change_alone"), remedy=phrase("refusal.compare.give_so"))
    if folders == 1:
        raise NotEnoughData(phrase("refusal.compare.one_pass"), remedy=phrase("refusal.compare.second_pass"))
    if not folders and not (before and after):
        missing = "--after" if before else "--before" if after else phrase("refusal.compare.two_passes")
        raise NotEnoughData(phrase("refusal.compare.nothing"), remedy=phrase("refusal.compare.give", missing=missing))


def _refuse_twice(named: Sequence[Where]) -> None:
    for count, one in enumerate(named):
        if one in named[:count]:
            raise NotEnoughData(phrase("refusal.compare.twice"), one, phrase("refusal.compare.once"))


def _before_and_after(before: Sequence[ReviewedPass], after: Sequence[ReviewedPass]) -> tuple[Group, ...]:
    return (
        Group(label=phrase("compare.before"), passes=tuple(before)),
        Group(label=phrase("compare.after"), passes=tuple(after)),
    )
