"""The ledger as text and tables for a terminal."""

import itertools

from rich.console import Console
from rich.table import Table
from rich.text import Text

from nextpass.health import Drift, Ledger, Residency
from nextpass.health.launches import DOUBLES_PER_K, HOT_FROM_C, LAUNCHES_AT_GUARD
from nextpass.measure import Absent, Estimate, Measured
from nextpass.report import Reader, drift_text
from nextpass.words import number, text


def show_ledger(console: Console, ledger: Ledger) -> None:
    """Print launches, heat, limits, trends, what is due, what was learned."""
    console.print(_launches_table(ledger))
    _show_consumption(console, ledger)
    for residency in ledger.residency:
        console.print(_residency_table(residency))
    _show_limits(console, ledger)
    _show_trends(console, ledger)
    _show_due(console, ledger)
    _show_learned(console, ledger)


def _launches_table(ledger: Ledger) -> Table:
    table = Table(
        "pass",
        "launch",
        "clutch heat",
        "rise",
        "peak",
        "of its life",
        title=text("ledger.launches"),
        title_justify="left",
    )
    for one in ledger.passes:
        launch = one.launch
        if launch is None:
            table.add_row(one.name, "-", "-", "-", "-", "-")
            continue
        table.add_row(
            one.name,
            f"{launch.launch_rpm:.0f} rpm",
            _shown(launch.energy_j, "kJ", 1, 1e-3),
            _shown(launch.rise_k, "K", 1),
            _shown(launch.peak_c, "°C", 0),
            _shown(launch.life_share, "%", 3, 100.0),
        )
    return table


def _show_consumption(console: Console, ledger: Ledger) -> None:
    used = ledger.consumption
    if isinstance(used.energy_j, Absent):
        console.print(Text(used.energy_j.reason))
        return
    assert isinstance(used.life_share, Estimate)
    assert isinstance(used.hardest_share, Estimate)
    assert isinstance(used.median_share, Estimate)
    hardest = next(one.launch for one in ledger.passes if one.name == used.hardest)
    energy = hardest.energy_j if hardest is not None else Absent(reason="")
    console.print(
        text(
            "ledger.total",
            count=used.launches,
            energy=number(used.energy_j.value * 1e-6, 2),
            share=number(100.0 * used.life_share.value, 2),
        )
    )
    console.print(
        text(
            "ledger.consumption",
            name=used.hardest,
            energy=number(energy.value * 1e-3, 0) if isinstance(energy, Estimate) else "-",
            share=number(100.0 * used.hardest_share.value, 2),
            median=number(100.0 * used.median_share.value, 2),
        )
    )
    console.print(
        Text(
            text(
                "ledger.model",
                launches=number(LAUNCHES_AT_GUARD, 0),
                doubles=number(DOUBLES_PER_K, 0),
                hot=number(HOT_FROM_C, 0),
            ),
            style="dim",
        )
    )


def _residency_table(residency: Residency) -> Table:
    title = f"{text('ledger.heat')}: {text(f'ledger.oil.{residency.channel}')}"
    table = Table(*_band_names(residency.edges_c), title=title, title_justify="left")
    table.add_row(*(f"{seconds:.0f} s" for seconds in residency.seconds))
    return table


def _band_names(edges_c: tuple[float, ...]) -> list[str]:
    inner = [text("ledger.band.between", low=f"{low:g}", high=f"{high:g}") for low, high in itertools.pairwise(edges_c)]
    return [
        text("ledger.band.below", edge=f"{edges_c[0]:g}"),
        *inner,
        text("ledger.band.above", edge=f"{edges_c[-1]:g}"),
    ]


def _show_limits(console: Console, ledger: Ledger) -> None:
    if not ledger.limits_passed:
        console.print(text("ledger.none_passed"))
        return
    table = Table("pass", "limit", "when", title=text("ledger.limits"), title_justify="left")
    for name, limit in ledger.limits_passed:
        table.add_row(name, limit.title, f"{limit.start_s:.2f} to {limit.end_s:.2f} s")
    console.print(table)


def _show_trends(console: Console, ledger: Ledger) -> None:
    drifting = [trend for trend in ledger.trends if trend.drift is Drift.DRIFTS]
    console.print(Text(text("ledger.trends"), style="bold"))
    if not drifting:
        console.print(text("ledger.nothing_drifts", count=len(ledger.passes)))
    for trend in drifting:
        console.print(Text(f"- {drift_text(trend, Reader())}"))
    for drift, key in ((Drift.STEADY, "steady"), (Drift.CANNOT_TELL, "cannot_tell")):
        names = [text(f"ledger.figure.{trend.name}") for trend in ledger.trends if trend.drift is drift]
        if names:
            console.print(Text(text(f"ledger.{key}", names=", ".join(names)), style="dim"))


def _show_due(console: Console, ledger: Ledger) -> None:
    if not ledger.due:
        return
    table = Table("item", "since", "launches left", "days left", "", title=text("ledger.due"), title_justify="left")
    for due in ledger.due:
        table.add_row(
            due.item,
            f"{due.since:%Y-%m-%d}",
            "" if due.launches_left is None else f"{due.launches_left:.0f}",
            "" if due.days_left is None else f"{due.days_left:.0f}",
            text("ledger.is_due") if due.is_due else "",
            style="bold red" if due.is_due else "",
        )
    console.print(table)


def _show_learned(console: Console, ledger: Ledger) -> None:
    for change in ledger.learned:
        console.print(Text(f"{text('ledger.learned')}: {change.item}, {change.when:%Y-%m-%d}", style="bold"))
        for name in dict.fromkeys((*change.before, *change.after)):
            console.print(f"  {name}: {change.before.get(name, '-')} -> {change.after.get(name, '-')}")
        for need in change.preconditions:
            state = {True: "met", False: "not_met", None: "cannot_tell"}[need.is_met]
            found = need.found.reason if isinstance(need.found, Absent) else _shown(need.found, "", 2)
            console.print(f"  {need.figure}: {text(f'ledger.need.{state}')} ({found})")


def _shown(measured: Measured, unit: str, decimals: int, factor: float = 1.0) -> str:
    if isinstance(measured, Absent):
        return "-"
    value, plus_minus = measured.value * factor, measured.plus_minus * factor
    return f"{value:.{decimals}f} ±{plus_minus:.{decimals}f} {unit}".strip()
