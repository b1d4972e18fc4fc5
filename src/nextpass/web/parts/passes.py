"""Passes as a table: number, time, clocks, and the gravest finding."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

from nextpass.jobs import KeptPass
from nextpass.report import Reader, mark_svg
from nextpass.review import Severity
from nextpass.words import NO_FIGURE

_KMH_PER_MPS = 3.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """A clock as it is written, with its ±; a dash and nothing where the log cannot support it."""

    value: str
    plus_minus: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PassRow:
    """One pass of the table; a clock that the log cannot support is a dash."""

    address: str
    name: str
    when: str
    fuel: str
    et: Clock
    t60ft: Clock
    t660ft: Clock
    trap: Clock
    gravest: str
    finding_count: int


def pass_row(kept_pass: KeptPass, answer: Mapping[str, Any] | None, address: str, reader: Reader) -> PassRow:
    """Row of a pass from its review by the contract.

    Parameters
    ----------
    kept_pass : KeptPass
        As the book has it.
    answer : Mapping or None
        Its review; None where it cannot be reviewed.
    address : str
        Of its page.
    reader : Reader
        Language and units.

    Returns
    -------
    PassRow
        In the reader's words and units.
    """
    slip = (answer or {}).get("timeslip", {})
    findings = (answer or {}).get("findings", [])
    found = {finding["severity"] for finding in findings}
    gravest = next((severity.value for severity in Severity if severity.value in found), "")
    return PassRow(
        address=address,
        name=str(kept_pass.number if kept_pass.number is not None else kept_pass.sequence),
        when="" if kept_pass.started is None else kept_pass.started.strftime("%Y-%m-%d %H:%M"),
        fuel=kept_pass.fuel,
        et=_clock(slip.get("et_s"), reader.seconds),
        t60ft=_clock(slip.get("t60ft_s"), reader.seconds),
        t660ft=_clock(slip.get("t660ft_s"), reader.seconds),
        trap=_clock(slip.get("trap_kmh"), lambda kmh: reader.speed(kmh / _KMH_PER_MPS)),
        gravest=gravest,
        finding_count=len(findings),
    )


def _clock(estimate: Mapping[str, float] | None, written: Callable[[float], str]) -> Clock:
    if estimate is None:
        return Clock(value=NO_FIGURE, plus_minus="")
    return Clock(value=written(estimate["value"]), plus_minus=f"±{written(estimate['plus_minus'])}")


def passes_html(rows: Sequence[PassRow], reader: Reader) -> str:
    """Table of passes.

    Parameters
    ----------
    rows : sequence of PassRow
        In the order to show.
    reader : Reader
        For the words.

    Returns
    -------
    str
        Markup.
    """
    heads = (
        ("left", reader.says("passes.pass"), ""),
        ("left hide-small", reader.says("passes.when"), ""),
        ("left hide-small", reader.says("adjuster.fuel"), ""),
        ("", reader.says("clock.et_s"), "s"),
        ("", reader.says("clock.t60ft_s"), "s"),
        ("hide-small", reader.says("clock.trap_mps"), reader.speed_unit),
        ("left", reader.says("passes.findings"), ""),
    )
    head = "".join(
        f'<th scope="col" class="{kind}">{escape(f"{name} {unit}".strip())}</th>' for kind, name, unit in heads
    )
    return (
        f'<div class="scroll"><table class="table"><thead><tr>{head}</tr></thead>'
        f"<tbody>{''.join(_row_html(row, reader) for row in rows)}</tbody></table></div>"
    )


def _row_html(row: PassRow, reader: Reader) -> str:
    name = escape(reader.says("pass.title", number=row.name))
    word = escape(reader.says(f"severity.{row.gravest}")) if row.gravest else escape(reader.says("passes.clean"))
    mark = mark_svg(row.gravest) if row.gravest else ""
    return (
        f'<tr><th scope="row" class="left"><a href="{escape(row.address)}">{name}</a></th>'
        f'<td class="left hide-small">{escape(row.when)}</td><td class="left hide-small">{escape(row.fuel)}</td>'
        f"<td>{clock_html(row.et)}</td><td>{clock_html(row.t60ft)}</td>"
        f'<td class="hide-small">{clock_html(row.trap)}</td>'
        f'<td class="left">{mark} {word}</td></tr>'
    )


def clock_html(clock: Clock) -> str:
    """Markup of a clock with its ±."""
    return f'<b>{clock.value}</b> <span class="soft spread">{clock.plus_minus}</span>'
