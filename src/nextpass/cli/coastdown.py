"""`nextpass coastdown`: drag and rolling resistance from coast-downs."""

from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.table import Table
from rich.text import Text

from nextpass.answers import road_load_answer
from nextpass.cli.options import CarArgument, JsonOption
from nextpass.jobs import road_load
from nextpass.measure import Absent, Measured


def coastdown(
    car: CarArgument,
    there: Annotated[list[Path], typer.Option(help="Log of a coast-down in one direction; may be given again.")],
    conditions: Annotated[Path, typer.Option(help="A file with the [conditions] of the day.")],
    back: Annotated[
        list[Path] | None,
        typer.Option(help="Log of a coast-down the other way, which takes out wind and slope.", show_default=False),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Work out drag and rolling resistance from coast-downs in neutral; two directions cancel wind and slope."""
    load = road_load(car, there, back or (), conditions)
    if as_json:
        print(road_load_answer(load).model_dump_json(indent=2))
        return
    console = Console()
    table = Table("", "", title="Road load", title_justify="left")
    table.add_row("drag area", _text(load.drag_area_m2, "m²", 3))
    table.add_row("rolling resistance", _text(load.rolling_resistance, "", 4))
    table.add_row("constant part", _text(load.constant_n, "N", 0))
    table.add_row("part with speed squared", _text(load.per_speed_squared_kgpm, "N/(m/s)²", 3))
    table.add_row("slope", _text(load.slope, "", 4))
    table.add_row("headwind on the way there", _text(load.headwind_mps, "m/s", 1))
    console.print(table)
    console.print(Text("Only on a closed course: a coasting car holds up traffic and must not be steered for long."))


def _text(measured: Measured, unit: str, decimals: int) -> str:
    if isinstance(measured, Absent):
        return f"- ({measured.reason})"
    return f"{measured.value:.{decimals}f} ±{measured.plus_minus:.{decimals}f} {unit}".strip()
