"""`nextpass workbench`: the sums of the day before, each showing its work."""

from typing import Annotated

import typer
from rich.console import Console
from rich.table import Table
from rich.text import Text

from nextpass.answers import sum_answer
from nextpass.car import Conditions
from nextpass.cli.options import CarArgument, JsonOption, PassArgument, UnitsOption
from nextpass.files import read_car, read_pass
from nextpass.jobs import pass_folder as folder_of
from nextpass.measure import Absent, Estimate
from nextpass.report import Reader
from nextpass.units import ShownUnits
from nextpass.workbench import (
    MEASURED_SHARE,
    PUMP_SHARE,
    Line,
    WorkedSum,
    blend_sum,
    day_sum,
    gearing_sum,
    hot_pressure_sum,
    launch_sum,
    other_hands,
    size_sum,
    supply_sum,
)

app = typer.Typer(no_args_is_help=True, help="Work out the sums of the day before, each showing its work.")

AirOption = Annotated[float, typer.Option("--air", help="Air temperature [°C].")]
BarometerOption = Annotated[float, typer.Option("--pressure", help="Station pressure, not reduced to sea level [kPa].")]
HumidityOption = Annotated[float, typer.Option("--humidity", min=0, max=100, help="Relative humidity [%].")]


@app.command()
def day(
    air: AirOption, pressure: BarometerOption, humidity: HumidityOption = 50.0, as_json: JsonOption = False
) -> None:
    """Say what the air is worth: density, density altitude, the standards' correction factors."""
    conditions = Conditions(
        air_temperature_c=air, pressure_kpa=pressure, humidity=humidity / 100.0, track_temperature_c=air
    )
    _show(day_sum(conditions), as_json=as_json, barometer_kpa=pressure)


@app.command()
def tank(
    left: Annotated[float, typer.Option(help="Fuel left in the tank [l].")],
    left_ethanol: Annotated[float, typer.Option(help="Its ethanol [% by volume].")],
    add_ethanol: Annotated[float, typer.Option(help="Ethanol of the fuel to add [% by volume].")],
    want: Annotated[float, typer.Option(help="Ethanol wanted [% by volume].")],
    tank_l: Annotated[float, typer.Option("--tank", help="Size of the tank [l].")],
    measured: Annotated[bool, typer.Option(help="Both blends were measured, not read off a pump.")] = False,
    as_json: JsonOption = False,
) -> None:
    """Say what to drain and what to add for a blend."""
    plus_minus = MEASURED_SHARE if measured else PUMP_SHARE
    worked = blend_sum(
        tank_l,
        left,
        Estimate(value=left_ethanol / 100.0, plus_minus=plus_minus),
        Estimate(value=add_ethanol / 100.0, plus_minus=plus_minus),
        want / 100.0,
    )
    _show(worked, as_json=as_json)


@app.command()
def supply(
    car: CarArgument,
    fuel: Annotated[str, typer.Option(help="One of the car's fuels.")],
    pressure: Annotated[float, typer.Option(help="Manifold pressure planned [kPa absolute].")],
    rpm: Annotated[float | None, typer.Option(help="Engine speed; the rev limit where it is left out.")] = None,
    as_json: JsonOption = False,
) -> None:
    """Say whether injectors and pumps carry a planned pressure on a fuel."""
    _show(supply_sum(read_car(car), fuel, pressure, rpm), as_json=as_json)


@app.command()
def launch(
    car: CarArgument,
    rpm: Annotated[float, typer.Option(help="Engine speed held at the line [rpm].")],
    as_json: JsonOption = False,
) -> None:
    """Say what a launch puts into the clutch."""
    _show(launch_sum(read_car(car), rpm), as_json=as_json)


@app.command()
def gears(
    car: CarArgument, shift: Annotated[float, typer.Option(help="Shift speed [rpm].")], as_json: JsonOption = False
) -> None:
    """Say where each shift lands, and at which road speed."""
    _show(gearing_sum(read_car(car), shift), as_json=as_json)


@app.command()
def tyre(
    cold: Annotated[float, typer.Option(help="Pressure set [kPa gauge].")],
    cold_c: Annotated[float, typer.Option(help="Tyre temperature when it was set [°C].")],
    hot_c: Annotated[float, typer.Option(help="Tyre temperature to come [°C].")],
    pressure: BarometerOption = 101.325,
    as_json: JsonOption = False,
) -> None:
    """Say what a tyre reads when it is hot."""
    _show(hot_pressure_sum(cold, cold_c, hot_c, pressure), as_json=as_json, barometer_kpa=pressure)


@app.command()
def size(
    size: Annotated[str, typer.Argument(help="Tyre size, such as 285/35R20.")],
    instead_of: Annotated[str | None, typer.Option(help="The size that it replaces.")] = None,
    as_json: JsonOption = False,
) -> None:
    """Say what a tyre size measures, and what changing it does to the gearing."""
    _show(size_sum(size, instead_of), as_json=as_json)


@app.command()
def hand_over(
    car: CarArgument, pass_folder: PassArgument, as_json: JsonOption = False, units: UnitsOption = ShownUnits()
) -> None:
    """Say how to set the car, and what to see to, before it is in other hands."""
    described = read_car(car)
    record = read_pass(folder_of(pass_folder), described)
    gentle = other_hands(described, record.setup)
    _show(gentle.worked, as_json=as_json, units=units, barometer_kpa=record.conditions.pressure_kpa)
    if as_json:
        return
    console = Console()
    for name in gentle.changed:
        console.print(Text(f"set {name} to {gentle.setup.values[name]}"))
    for title, lines in (("Before the hand-over", gentle.before), ("When it comes back", gentle.after)):
        console.print(Text(title, style="bold"))
        for one in lines:
            console.print(Text(f"- {one}"))


def _show(
    worked: WorkedSum, *, as_json: bool, units: ShownUnits = ShownUnits(), barometer_kpa: float = 101.325
) -> None:
    if as_json:
        print(sum_answer(worked).model_dump_json(indent=2))
        return
    console, reader = Console(), Reader(units=units, barometer_kpa=barometer_kpa)
    table = Table("", "", "", "how", title=worked.title, title_justify="left")
    for lines in (worked.inputs, worked.steps, worked.results):
        for line in lines:
            table.add_row(*_cells(line, reader), style="bold" if lines is worked.results else "")
        table.add_section()
    console.print(table)
    for caution in worked.cautions:
        console.print(Text(caution))


def _cells(line: Line, reader: Reader) -> tuple[str, str, str, str]:
    label = line.label if line.gear is None else f"{line.label}, gear {line.gear}"
    if isinstance(line.value, Absent):
        return label, "-", "", line.value.reason
    _, figure = reader.evidence(line.name, line.value.value)
    _, plus_minus = reader.evidence(line.name, line.value.plus_minus)
    return label, figure, f"±{plus_minus}" if line.value.plus_minus else "", line.formula
