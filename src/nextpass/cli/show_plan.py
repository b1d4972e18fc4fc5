"""Plans and forecasts as tables for a terminal."""

from rich.console import Console
from rich.table import Table
from rich.text import Text

from nextpass.car import GEAR_PRESSURE_CAP
from nextpass.cli.show import CLOCKS
from nextpass.measure import Absent
from nextpass.plan import Band, Forecast, GuardMargin, Plan
from nextpass.report import Reader, change_text
from nextpass.review import Timeslip
from nextpass.units import ShownUnits, shown_speed, speed_unit_text

FORECAST_CLOCKS = ("t60ft_s", "t330ft_s", "t660ft_s", "t1000ft_s", "et_s", "trap_mps")


def show_plan(console: Console, plan: Plan, shown: ShownUnits) -> None:
    """Print the plan: settings, forecast, ladder, guards, reasons."""
    reader = Reader(units=shown, barometer_kpa=plan.conditions.pressure_kpa)
    for caution in plan.cautions:
        console.print(Text(caution, style="bold"))
    console.print(_settings_table(plan, reader))
    console.print(_forecast_table({"run the same again": plan.repeat, "as planned": plan.forecast}, shown))
    limit = plan.limit_et_s
    console.print(Text(f"With perfect traction at the same guards: {limit.value:.3f} ±{limit.plus_minus:.3f} s ET."))
    console.print(_ladder_table(plan, reader))
    if plan.changes:
        console.print(_changes_table(plan, reader))
    if plan.first_change is not None:
        console.print(Text(f"If only one change: {change_text(plan.first_change, reader)}"))
    console.print(_guards_table(plan.guards, reader))
    for line in (plan.tell_apart, plan.teaches, *plan.day, *plan.unknown):
        if line:
            console.print(Text(line))
    if plan.assumed:
        console.print(Text("Assumed: " + ", ".join(f"{item.key} = {item.shown}" for item in plan.assumed), style="dim"))


def show_forecast(console: Console, forecast: Forecast, shown: ShownUnits) -> None:
    """Print the forecast of one setup and its guards."""
    console.print(_forecast_table({"forecast": forecast}, shown))
    console.print(_guards_table(forecast.guards, Reader(units=shown)))


def outcome_table(plan: Plan, slip: Timeslip, shown: ShownUnits) -> Table:
    """What was forecast against what the planned pass did."""
    table = Table("", "forecast, 90 %", "run", "", title="Forecast against the pass", title_justify="left")
    for field in FORECAST_CLOCKS:
        band, measured = getattr(plan.forecast, field), getattr(slip, field)
        if isinstance(measured, Absent):
            table.add_row(CLOCKS[field], _band_text(field, band, shown), "-", measured.reason)
            continue
        inside = "inside" if band.low <= measured.value <= band.high else "outside"
        table.add_row(CLOCKS[field], _band_text(field, band, shown), _figure(field, measured.value, shown), inside)
    return table


def _settings_table(plan: Plan, reader: Reader) -> Table:
    table = Table("setting", "last", "next", title="Settings of the next pass", title_justify="left")
    for name, value in plan.setup.values.items():
        before = plan.newest.values[name]
        if name == GEAR_PRESSURE_CAP:
            continue
        cells = (str(reader.adjuster_value(name, one)) for one in (before, value))
        table.add_row(name, *cells, style="bold" if value != before else "")
    return table


def _ladder_table(plan: Plan, reader: Reader) -> Table:
    title = f"Pressure cap by gear [{reader.pressure_unit}]"
    table = Table("gear", "last", "next", "held by", "worth if relaxed", "why", title=title, title_justify="left")
    for binding, before, after in zip(
        plan.binding, plan.newest.gear_pressure_cap_kpa, plan.setup.gear_pressure_cap_kpa, strict=True
    ):
        table.add_row(
            str(binding.gear),
            reader.pressure(before),
            reader.pressure(after),
            binding.by,
            f"{binding.gain_s:.3f} s",
            binding.detail,
            style="bold" if before != after else "",
        )
    return table


def _changes_table(plan: Plan, reader: Reader) -> Table:
    table = Table("change", "worth alone", "why", title="What each change is worth", title_justify="left")
    for change in plan.changes:
        table.add_row(change_text(change, reader), f"{change.gain_s:.3f} s", change.why)
    return table


def _forecast_table(forecasts: dict[str, Forecast], shown: ShownUnits) -> Table:
    table = Table("", *forecasts, title="Forecast, 90 % of single passes", title_justify="left")
    for field in FORECAST_CLOCKS:
        table.add_row(CLOCKS[field], *(_band_text(field, getattr(one, field), shown) for one in forecasts.values()))
    return table


def _guards_table(guards: tuple[GuardMargin, ...], reader: Reader) -> Table:
    table = Table("guard", "worst expected", "limit", "", title="Guards, at the pessimistic end", title_justify="left")
    for guard in guards:
        unit = reader.unit_of(guard.name)
        worst, limit = (f"{reader.guard(guard.name, value)} {unit}".strip() for value in (guard.worst, guard.limit))
        table.add_row(reader.says(f"guard.{guard.name}"), worst, limit, "ok" if guard.ok else "CROSSED")
    return table


def _band_text(field: str, band: Band, shown: ShownUnits) -> str:
    low, median, high = (_figure(field, value, shown) for value in (band.low, band.median, band.high))
    return f"{median} ({low.split()[0]} to {high.split()[0]})"


def _figure(field: str, value: float, shown: ShownUnits) -> str:
    if field.endswith("_mps"):
        return f"{shown_speed(value, shown):.1f} {speed_unit_text(shown)}"
    return f"{value:.3f} s"
