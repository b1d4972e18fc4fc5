"""Plans and forecasts as tables for a terminal."""

from rich.console import Console
from rich.table import Table
from rich.text import Text

from nextpass.car import GEAR_PRESSURE_CAP, AdjusterValue
from nextpass.measure import Absent
from nextpass.plan import Band, Forecast, GuardMargin, Plan
from nextpass.review import Timeslip
from nextpass.units import (
    ShownUnits,
    pressure_decimals,
    pressure_unit_text,
    shown_pressure,
    shown_speed,
    speed_unit_text,
)

PRESSURE_ENDING = "_kpa"
SLIP_ROWS = (
    ("60 ft", "t60ft_s"),
    ("330 ft", "t330ft_s"),
    ("660 ft", "t660ft_s"),
    ("1000 ft", "t1000ft_s"),
    ("ET, 1320 ft", "et_s"),
    ("trap speed", "trap_mps"),
)


def show_plan(console: Console, plan: Plan, shown: ShownUnits) -> None:
    """Print the plan: settings, forecast, ladder, guards, reasons."""
    barometer = plan.conditions.pressure_kpa
    for caution in plan.cautions:
        console.print(Text(caution, style="bold"))
    console.print(_settings_table(plan, shown, barometer))
    console.print(_forecast_table({"run the same again": plan.repeat, "as planned": plan.forecast}, shown))
    limit = plan.limit_et_s
    console.print(Text(f"With perfect traction at the same guards: {limit.value:.3f} ±{limit.plus_minus:.3f} s ET."))
    console.print(_ladder_table(plan, shown, barometer))
    console.print(_guards_table(plan.guards))
    for line in (plan.tell_apart, plan.teaches, *plan.day, *plan.unknown):
        if line:
            console.print(Text(line))
    if plan.assumed:
        console.print(Text("Assumed: " + ", ".join(f"{item.key} = {item.shown}" for item in plan.assumed), style="dim"))


def show_forecast(console: Console, forecast: Forecast, shown: ShownUnits) -> None:
    """Print the forecast of one setup and its guards."""
    console.print(_forecast_table({"forecast": forecast}, shown))
    console.print(_guards_table(forecast.guards))


def outcome_table(plan: Plan, slip: Timeslip, shown: ShownUnits) -> Table:
    """What was forecast against what the planned pass did."""
    table = Table("", "forecast, 90 %", "run", "", title="Forecast against the pass", title_justify="left")
    for title, field in SLIP_ROWS:
        band, measured = getattr(plan.forecast, field), getattr(slip, field)
        if isinstance(measured, Absent):
            table.add_row(title, _band_text(field, band, shown), "-", measured.reason)
            continue
        inside = "inside" if band.low <= measured.value <= band.high else "outside"
        table.add_row(title, _band_text(field, band, shown), _figure(field, measured.value, shown), inside)
    return table


def value_text(name: str, value: AdjusterValue, shown: ShownUnits, barometer_kpa: float) -> str:
    """An adjuster's value as it is dialled in, with its unit."""
    if isinstance(value, bool):
        return "on" if value else "off"
    if isinstance(value, str):
        return value
    values = value if isinstance(value, tuple) else (value,)
    if name.endswith(PRESSURE_ENDING):
        figures = [_pressure(item, shown, barometer_kpa) for item in values]
        return f"{' '.join(figures)} {pressure_unit_text(shown)}"
    unit = "rpm" if name.endswith("_rpm") else ""
    return f"{' '.join(f'{item:g}' for item in values)} {unit}".strip()


def _settings_table(plan: Plan, shown: ShownUnits, barometer_kpa: float) -> Table:
    table = Table("setting", "last", "next", title="Settings of the next pass", title_justify="left")
    for name, value in plan.setup.values.items():
        before = plan.newest.values[name]
        if name == GEAR_PRESSURE_CAP:
            continue
        style = "bold" if value != before else ""
        table.add_row(
            name,
            value_text(name, before, shown, barometer_kpa),
            value_text(name, value, shown, barometer_kpa),
            style=style,
        )
    return table


def _ladder_table(plan: Plan, shown: ShownUnits, barometer_kpa: float) -> Table:
    table = Table(
        "gear",
        "last",
        "next",
        "held by",
        "worth if relaxed",
        "why",
        title=f"Pressure cap by gear [{pressure_unit_text(shown)}]",
        title_justify="left",
    )
    for binding, before, after in zip(
        plan.binding, plan.newest.gear_pressure_cap_kpa, plan.setup.gear_pressure_cap_kpa, strict=True
    ):
        table.add_row(
            str(binding.gear),
            _pressure(before, shown, barometer_kpa),
            _pressure(after, shown, barometer_kpa),
            binding.by,
            f"{binding.gain_s:.3f} s",
            binding.detail,
            style="bold" if before != after else "",
        )
    return table


def _forecast_table(forecasts: dict[str, Forecast], shown: ShownUnits) -> Table:
    table = Table("", *forecasts, title="Forecast, 90 % of single passes", title_justify="left")
    for title, field in SLIP_ROWS:
        table.add_row(title, *(_band_text(field, getattr(one, field), shown) for one in forecasts.values()))
    return table


def _guards_table(guards: tuple[GuardMargin, ...]) -> Table:
    table = Table("guard", "worst expected", "limit", "", title="Guards, at the pessimistic end", title_justify="left")
    for guard in guards:
        table.add_row(guard.name, f"{guard.worst:.4g}", f"{guard.limit:.4g}", "ok" if guard.ok else "CROSSED")
    return table


def _band_text(field: str, band: Band, shown: ShownUnits) -> str:
    low, median, high = (_figure(field, value, shown) for value in (band.low, band.median, band.high))
    return f"{median} ({low.split()[0]} to {high.split()[0]})"


def _figure(field: str, value: float, shown: ShownUnits) -> str:
    if field.endswith("_mps"):
        return f"{shown_speed(value, shown):.1f} {speed_unit_text(shown)}"
    return f"{value:.3f} s"


def _pressure(kpa: float, shown: ShownUnits, barometer_kpa: float) -> str:
    return f"{shown_pressure(kpa, shown, barometer_kpa):.{pressure_decimals(shown)}f}"
