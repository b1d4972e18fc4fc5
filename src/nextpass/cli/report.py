"""`nextpass report`: a pass, a day or the whole season of a car from a book, for its owner."""

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from nextpass.cli.options import BookOption, LanguageOption, UnitsOption, WithoutOption
from nextpass.cli.progress import progress_bar
from nextpass.cli.writing import write_asked
from nextpass.errors import SettingError, Where
from nextpass.jobs import day_report, pass_report, personal, season_report
from nextpass.units import ShownUnits
from nextpass.words import phrase


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
    season: Annotated[
        bool, typer.Option("--season", help="The whole car: every pass, what drifts, what is due, codes.")
    ] = False,
    html: Annotated[Path | None, typer.Option(help="Write it as one HTML file.", show_default=False)] = None,
    pdf: Annotated[Path | None, typer.Option(help="Write it as PDF.", show_default=False)] = None,
    without: WithoutOption = None,
    units: UnitsOption = ShownUnits(),
    language: LanguageOption = "en",
) -> None:
    """Write the report of a pass, a day or a season for the owner, as files that need no network."""
    where = Where(key="report")
    if html is None and pdf is None:
        raise SettingError(phrase("season.nothing_to_write"), where, phrase("season.add_file"))
    if sum((number is not None, day is not None, season)) > 1:
        raise SettingError(phrase("season.one_subject"), where, phrase("season.name_one"))
    left_out = personal(without or [])
    with progress_bar("reading the passes") as told:
        if season:
            made = season_report(book, car, units, language, left_out, told)
        elif number is not None:
            made = pass_report(book, car, number, units, language, left_out)
        else:
            made = day_report(book, car, None if day is None else day.date(), units, language, left_out, told)
    if html is not None:
        write_asked(html, made.page)
    if pdf is not None:
        write_asked(pdf, made.paper)
