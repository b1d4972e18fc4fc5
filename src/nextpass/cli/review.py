"""`nextpass review`: what one pass truly did, and what went wrong."""

from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from nextpass.answers import review_answer
from nextpass.cli.options import CarArgument, JsonOption, LanguageOption, PassArgument, UnitsOption
from nextpass.cli.show import lost_time_table, measured_text, show_review, timeslip_table
from nextpass.cli.writing import write_asked
from nextpass.jobs import review_folder, tries_of, where_time_went, windows_of
from nextpass.report import Reader, review_page, review_pdf
from nextpass.units import ShownUnits


def review(
    car: CarArgument,
    pass_folder: PassArgument,
    as_json: JsonOption = False,
    html: Annotated[
        Path | None, typer.Option(help="Write the review with its traces as one HTML file.", show_default=False)
    ] = None,
    pdf: Annotated[
        Path | None, typer.Option(help="Write the review with its traces as PDF.", show_default=False)
    ] = None,
    window: Annotated[
        list[str] | None,
        typer.Option(help='Time a stretch as well: "80-120 km/h", "60-130 mph", "0-150 m".', show_default=False),
    ] = None,
    lost: Annotated[bool, typer.Option("--lost", help="Say where the time went, by cause and gear.")] = False,
    units: UnitsOption = ShownUnits(),
    language: LanguageOption = "en",
) -> None:
    """Say what a pass truly did: timeslip with ±, findings, and what the log cannot tell."""
    described, reviewed = review_folder(car, pass_folder)
    reader = Reader(language=language, units=units, barometer_kpa=reviewed.record.conditions.pressure_kpa)
    if html is not None:
        write_asked(html, review_page(described, reviewed, reader))
    if pdf is not None:
        write_asked(pdf, review_pdf(described, reviewed, reader))
    windows, tries = windows_of(reviewed, window or ()), tries_of(described, reviewed)
    gone = where_time_went(described, reviewed) if lost else None
    if as_json:
        print(review_answer(reviewed, windows, tries, gone).model_dump_json(indent=2))
        return
    console = Console()
    show_review(console, pass_folder.name, reviewed, units)
    for one in windows:
        console.print(f"{one.window.text}: {measured_text(one.time_s, 's', units)}")
    if gone is not None:
        console.print(lost_time_table(gone))
    if tries:
        slips = {f"from {attempt.leaves_s:.1f} s": slip for attempt, slip in tries}
        console.print(timeslip_table(slips, units, title="Every try of the log"))
