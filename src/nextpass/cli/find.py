"""`nextpass find`: passes by car, fuel, strip, finding and value."""

from datetime import datetime
from typing import Annotated, Literal

import typer
from rich.console import Console
from rich.table import Table
from rich.text import Text

from nextpass.answers import FindAnswer
from nextpass.cli.options import BookOption, JsonOption
from nextpass.jobs import find_passes

# Heading of each clock, and the value of a pass that stands below it.
_CLOCKS = {"60 ft\ns": "t60ft_s", "ET\ns": "et_s", "trap\nkm/h": "trap_kmh"}
_DATES = ["%Y-%m-%d", "%Y-%m-%dT%H:%M:%S"]


def find(
    book: BookOption,
    car: Annotated[str, typer.Option(help="Name of the car.", show_default=False)] = "",
    fuel: Annotated[str, typer.Option(help="Fuel of the setup.", show_default=False)] = "",
    strip: Annotated[str, typer.Option(help="Name of the strip.", show_default=False)] = "",
    finding: Annotated[
        list[str] | None,
        typer.Option(help="Code of a finding of its review; give it again for several.", show_default=False),
    ] = None,
    severity: Annotated[
        Literal["stop", "act", "watch", "note"] | None,
        typer.Option(help="Severity of one of its findings.", show_default=False),
    ] = None,
    where: Annotated[
        str,
        typer.Option(
            metavar="CONDITION",
            help="On conditions, setup and timeslip, by the keys of files and answers: 'et_s < 11.5'",
            show_default=False,
        ),
    ] = "",
    since: Annotated[datetime | None, typer.Option(help="Run on that day or later.", formats=_DATES)] = None,
    until: Annotated[datetime | None, typer.Option(help="Run before that day.", formats=_DATES)] = None,
    as_json: JsonOption = False,
) -> None:
    """Find passes of a book; all of them where nothing is asked for.

    A condition compares values of a pass: et_s, t60ft_s, trap_kmh, launch_rpm, 'gear_pressure_cap_kpa[3]',
    air_temperature_c, strip_et_s (the strip's own clock) and so on, with and, or, not and + - * /. A pass that lacks a
    value does not meet a condition on it.
    """
    answer = find_passes(book, car, fuel, strip, finding or [], severity or "", where, since, until)
    if as_json:
        print(answer.model_dump_json(indent=2))
        return
    Console().print(_table(answer))
    if answer.out_of_date:
        Console(stderr=True).print(
            Text(f"{answer.out_of_date} passes of the book have no answer of today: nextpass recheck makes them")
        )


def _table(answer: FindAnswer) -> Table:
    count = "1 pass" if len(answer.passes) == 1 else f"{len(answer.passes)} passes"
    # Bare, so that a line of a usual book stays whole on a terminal of 80 columns; names alone may be folded.
    table = Table(
        title=count, title_justify="left", header_style="bold", box=None, pad_edge=False, collapse_padding=True
    )
    for name in ("car", "pass", "run", "fuel", "strip", *_CLOCKS, "findings"):
        side: Literal["right", "left"] = "right" if name in ("pass", *_CLOCKS) else "left"
        table.add_column(name, justify=side, overflow="fold", no_wrap=name not in ("car", "fuel", "strip"))
    for one in answer.passes:
        run = "" if one.started is None else one.started.strftime("%Y-%m-%d %H:%M")
        figures = (_figure(one.values.get(name)) for name in _CLOCKS.values())
        findings = "\n".join(dict.fromkeys(finding.code for finding in one.findings))
        table.add_row(one.car, str(one.sequence), run, one.fuel, one.strip, *figures, findings)
    return table


def _figure(value: float | str | None) -> str:
    return f"{value:.2f}" if isinstance(value, float) else ""
