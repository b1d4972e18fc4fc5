"""`nextpass plan` and `nextpass whatif`: the next settings, and the forecast of any others."""

from typing import Annotated

import typer
from rich.console import Console

from nextpass.answers import plan_answer, what_if_answer
from nextpass.cli.options import (
    CarArgument,
    ChangesOption,
    ConditionsOption,
    JsonOption,
    PassesArgument,
    UnitsOption,
)
from nextpass.cli.progress import progress_bar
from nextpass.cli.show_plan import show_forecast, show_plan
from nextpass.jobs import plan_folders, what_if_folders
from nextpass.units import ShownUnits


def plan(
    car: CarArgument,
    passes: PassesArgument,
    conditions: ConditionsOption = None,
    changes: ChangesOption = None,
    as_json: JsonOption = False,
    units: UnitsOption = ShownUnits(),
) -> None:
    """Work out the settings of the next pass, with forecast, guards and reasons.

    The passes stand in the order in which they were run; the last is the newest. The plan is advice to a competent
    calibrator: raising pressure can destroy an engine.
    """
    with progress_bar("reading the passes") as report:
        _, _, planned = plan_folders(car, passes, conditions, changes, report)
    if as_json:
        print(plan_answer(planned).model_dump_json(indent=2))
        return
    show_plan(Console(), planned, units)


def whatif(
    car: CarArgument,
    passes: PassesArgument,
    settings: Annotated[
        list[str],
        typer.Option(
            "--set", metavar="NAME=VALUE", help="An adjuster and its value; a gear follows its name with a dot."
        ),
    ],
    conditions: ConditionsOption = None,
    as_json: JsonOption = False,
    units: UnitsOption = ShownUnits(),
) -> None:
    """Forecast any settings: --set launch_rpm=3800 --set gear_pressure_cap_kpa.2=190."""
    with progress_bar("reading the passes") as report:
        answer = what_if_folders(car, passes, settings, conditions, report)
    if as_json:
        print(what_if_answer(answer.setup, answer.forecast).model_dump_json(indent=2))
        return
    show_forecast(Console(), answer.forecast, units)
