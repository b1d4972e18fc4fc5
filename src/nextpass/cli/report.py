"""`nextpass report`: a pass or a day from a book, for the owner of the car."""

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from nextpass.cli.options import BookOption, LanguageOption, UnitsOption
from nextpass.cli.progress import progress_bar
from nextpass.cli.writing import write_asked
from nextpass.errors import SettingError, Where
from nextpass.jobs import day_report, pass_report
from nextpass.units import ShownUnits


def report(
    book: BookOption,
    car: Annotated[str, typer.Option("--car", help="Name of the car.", show_default=False)],
    number: Annotated[
        int | None, typer.Option("--pass", min=1, help="A pass by its count; else a day.", show_default=False)
    ] = None,
    day: Annotated[
        datetime | None,
        typer.Option(help="The passes of that day; the newest day without it.", formats=["%Y-%m-%d"]),
    ] = None,
    html: Annotated[Path | None, typer.Option(help="Write it as one HTML file.", show_default=False)] = None,
    pdf: Annotated[Path | None, typer.Option(help="Write a pass as PDF.", show_default=False)] = None,
    units: UnitsOption = ShownUnits(),
    language: LanguageOption = "en",
) -> None:
    """Write the report of a pass or a day for the owner, as a file that needs no network."""
    if html is None and pdf is None:
        raise SettingError("nothing is to be written", Where(key="report"), "add --html FILE, or --pdf FILE for a pass")
    if number is not None:
        page, paper = pass_report(book, car, number, units, language)
        if html is not None:
            write_asked(html, page)
        if pdf is not None:
            write_asked(pdf, paper)
        return
    if pdf is not None:
        raise SettingError("a day is written as a page", Where(key="--pdf"), "use --html, or name one pass with --pass")
    if html is not None:
        with progress_bar("reading the passes") as told:
            page = day_report(book, car, None if day is None else day.date(), units, language, told)
        write_asked(html, page)
