"""The commands of nextpass. Each asks one function of `jobs` and shows what comes back.

A command's module is imported when it is asked for: the libraries for simulation, pages and records take seconds to
load, which `--help` and a mistyped option should not.
"""

from typing import Annotated

import typer

from nextpass import __version__
from nextpass.cli.late import MANNERS, LateGroup, late

# In the order in which a day needs them.
COMMANDS = {
    "car": late("nextpass.cli.car:app", "Write a car file from a few answers, and check one."),
    "log": late("nextpass.cli.log:app", "See what each column of a log is taken for, and convert logs."),
    "workbench": late("nextpass.cli.workbench:app", "Work out the sums of the day before, each showing its work."),
    "review": late("nextpass.cli.review:review", "Say what a pass truly did, and what went wrong."),
    "coastdown": late("nextpass.cli.coastdown:coastdown", "Work out drag and rolling resistance from coast-downs."),
    "plan": late("nextpass.cli.plan:plan", "Work out the settings of the next pass, with forecast and reasons."),
    "whatif": late("nextpass.cli.plan:whatif", "Forecast any settings."),
    "card": late("nextpass.cli.card:card", "Put the next settings on a card."),
    "compare": late("nextpass.cli.compare:compare", "Say whether a change helped, or whether it was chance."),
    "import": late("nextpass.cli.book:import_", "Bring passes into a book."),
    "find": late("nextpass.cli.find:find", "Find passes of a book by car, fuel, strip, finding and value."),
    "recheck": late("nextpass.cli.recheck:recheck", "Make the answers of a book anew where they are out of date."),
    "export": late("nextpass.cli.book:export", "Write passes of a book as plain folders."),
    "bundle": late("nextpass.cli.book:bundle", "Write passes of a book as one file for a colleague."),
    "ledger": late("nextpass.cli.ledger:ledger", "Say what the passes have cost the car and what drifts."),
    "codes": late("nextpass.cli.codes:codes", "Say what trouble codes mean for this car."),
    "guided": late("nextpass.cli.guided:app", "Read tests that were made on purpose at rest."),
    "report": late("nextpass.cli.report:report", "Write the report of a pass or a day for the owner."),
    "serve": late("nextpass.cli.serve:serve", "Show the book in a browser."),
    "demo": late("nextpass.cli.demo:demo", "Do the whole job on an invented car."),
}


class Commands(LateGroup):
    """The commands above."""

    late_commands = COMMANDS


app = typer.Typer(name="nextpass", cls=Commands, no_args_is_help=True, **MANNERS)


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


def main() -> None:
    """Run the command that was typed."""
    app()
