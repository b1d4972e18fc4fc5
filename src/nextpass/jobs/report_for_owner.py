"""The report of a pass or of a day from a book, as a page or on paper."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from nextpass.errors import NotEnoughData
from nextpass.jobs.desk import Desk, open_desk
from nextpass.jobs.progress import ProgressReport, part, silent
from nextpass.report import Reader, day_page, review_page, review_pdf
from nextpass.review import ReviewedPass
from nextpass.units import ShownUnits
from nextpass.words import phrase


def pass_report(place: Path | str, car_name: str, sequence: int, shown: ShownUnits, language: str) -> tuple[str, bytes]:
    """The review of a pass of a book as an HTML page and as PDF.

    Parameters
    ----------
    place : Path or str
        Of the book.
    car_name : str
    sequence : int
        Count of the pass.
    shown : ShownUnits
    language : str

    Raises
    ------
    BookError
        There is no such car or pass.
    """
    desk = open_desk(place)
    try:
        kept = desk.kept_car(car_name)
        reviewed = desk.reviewed(kept, desk.pass_numbered(kept, sequence))
        reader = _reader(reviewed, shown, language)
        car = desk.car(kept)
        return review_page(car, reviewed, reader), review_pdf(car, reviewed, reader)
    finally:
        desk.close()


def day_report(
    place: Path | str,
    car_name: str,
    day: date | None,
    shown: ShownUnits,
    language: str,
    report: ProgressReport = silent,
) -> str:
    """All passes of a day as one HTML page; of the newest day where none is named.

    Parameters
    ----------
    place : Path or str
        Of the book.
    car_name : str
    day : date, optional
        By the pass files' own clocks.
    shown : ShownUnits
    language : str
    report : ProgressReport

    Raises
    ------
    NotEnoughData
        The car has no pass of that day.
    """
    desk = open_desk(place)
    try:
        kept = desk.kept_car(car_name)
        reviewed = _of_day(desk, car_name, day, part(report, 0.0, 1.0))
        return day_page(desk.car(kept), reviewed, None, _reader(reviewed[-1], shown, language))
    finally:
        desk.close()


def _of_day(desk: Desk, car_name: str, day: date | None, report: ProgressReport) -> Sequence[ReviewedPass]:
    kept = desk.kept_car(car_name)
    every = desk.passes(kept)
    days = [one.started.date() for one in every if one.started is not None]
    asked = day or (days[-1] if days else None)
    chosen = [one for one in every if (None if one.started is None else one.started.date()) == asked]
    if not chosen:
        known = ", ".join(f"{one}" for one in sorted(set(days))[-6:])
        remedy = f"there are passes of {known}" if known else "bring in the log of a pass first"
        raise NotEnoughData(f"{car_name} has no pass of {asked or 'any day'}", remedy=remedy)
    reviewed = []
    for count, one in enumerate(chosen):
        report(phrase("doing.reading", number=one.sequence), count / len(chosen))
        reviewed.append(desk.reviewed(kept, one))
    return reviewed


def _reader(reviewed: ReviewedPass, shown: ShownUnits, language: str) -> Reader:
    return Reader(language=language, units=shown, barometer_kpa=reviewed.record.conditions.pressure_kpa)
