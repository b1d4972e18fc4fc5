"""Trouble codes and guided tests as text for a terminal."""

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from nextpass.health import CodeStates, WeighedCause, WeighedCodes
from nextpass.health.guided import IdleBalance, LeakDown, PumpTest
from nextpass.measure import Absent, Measured
from nextpass.words import text


def show_codes(console: Console, weighed: WeighedCodes, states: CodeStates | None) -> None:
    """Print codes, causes with their evidence, states, cautions."""
    for one in weighed.codes:
        line = Text(f"{one.code}  ", style="bold")
        line.append(one.meaning, style="not bold")
        console.print(line)
        if not one.causes:
            console.print(Padding(text("codes.no_cause"), (0, 0, 0, 7)))
    if states is not None:
        _show_states(console, states)
    if weighed.causes:
        console.print(Text(text("codes.causes"), style="bold"))
        for cause in weighed.causes:
            _show_cause(console, cause)
        if not weighed.passes:
            console.print(text("codes.no_logs"))
        elif weighed.is_silent:
            console.print(text("codes.silent"))
        elif not weighed.is_settled:
            console.print(text("codes.not_settled"))
    for caution in weighed.cautions:
        console.print(Text(f"! {caution}", style="yellow"))


def _show_states(console: Console, states: CodeStates) -> None:
    for key, codes in (("gone", states.gone), ("stayed", states.stayed), ("came", states.came)):
        if codes:
            console.print(f"{text(f'codes.{key}')}: {', '.join(str(code) for code in codes)}")


def _show_cause(console: Console, cause: WeighedCause) -> None:
    console.print(Text(f"{100.0 * cause.share:3.0f} %  {cause.title}", style="bold"))
    for key, lines in (
        ("speaks_for", cause.speaks_for),
        ("speaks_against", cause.speaks_against),
        ("not_looked_at", cause.not_seen),
    ):
        if lines:
            console.print(Padding(Text(f"{text(f'codes.{key}')}: {'; '.join(lines)}"), (0, 0, 0, 7)))
    console.print(Padding(Text(f"{text('codes.next')}: {cause.next_step}"), (0, 0, 0, 7)))


def show_guided(console: Console, found: IdleBalance | PumpTest | LeakDown) -> None:
    """Print what a guided test shows."""
    match found:
        case IdleBalance():
            table = Table("", "", show_header=False)
            for name, measured, unit, factor, decimals in (
                ("idle speed", found.idle_rpm, "rpm", 1.0, 0),
                ("swing", found.roughness_rpm, "rpm", 1.0, 1),
                ("trim, bank 1", found.trim_bank1, "%", 100.0, 2),
                ("trim, bank 2", found.trim_bank2, "%", 100.0, 2),
                ("bank 2 less bank 1", found.trims_apart, "%", 100.0, 2),
            ):
                table.add_row(name, _shown(measured, unit, factor, decimals))
            console.print(table)
            verdicts = found.verdicts
        case PumpTest():
            table = Table("pump", "reached", "builds in", "falls with", "came in")
            for stage in found.stages:
                table.add_row(
                    text(f"guided.pumps.{stage.channel}"),
                    _shown(stage.reached_kpa, "kPa", 1.0, 1),
                    _shown(stage.build_s, "s", 1.0, 2),
                    _shown(stage.decay_s, "s", 1.0, 0),
                    {True: "yes", False: "no", None: "-"}[stage.came_in],
                )
            console.print(table)
            verdicts = found.verdicts
        case LeakDown():
            console.print(f"filled to {found.filled_kpa:.0f} kPa over ambient")
            console.print(f"falls with a time constant of {_shown(found.time_constant_s, 's', 1.0, 1)}")
            verdicts = (found.verdict,)
    for verdict in verdicts:
        console.print(Text(verdict, style="bold"))


def _shown(measured: Measured, unit: str, factor: float, decimals: int) -> str:
    if isinstance(measured, Absent):
        return f"- ({measured.reason})"
    return f"{measured.value * factor:.{decimals}f} ±{measured.plus_minus * factor:.{decimals}f} {unit}"
