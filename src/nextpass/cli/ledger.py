"""`nextpass ledger`: what the passes have cost the car, what drifts and what is due."""

from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from nextpass.answers import ledger_answer
from nextpass.cli.options import CarArgument, FromBookOption, JsonOption, pass_counts
from nextpass.cli.progress import progress_bar
from nextpass.cli.show_ledger import show_ledger
from nextpass.errors import NotEnoughData
from nextpass.jobs import ledger_in_book, ledger_of_folders
from nextpass.words import phrase


def ledger(
    car: CarArgument,
    passes: Annotated[
        list[Path] | None,
        typer.Argument(
            metavar="[PASS...]",
            help="Folders of passes, in the order in which they were run; every pass of a book without them.",
            show_default=False,
        ),
    ] = None,
    entries: Annotated[
        Path | None,
        typer.Option(
            "--entries",
            metavar="FILE",
            help="What was done by hand: service, parts, resets, learned values, codes, each as [[entry]].",
            show_default=False,
        ),
    ] = None,
    book: FromBookOption = None,
    as_json: JsonOption = False,
) -> None:
    """Say what the passes have cost the car: launches and heat, what drifts and reaches its limit when, what is due.

    Passes stand in the order in which they were run. A trend takes at least six of them. A book keeps the figures of
    each pass, so that the ledger of a season comes at once: nextpass ledger "Harrow wagon" --book season
    """
    with progress_bar("reading the passes") as report:
        if book is None:
            _, found = ledger_of_folders(car, _given(passes), entries, report)
        else:
            found = ledger_in_book(book, str(car), pass_counts(passes or ()), entries, report)
    if as_json:
        print(ledger_answer(found).model_dump_json(indent=2))
        return
    show_ledger(Console(), found)


def _given(passes: list[Path] | None) -> list[Path]:
    if not passes:
        raise NotEnoughData(phrase("refusal.cli.ledger_of_passes"), remedy=phrase("refusal.cli.give_passes"))
    return passes
