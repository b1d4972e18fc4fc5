"""`nextpass card`: the next setup on one page."""

from pathlib import Path
from typing import Annotated

import typer

from nextpass.cli.options import (
    CarArgument,
    ChangesOption,
    ConditionsOption,
    LanguageOption,
    PassesArgument,
    UnitsOption,
)
from nextpass.cli.progress import progress_bar
from nextpass.cli.writing import write_asked
from nextpass.jobs import plan_folders
from nextpass.report import card_pdf, card_text
from nextpass.units import ShownUnits


def card(
    car: CarArgument,
    passes: PassesArgument,
    pdf: Annotated[Path | None, typer.Option(help="Write the card as one A5 page of PDF.", show_default=False)] = None,
    conditions: ConditionsOption = None,
    changes: ChangesOption = None,
    units: UnitsOption = ShownUnits(),
    language: LanguageOption = "en",
) -> None:
    """Put the next settings on a card: as text, and as a page to print with --pdf FILE."""
    with progress_bar("reading the passes") as report:
        described, reviewed, planned = plan_folders(car, passes, conditions, changes, report)
    findings = reviewed[-1].review.findings
    if pdf is not None:
        write_asked(pdf, card_pdf(described, planned, units, language, findings))
    print(card_text(described, planned, units, language, findings), end="")
