"""Comparisons as text and tables for a terminal."""

from rich.console import Console
from rich.table import Table
from rich.text import Text

from nextpass.compare import Comparison, Gain, Verdict
from nextpass.measure import Absent, Estimate
from nextpass.units import ShownUnits, shown_speed, speed_unit_text
from nextpass.words import number, signed, text

VERDICT_STYLE = {
    Verdict.HELPED: "bold green",
    Verdict.HURT: "bold red",
    Verdict.NO_DIFFERENCE: "bold cyan",
    Verdict.CANNOT_TELL: "bold yellow",
}
_SOURCES = {"strip": "from_strip", "log": "from_log", "strip and log": "from_both"}


def show_comparisons(console: Console, comparisons: tuple[Comparison, ...], shown: ShownUnits) -> None:
    """Print each comparison: verdict, clocks, stretches, passes, doubts."""
    for place, one in enumerate(comparisons):
        if place:
            console.print()
        console.print(Text(text("compare.head", second=one.second.label, first=one.first.label), style="bold"))
        _show_verdict(console, one)
        console.print(_clocks_table(one, shown))
        console.print(_stretches_table(one))
        console.print(_passes_table(one))
        for line in one.confounding:
            console.print(Text(f"- {line}"))


def _show_verdict(console: Console, one: Comparison) -> None:
    decisive = one.decisive
    if isinstance(decisive, Absent):
        console.print(Text(f"{text('compare.cannot_tell')}: {decisive.reason}", style="bold yellow"))
        return
    key = decisive.verdict.name.lower()
    console.print(Text(text(f"compare.{key}"), style=VERDICT_STYLE[decisive.verdict]))
    gain = decisive.gain
    clock = text(f"clock.{one.deciding}")
    console.print(
        text(
            "compare.says",
            gain=signed(gain.value, 3),
            plus_minus=number(gain.plus_minus, 3),
            clock=clock,
            percent=number(100.0 * decisive.probability, 0),
        )
    )
    if decisive.verdict is Verdict.CANNOT_TELL:
        more = decisive.more_passes
        console.print(text("compare.no_more") if more is None else text("compare.more", count=more))
    count = decisive.first_count + decisive.second_count
    console.print(text("compare.scatter", scatter=number(decisive.scatter.value, 3), count=count))
    console.print(text(f"compare.{_SOURCES[one.source]}"))
    day = one.reference
    console.print(
        text(
            "compare.brought_to",
            air=number(day.air_temperature_c, 1),
            pressure=number(day.pressure_kpa, 1),
            track=number(day.track_temperature_c, 1),
            wind=number(day.headwind_mps, 1),
        )
    )


def _clocks_table(one: Comparison, shown: ShownUnits) -> Table:
    table = Table("", "gained", "likely a gain", "passes", "", title="Clocks", title_justify="left")
    for name, gain in one.clocks.items():
        if isinstance(gain, Gain):
            table.add_row(text(f"clock.{name}"), _gain_text(gain, name, shown), *_cells(gain))
        else:
            table.add_row(text(f"clock.{name}"), "-", "", "", gain.reason)
    return table


def _stretches_table(one: Comparison) -> Table:
    table = Table("stretch", "gained", "likely a gain", "passes", "", title=text("compare.where"), title_justify="left")
    for stretch in one.stretches:
        name = f"{stretch.start_m:.0f} to {stretch.end_m:.0f} m"
        if stretch.gear is not None:
            name = f"{text('gear.nth', gear=stretch.gear)}, {name}"
        if isinstance(stretch.gain, Gain):
            table.add_row(name, _seconds(stretch.gain.gain), *_cells(stretch.gain))
        else:
            table.add_row(name, "-", "", "", stretch.gain.reason)
    return table


def _passes_table(one: Comparison) -> Table:
    table = Table("pass", "", text(f"clock.{one.deciding}"), "the day added", title="Passes", title_justify="left")
    for compared in one.passes:
        measured, day = compared.measured, compared.day
        table.add_row(
            compared.name,
            compared.group,
            measured.reason if isinstance(measured, Absent) else f"{measured.value:.3f} ±{measured.plus_minus:.3f} s",
            day.reason if isinstance(day, Absent) else _seconds(day),
        )
    return table


def _cells(gain: Gain) -> tuple[str, str, str]:
    return (
        f"{100.0 * gain.probability:.0f} %",
        f"{gain.first_count} and {gain.second_count}",
        text(f"compare.{gain.verdict.name.lower()}"),
    )


def _gain_text(gain: Gain, clock: str, shown: ShownUnits) -> str:
    if clock.endswith("_s"):
        return _seconds(gain.gain)
    factor = shown_speed(1.0, shown)
    return f"{signed(gain.gain.value * factor, 2)} ±{gain.gain.plus_minus * factor:.2f} {speed_unit_text(shown)}"


def _seconds(value: Estimate) -> str:
    return f"{signed(value.value, 3)} ±{value.plus_minus:.3f} s"
