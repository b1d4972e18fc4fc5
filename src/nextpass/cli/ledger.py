"""`nextpass ledger`: what the passes have cost the car, what drifts and what is due."""

from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from nextpass.answers import ledger_answer
from nextpass.cli.options import CarArgument, JsonOption, PassesArgument
from nextpass.cli.progress import progress_bar
from nextpass.cli.show_ledger import show_ledger
from nextpass.jobs import ledger_of_folders


def ledger(
    car: CarArgument,
    passes: PassesArgument,
    entries: Annotated[
        Path | None,
        typer.Option(
            "--entries",
            metavar="FILE",
            help="What was done by hand: service, parts, resets, learned values, codes, each as [[entry]].",
            show_default=False,
        ),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Say what the passes have cost the car: launches and heat, what drifts and reaches its limit when, what is due.

    Passes stand in the order in which they were run. A trend takes at least six of them.
    """
    with progress_bar("reading the passes") as report:
        _, found = ledger_of_folders(car, passes, entries, report)
    if as_json:
        print(ledger_answer(found).model_dump_json(indent=2))
        return
    show_ledger(Console(), found)
