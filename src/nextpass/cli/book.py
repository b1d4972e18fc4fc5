"""`nextpass import`, `export`, `bundle` and `open`-ing them again: passes into a book and out of it."""

from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.text import Text

from nextpass.cli.options import (
    BookOption,
    CarNamesOption,
    JsonOption,
    PassNumbersOption,
    WithoutOption,
    WorkersOption,
)
from nextpass.cli.progress import progress_bar
from nextpass.jobs import HandedOver, Imported, bundle_passes, export_passes, import_passes

REFUSED = 2


def import_(
    places: Annotated[
        list[Path],
        typer.Argument(
            metavar="PLACE...", help="Pass folders, car folders, folders of cars, or bundles.", show_default=False
        ),
    ],
    book: BookOption,
    car: Annotated[
        str | None,
        typer.Option("--car", help="The car of the book that passes without a car file belong to.", show_default=False),
    ] = None,
    as_name: Annotated[
        str | None, typer.Option("--as", help="Another name for the car of a bundle.", show_default=False)
    ] = None,
    workers: WorkersOption = None,
    as_json: JsonOption = False,
) -> None:
    """Bring passes into a book: each is read and reviewed first, and kept with its log byte for byte.

    The same logs again are the same pass: a pass file that was changed since corrects it. A bundle, or a folder that
    was exported from a book, comes in whole or not at all.
    """
    with progress_bar("looking for passes") as report:
        done = import_passes(book, places, car, as_name, workers, report)
    if as_json:
        print(done.answer().model_dump_json(indent=2))
    else:
        _show_imported(done)
    if done.refused:
        raise typer.Exit(REFUSED)


def export(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Where to write.", show_default=False)],
    book: BookOption,
    car: CarNamesOption = None,
    passes: PassNumbersOption = None,
) -> None:
    """Write cars and passes of a book as plain folders, byte for byte as they came in."""
    with progress_bar("reading the book") as report:
        done = export_passes(book, folder, car or [], passes or [], report)
    _show_handed_over(done)


def bundle(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The bundle to write.", show_default=False)],
    book: BookOption,
    car: CarNamesOption = None,
    passes: PassNumbersOption = None,
    without: WithoutOption = None,
) -> None:
    """Write cars and passes of a book as one file, which nextpass import opens in a colleague's book.

    Nothing is lost on the way but what --without leaves out; what that was is said here and in the file.
    """
    with progress_bar("reading the book") as report:
        done = bundle_passes(book, file, car or [], passes or [], without or [], report)
    _show_handed_over(done)


def _show_imported(done: Imported) -> None:
    console = Console()
    console.print(Text(f"{', '.join(done.cars)}: {done.new} new, {done.corrected} corrected, {done.known} known"))
    told = Console(stderr=True)
    for name in done.left:
        told.print(Text(f"left where it is, too large for a book: {name}", style="yellow"))
    for line in done.refused:
        told.print(Text(f"refused: {line}", style="bold red"))


def _show_handed_over(done: HandedOver) -> None:
    console = Console()
    count = "1 pass" if done.passes == 1 else f"{done.passes} passes"
    console.print(Text(f"{', '.join(done.cars)}: {count} in {done.path}"))
    for line in done.left_out:
        console.print(Text(f"left out: {line}"))
