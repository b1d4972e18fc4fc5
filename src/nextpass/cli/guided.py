"""`nextpass guided`: tests that are made on purpose at rest, read from their logs."""

from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.text import Text

from nextpass.answers import guided_answer
from nextpass.cli.options import CarArgument, JsonOption
from nextpass.cli.show_codes import show_guided
from nextpass.jobs import GuidedKind, guided_test
from nextpass.words import text

app = typer.Typer(no_args_is_help=True, rich_markup_mode=None)
LogArgument = Annotated[Path, typer.Argument(metavar="LOG", help="The log of the test.", show_default=False)]


@app.command()
def idle(car: CarArgument, log: LogArgument, as_json: JsonOption = False) -> None:
    """Compare the banks at a warm idle of half a minute or more: trims, and how evenly the engine runs."""
    _show("idle", "running", car, log, as_json)


@app.command()
def pumps(car: CarArgument, log: LogArgument, as_json: JsonOption = False) -> None:
    """Judge each fuel pump by itself: engine off, each run alone for some seconds with a rest before and after."""
    _show("pumps", "fuel", car, log, as_json)


@app.command()
def leakdown(car: CarArgument, log: LogArgument, as_json: JsonOption = False) -> None:
    """Judge how tight the charge system is: filled with air, closed off, and left for a while."""
    _show("leakdown", "pressure", car, log, as_json)


def _show(kind: GuidedKind, caution: str, car: Path, log: Path, as_json: bool) -> None:
    found = guided_test(kind, car, log)
    if as_json:
        print(guided_answer(found).model_dump_json(indent=2))
        return
    console = Console()
    show_guided(console, found)
    console.print(Text(f"! {text(f'guided.caution.{caution}')}", style="yellow"))
