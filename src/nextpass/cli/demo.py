"""`nextpass demo`: the whole job on an invented car."""

from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.text import Text

from nextpass.cli.options import UnitsOption
from nextpass.cli.progress import progress_bar
from nextpass.cli.show import findings_text, timeslip_table
from nextpass.cli.show_plan import outcome_table, show_plan
from nextpass.jobs import run_demo
from nextpass.report import Reader
from nextpass.review import ReviewedPass
from nextpass.units import ShownUnits


def demo(
    book: Annotated[Path, typer.Option(help="Folder for the book that the demo leaves behind.")] = Path("demo-book"),
    units: UnitsOption = ShownUnits(),
) -> None:
    """Do the whole job on an invented car: three passes reviewed, a plan, and the planned pass run."""
    console = Console()
    with progress_bar("an invented car at an invented strip") as report:
        done = run_demo(book, units, report)
    console.rule("Three passes of one afternoon")
    console.print(timeslip_table({f"pass {one.record.number}": one.review.timeslip for one in done.passes}, units))
    for one in done.passes:
        console.print(Text(f"Pass {one.record.number}: {one.record.notes}", style="bold"))
        console.print(findings_text(one.review.findings, _reader(one, units)))
    console.rule("The next pass")
    show_plan(console, done.plan, units)
    console.rule("The card")
    print(done.card_text)
    console.rule("The planned pass, run")
    console.print(outcome_table(done.plan, done.planned_pass.review.timeslip, units))
    console.print(findings_text(done.planned_pass.review.findings, _reader(done.planned_pass, units)))
    console.print()
    console.print(Text(f"Card to print: {done.card}"))
    console.print(Text(f"See it all in the browser: nextpass serve --book {done.book}"))


def _reader(reviewed: ReviewedPass, units: ShownUnits) -> Reader:
    return Reader(units=units, barometer_kpa=reviewed.record.conditions.pressure_kpa)
