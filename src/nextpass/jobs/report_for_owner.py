"""The report of a pass, of a day or of a whole season from a book, as a page and on paper."""

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from nextpass.answers import ReviewAnswer, timeslip_of_answer
from nextpass.book import KeptCar, KeptPass, content_of
from nextpass.car import LedgerEntry
from nextpass.errors import NotEnoughData
from nextpass.health import ReadCode, read_code, weigh_codes
from nextpass.jobs.answer_kinds import REVIEW
from nextpass.jobs.desk import Desk, open_desk
from nextpass.jobs.leave_out import PERSONAL, Personal, car_shown_without, pass_without, record_without
from nextpass.jobs.ledger import ledger_of_car
from nextpass.jobs.make_answers import packed_content, reviewed_work, work_on
from nextpass.jobs.progress import ProgressReport, part, silent
from nextpass.obd import trouble_codes_in
from nextpass.report import (
    Reader,
    RunPass,
    Season,
    day_page,
    day_pdf,
    review_page,
    review_pdf,
    season_page,
    season_pdf,
)
from nextpass.review import ReviewedPass
from nextpass.units import ShownUnits
from nextpass.words import phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnersReport:
    """A report as an HTML page that needs no network, and as PDF."""

    page: str
    paper: bytes


def pass_report(
    place: Path | str,
    car_name: str,
    sequence: int,
    shown: ShownUnits,
    language: str,
    without: Collection[Personal] = (),
) -> OwnersReport:
    """The review of a pass of a book.

    Parameters
    ----------
    place : Path or str
        Of the book.
    car_name : str
    sequence : int
        Count of the pass.
    shown : ShownUnits
    language : str
    without : collection of Personal
        What is to be left out.

    Raises
    ------
    BookError
        There is no such car or pass.
    """
    desk = open_desk(place, is_kept=True)
    try:
        kept = desk.kept_car(car_name)
        reviewed = reviewed_without(desk, kept, desk.pass_numbered(kept, sequence), without)
        reader = _reader(reviewed, shown, language)
        car = car_shown_without(desk.car(kept), kept.id, without)
        out = _left_out(without)
        return OwnersReport(page=review_page(car, reviewed, reader, out), paper=review_pdf(car, reviewed, reader, out))
    finally:
        desk.close()


def day_report(
    place: Path | str,
    car_name: str,
    day: date | None,
    shown: ShownUnits,
    language: str,
    without: Collection[Personal] = (),
    report: ProgressReport = silent,
) -> OwnersReport:
    """All passes of a day; of the newest day where none is named.

    Parameters
    ----------
    place : Path or str
        Of the book.
    car_name : str
    day : date, optional
        By the pass files' own clocks.
    shown : ShownUnits
    language : str
    without : collection of Personal
        What is to be left out.
    report : ProgressReport

    Raises
    ------
    NotEnoughData
        The car has no pass of that day.
    """
    desk = open_desk(place, is_kept=True)
    try:
        kept = desk.kept_car(car_name)
        reviewed = []
        chosen = _of_day(desk, kept, day)
        for count, one in enumerate(chosen):
            report(phrase("doing.reading", number=one.sequence), count / len(chosen))
            reviewed.append(reviewed_without(desk, kept, one, without))
        reader = _reader(reviewed[-1], shown, language)
        car = car_shown_without(desk.car(kept), kept.id, without)
        out = _left_out(without)
        return OwnersReport(
            page=day_page(car, reviewed, None, reader, out), paper=day_pdf(car, reviewed, None, reader, out)
        )
    finally:
        desk.close()


def season_report(
    place: Path | str,
    car_name: str,
    shown: ShownUnits,
    language: str,
    without: Collection[Personal] = (),
    report: ProgressReport = silent,
) -> OwnersReport:
    """A car with all its passes; see `season_of`."""
    desk = open_desk(place, is_kept=True)
    try:
        season = season_of(desk, desk.kept_car(car_name), without, report)
        reader = season_reader(season, shown, language)
        return OwnersReport(page=season_page(season, reader), paper=season_pdf(season, reader))
    finally:
        desk.close()


def season_of(desk: Desk, kept: KeptCar, without: Collection[Personal] = (), report: ProgressReport = silent) -> Season:
    """All that a book knows of a car, from the answers that it keeps of each pass.

    Parameters
    ----------
    desk : Desk
        With the book open.
    kept : KeptCar
        Whose season it is.
    without : collection of Personal
        What is to be left out.
    report : ProgressReport

    Raises
    ------
    NotEnoughData
        The car has no pass.
    """
    passes = desk.some_passes(kept)
    answers = desk.answers(kept, REVIEW, part(report, 0.0, 0.7))
    report(phrase("season.doing"), 0.7)
    ledger = ledger_of_car(desk, kept, report=part(report, 0.7, 0.9))
    if "notes" in without:
        ledger = replace(ledger, entries=tuple(replace(entry, notes="") for entry in ledger.entries))
    codes = tuple((entry, _codes(entry)) for entry in ledger.entries if entry.codes)
    stored = [one.code for _, read in codes for one in read]
    # The days stay in the records, so that passes of a day stand together; they are not shown.
    hidden = frozenset(without) - {"started"}
    return Season(
        car=car_shown_without(desk.car(kept), kept.id, without),
        passes=tuple(_run(desk, kept, one, answers[one.id], hidden) for one in passes),
        ledger=ledger,
        codes=codes,
        code_cautions=weigh_codes(stored).cautions if stored else (),
        has_days="started" not in without,
        left_out=_left_out(without),
    )


def season_reader(season: Season, shown: ShownUnits, language: str) -> Reader:
    """Who reads a season: gauge pressures count from the barometer of the newest pass."""
    newest = season.passes[-1].record
    return Reader(language=language, units=shown, barometer_kpa=newest.conditions.pressure_kpa)


def reviewed_without(desk: Desk, kept: KeptCar, one: KeptPass, without: Collection[Personal]) -> ReviewedPass:
    """A pass reviewed as somebody would who got it without what is personal.

    Parameters
    ----------
    desk : Desk
        With the book open.
    kept : KeptCar
        Whose pass it is.
    one : KeptPass
    without : collection of Personal
        What is to be left out.
    """
    if not without:
        return desk.reviewed(kept, one)
    work = work_on(desk.book, kept, one.id, desk.said())
    content = pass_without(work, content_of(desk.book, one.id), without)
    # Beside the book: what it keeps of the pass stays as it is.
    given = replace(work, packed=packed_content(content), logs_sha256=content.logs_sha256, header="", folder=None)
    return reviewed_work(given)[1]


def _left_out(without: Collection[Personal]) -> tuple[str, ...]:
    return tuple(phrase(f"season.without.{one}") for one in PERSONAL if one in without)


def _run(desk: Desk, kept: KeptCar, one: KeptPass, answer: dict[str, object], hidden: Collection[Personal]) -> RunPass:
    review = ReviewAnswer.model_validate(answer)
    return RunPass(
        number=str(one.sequence),
        record=record_without(desk.record(kept, one), hidden),
        slip=timeslip_of_answer(review.timeslip),
        findings=Counter(finding.severity for finding in review.findings),
    )


def _codes(entry: LedgerEntry) -> tuple[ReadCode, ...]:
    return tuple(read_code(code) for code in trouble_codes_in(" ".join(entry.codes)))


def _of_day(desk: Desk, kept: KeptCar, day: date | None) -> Sequence[KeptPass]:
    every = desk.passes(kept)
    days = [one.started.date() for one in every if one.started is not None]
    asked = day or (days[-1] if days else None)
    chosen = [one for one in every if (None if one.started is None else one.started.date()) == asked]
    if not chosen:
        known = ", ".join(f"{one}" for one in sorted(set(days))[-6:])
        remedy = phrase("refusal.jobs.passes_of", known=known) if known else phrase("refusal.jobs.bring_log")
        what = (
            phrase("refusal.jobs.no_pass_of_day", name=kept.name, day=str(asked))
            if asked
            else phrase("refusal.jobs.no_pass_of_any_day", name=kept.name)
        )
        raise NotEnoughData(what, remedy=remedy)
    return chosen


def _reader(reviewed: ReviewedPass, shown: ShownUnits, language: str) -> Reader:
    return Reader(language=language, units=shown, barometer_kpa=reviewed.record.conditions.pressure_kpa)
