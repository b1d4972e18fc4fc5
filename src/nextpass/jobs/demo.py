"""The whole job on an invented car: three passes of one afternoon, the plan, and the planned pass run and judged.

The car, its strip and its logger come from the proving ground; everything after the logs is what any user's passes go
through.
"""

import shutil
from dataclasses import dataclass
from pathlib import Path

from nextpass.car import Car
from nextpass.errors import FileError, Where
from nextpass.files import read_car, read_pass, write_whole
from nextpass.jobs.desk import open_desk
from nextpass.jobs.plan_next import plan_passes
from nextpass.jobs.progress import ProgressReport, part, silent
from nextpass.jobs.read_passes import review_one
from nextpass.plan import Plan
from nextpass.proving import DemoDay, DemoPass, demo_day, drive_demo_pass, write_car_file, write_pass_folder
from nextpass.report import card_pdf, card_text
from nextpass.review import ReviewedPass
from nextpass.sim import compile_kernels
from nextpass.units import ShownUnits
from nextpass.words import phrase

MARKER = "made-by-nextpass-demo"
SEASON = "passes"


@dataclass(frozen=True, slots=True, kw_only=True)
class Demo:
    """What the demo did and where it lies.

    Parameters
    ----------
    passes : tuple of ReviewedPass
        The afternoon's passes before the plan, in order.
    plan : Plan
        Made from them.
    planned_pass : ReviewedPass
        The planned setup, run.
    book, car_file, card : Path
        The book that `nextpass serve` shows, the owner's car file, the card as PDF.
    card_text : str
        The card for a terminal.
    """

    car: Car
    passes: tuple[ReviewedPass, ...]
    plan: Plan
    planned_pass: ReviewedPass
    book: Path
    car_file: Path
    card: Path
    card_text: str


def run_demo(book: Path, shown: ShownUnits, report: ProgressReport = silent) -> Demo:
    """Do the whole job on the invented car and leave a book behind.

    Raises
    ------
    FileError
        `book` holds something that the demo did not make.
    """
    _clear(book)
    report("compiling the simulation (once on this machine)", 0.0)
    compile_kernels(lambda doing: report(doing, 0.02))
    day = demo_day()
    season = book / SEASON
    car_file = write_car_file(day.car, season / "car.toml")
    car = read_car(car_file)
    passes = _afternoon(day, season, car, part(report, 0.05, 0.4))
    plan = plan_passes(car, passes, day.conditions_to_come, report=part(report, 0.4, 0.85))
    card = book / "card.pdf"
    findings = passes[-1].review.findings
    card.write_bytes(card_pdf(car, plan, shown, findings=findings))
    report("running the planned pass", 0.88)
    planned = DemoPass(number=len(passes) + 1, setup=plan.setup, conditions=plan.conditions, notes="as on the card")
    planned_pass = _run(day, season, car, planned)
    _fill_book(book, car_file, [*passes, planned_pass], part(report, 0.92, 1.0))
    return Demo(
        car=car,
        passes=passes,
        plan=plan,
        planned_pass=planned_pass,
        book=book,
        car_file=car_file,
        card=card,
        card_text=card_text(car, plan, shown, findings=findings),
    )


def _clear(book: Path) -> None:
    if book.exists() and any(book.iterdir()) and not (book / MARKER).exists():
        raise FileError(phrase("refusal.jobs.not_a_demo"), Where(file=book), phrase("refusal.jobs.name_another_book"))
    shutil.rmtree(book, ignore_errors=True)
    (book / SEASON).mkdir(parents=True)
    write_whole(book / MARKER, "nextpass demo may delete this folder.\n", replace=False, refusal=FileError)


def _afternoon(day: DemoDay, season: Path, car: Car, report: ProgressReport) -> tuple[ReviewedPass, ...]:
    reviewed = []
    for count, one in enumerate(day.passes):
        report(f"pass {one.number} of the afternoon", count / len(day.passes))
        reviewed.append(_run(day, season, car, one))
    return tuple(reviewed)


def _run(day: DemoDay, season: Path, car: Car, one: DemoPass) -> ReviewedPass:
    outcome = drive_demo_pass(day, one.setup, one.conditions, one.number)
    folder = write_pass_folder(
        outcome, day.logger, season / f"pass{one.number}", number=one.number, notes=one.notes, with_timeslip=True
    )
    return review_one(car, read_pass(folder, car))


def _fill_book(book: Path, car_file: Path, passes: list[ReviewedPass], report: ProgressReport) -> None:
    desk = open_desk(book)
    kept = desk.add_car(car_file.read_text(encoding="utf-8"))
    for count, one in enumerate(passes):
        report("filling the book", count / len(passes))
        desk.add_pass(kept, one.record.folder)
    desk.close()
