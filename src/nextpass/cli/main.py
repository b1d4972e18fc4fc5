"""The commands of nextpass. Each asks one function of `jobs` and shows what comes back."""

from typing import Annotated

import typer

from nextpass import __version__
from nextpass.cli import car, log
from nextpass.cli.card import card
from nextpass.cli.compare import compare
from nextpass.cli.demo import demo
from nextpass.cli.edge import EdgeGroup
from nextpass.cli.plan import plan, whatif
from nextpass.cli.review import review
from nextpass.cli.serve import serve

app = typer.Typer(
    name="nextpass",
    cls=EdgeGroup,
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)


@app.callback()
def root(
    version: Annotated[bool, typer.Option("--version", help="Print the version and stop.")] = False,
) -> None:
    """From the log of a pass to the settings of the next one.

    Reads the log, says where the time went and what went wrong, and puts the next settings on a card with a forecast.
    It computes and advises; it never writes to a control unit, and the calibrator decides.

    Closed course only: full throttle on public roads is illegal and dangerous.
    """
    if version:
        print(f"nextpass {__version__}")
        raise typer.Exit


for command in (review, plan, whatif, compare, card, demo, serve):
    app.command()(command)
app.add_typer(car.app, name="car")
app.add_typer(log.app, name="log")


def main() -> None:
    """Run the command that was typed."""
    app()
