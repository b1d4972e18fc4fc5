"""Comparisons as text and tables for a terminal."""

from rich.console import Console
from rich.table import Table
from rich.text import Text

from nextpass.compare import Comparison, Gain, Verdict
from nextpass.measure import Absent, Estimate
from nextpass.report import Reader, comparison_lines, gain_text, verdict_text
from nextpass.units import ShownUnits
from nextpass.words import number, signed, text

VERDICT_STYLE = {
    Verdict.HELPED: "bold green",
    Verdict.HURT: "bold red",
    Verdict.NO_DIFFERENCE: "bold cyan",
    Verdict.CANNOT_TELL: "bold yellow",
}


def show_comparisons(console: Console, comparisons: tuple[Comparison, ...], shown: ShownUnits) -> None:
    """Print each comparison: verdict, clocks, stretches, passes, doubts."""
    reader = Reader(units=shown)
    for place, one in enumerate(comparisons):
        if place:
            console.print()
        console.print(Text(text("compare.head", second=one.second.label, first=one.first.label), style="bold"))
        _show_verdict(console, one, reader)
        console.print(_clocks_table(one, reader))
        console.print(_stretches_table(one))
        console.print(_passes_table(one))
        for line in one.confounding:
            console.print(Text(f"- {line}"))


def _show_verdict(console: Console, one: Comparison, reader: Reader) -> None:
    decisive = one.decisive
    verdict = Verdict.CANNOT_TELL if isinstance(decisive, Absent) else decisive.verdict
    console.print(Text(verdict_text(one, reader), style=VERDICT_STYLE[verdict]))
    if isinstance(decisive, Gain):
        says = text(
            "compare.says",
            gain=signed(decisive.gain.value, 3),
            plus_minus=number(decisive.gain.plus_minus, 3),
            clock=text(f"clock.{one.deciding}"),
            percent=number(100.0 * decisive.probability, 0),
        )
        console.print(says)
    for line in comparison_lines(one, reader):
        console.print(line)


def _clocks_table(one: Comparison, reader: Reader) -> Table:
    table = Table("", "gained", "likely a gain", "passes", "", title="Clocks", title_justify="left")
    for name, gain in one.clocks.items():
        if isinstance(gain, Gain):
            table.add_row(text(f"clock.{name}"), gain_text(gain, name, reader), *_cells(gain))
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


def _seconds(value: Estimate) -> str:
    return f"{signed(value.value, 3)} ±{value.plus_minus:.3f} s"
