"""What launches cost the clutch: a bar a pass against the guard, the sum, and the same as a table."""

import itertools
from collections.abc import Callable, Sequence
from html import escape

from nextpass.health import Ledger, PassFigures, Residency
from nextpass.measure import Absent, Estimate, Measured
from nextpass.report import Reader
from nextpass.words import NO_FIGURE, translated

# The newest launches are drawn; more bars than this could not be told apart on a phone.
MOST_BARS = 60
Named = Callable[[str], str]


def launches_html(ledger: Ledger, guard_j: float, reader: Reader, named: Named) -> str:
    """Bars of the newest launches and the table behind them.

    Parameters
    ----------
    ledger : Ledger
        Of the car.
    guard_j : float
        Heat of one launch that the car's guard allows [J].
    reader : Reader
        Language.
    named : callable
        Gives the link to a pass by its name.

    Returns
    -------
    str
        Markup.
    """
    shown = ledger.passes[-MOST_BARS:]
    energies = [_energy_j(one) for one in shown]
    if not any(energies):
        reason = ledger.consumption.energy_j
        said = translated(reason.reason, reader.language) if isinstance(reason, Absent) else NO_FIGURE
        return f"<p>{escape(said)}</p>"
    top = 1.08 * max(*energies, guard_j)
    step = 100.0 / len(shown)
    bars = "".join(
        f'<rect class="{"over" if energy > guard_j else "used"}" x="{(place + 0.12) * step:.2f}%" '
        f'width="{0.76 * step:.2f}%" y="{100.0 * (1.0 - energy / top):.2f}%" height="{100.0 * energy / top:.2f}%"/>'
        for place, energy in enumerate(energies)
    )
    at = f"{100.0 * (1.0 - guard_j / top):.2f}%"
    guard = escape(reader.says("ledger.guard", energy=reader.number(guard_j * 1e-3)))
    return (
        f'<div class="bars"><svg aria-hidden="true" focusable="false">{bars}'
        f'<line class="limit" x1="0" x2="100%" y1="{at}" y2="{at}"/></svg>'
        f'<span class="bars-guard" style="top:{at}">{guard}</span></div>'
        f'<div class="trend-foot"><span>{named(shown[0].name)}</span><span>{named(shown[-1].name)}'
        f"</span></div>"
        f"<details><summary>{escape(reader.says('ledger.launches'))}</summary>"
        f"{_table_html(shown, reader, named)}</details>"
    )


def _energy_j(figures: PassFigures) -> float:
    if figures.launch is None or isinstance(figures.launch.energy_j, Absent):
        return 0.0
    return figures.launch.energy_j.value


def _table_html(shown: Sequence[PassFigures], reader: Reader, named: Named) -> str:
    heads = (
        ("left", reader.says("passes.pass"), ""),
        ("hide-small", reader.says("adjuster.launch_rpm"), "rpm"),
        ("", reader.says("ledger.energy"), "kJ"),
        ("", reader.says("ledger.peak"), "°C"),
        ("", reader.says("ledger.life"), "%"),
    )
    head = "".join(
        f'<th scope="col" class="{kind}">{escape(f"{name} {unit}".strip())}</th>' for kind, name, unit in heads
    )
    rows = "".join(_row_html(one, reader, named) for one in reversed(shown))
    return f'<div class="scroll"><table class="table"><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table></div>'


def _row_html(figures: PassFigures, reader: Reader, named: Named) -> str:
    launch = figures.launch
    name = f'<th scope="row" class="left">{named(figures.name)}</th>'
    if launch is None:
        return f'<tr>{name}<td class="hide-small">{NO_FIGURE}</td>{f"<td>{NO_FIGURE}</td>" * 3}</tr>'
    cells = (
        measured_html(launch.energy_j, 1e-3, 0, reader),
        measured_html(launch.peak_c, 1.0, 0, reader),
        measured_html(launch.life_share, 100.0, 2, reader),
    )
    return (
        f'<tr>{name}<td class="hide-small"><b>{reader.number(launch.launch_rpm)}</b></td>'
        f"{''.join(f'<td>{cell}</td>' for cell in cells)}</tr>"
    )


def measured_html(measured: Measured, factor: float, decimals: int, reader: Reader) -> str:
    """A figure with its ±, or a dash.

    Parameters
    ----------
    measured : Estimate or Absent
        To be shown.
    factor : float
        To the shown unit.
    decimals : int
        Of the figure.
    reader : Reader
        Language.

    Returns
    -------
    str
        Markup.
    """
    if not isinstance(measured, Estimate):
        return NO_FIGURE
    spread = reader.number(measured.plus_minus * factor, decimals)
    return f'<b>{reader.number(measured.value * factor, decimals)}</b> <span class="soft">±{spread}</span>'


def heat_html(residency: Residency, reader: Reader) -> str:
    """Time of one oil in its bands: one bar in parts, and their seconds.

    Parameters
    ----------
    residency : Residency
        Over all passes.
    reader : Reader
        Language.

    Returns
    -------
    str
        Markup.
    """
    total_s = sum(residency.seconds) or 1.0
    edges = [reader.number(edge) for edge in residency.edges_c]
    names = [
        reader.says("ledger.band.below", edge=edges[0]),
        *(reader.says("ledger.band.between", low=low, high=high) for low, high in itertools.pairwise(edges)),
        reader.says("ledger.band.above", edge=edges[-1]),
    ]
    start, parts, rows = 0.0, [], []
    for place, (name, seconds) in enumerate(zip(names, residency.seconds, strict=True)):
        width = 100.0 * seconds / total_s
        parts.append(f'<rect class="heat-{place}" x="{start:.2f}%" width="{width:.2f}%" height="100%"/>')
        start += width
        rows.append(
            f'<tr><th scope="row" class="left"><svg class="key" aria-hidden="true"><rect class="heat-{place}" '
            f'width="100%" height="100%"/></svg> {escape(name)}</th><td><b>{reader.number(seconds)}</b> s</td></tr>'
        )
    return (
        f"<h3>{escape(reader.says(f'ledger.oil.{residency.channel}'))}</h3>"
        f'<svg class="heat" aria-hidden="true" focusable="false">{"".join(parts)}</svg>'
        f'<table class="table"><tbody>{"".join(rows)}</tbody></table>'
    )
