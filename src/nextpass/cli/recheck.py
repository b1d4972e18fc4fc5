"""`nextpass recheck`: every answer of a book made anew where it is out of date."""

from typing import Annotated

import typer
from rich.console import Console
from rich.text import Text

from nextpass.cli.options import BookOption, CarNamesOption, JsonOption, WorkersOption
from nextpass.cli.progress import progress_bar
from nextpass.jobs import recheck_book

REFUSED = 2


def recheck(
    book: BookOption,
    car: CarNamesOption = None,
    every: Annotated[bool, typer.Option("--all", help="Also the answers that are still true.")] = False,
    workers: WorkersOption = None,
    scheduler: Annotated[
        str | None,
        typer.Option(help="Address of a Dask scheduler that does the work, as tcp://host:8786.", show_default=False),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Make the answers of a book anew after a new version of the program, of a car file, or an answer about a column.

    Each pass is kept as soon as it is done: a recheck that is stopped goes on where it was.
    """
    with progress_bar("reading the book") as report:
        done = recheck_book(book, car or [], every, workers, scheduler, report)
    if as_json:
        print(done.answer().model_dump_json(indent=2))
    else:
        Console().print(Text(f"{done.made} of {done.passes} passes made anew"))
        for line in done.refused:
            Console(stderr=True).print(Text(f"refused: {line}", style="bold red"))
    if done.refused:
        raise typer.Exit(REFUSED)
