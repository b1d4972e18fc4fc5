"""The forecast as a band on one scale of ET: past passes, the last setup again, the next one, and the limit."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import Literal

from nextpass.measure import Estimate
from nextpass.plan import Band, Plan
from nextpass.report.picture.scale import scale_over
from nextpass.report.reader import Reader

BandKind = Literal["past", "repeat", "next", "limit"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BandRow:
    """One line of the picture: places are fractions 0..1, `text` is the middle as a figure."""

    kind: BandKind
    label: str
    low: float
    middle: float
    high: float
    text: str
    range_text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BandPicture:
    """Lines over a common scale of ET; `ticks` are places and figures."""

    rows: tuple[BandRow, ...]
    ticks: tuple[tuple[float, str], ...]


def forecast_picture(plan: Plan, past: Sequence[tuple[str, Estimate]], reader: Reader) -> BandPicture:
    """ET of past passes, of the newest setup again, of the plan, and of the same car with perfect traction.

    Parameters
    ----------
    plan : Plan
        With its forecasts.
    past : sequence of (str, Estimate)
        Name and ET [s] of passes already run, oldest first.
    reader : Reader
        Language and units.

    Returns
    -------
    BandPicture
        Ready to draw; quicker lies left.
    """
    limit = plan.limit_et_s
    lines: list[tuple[BandKind, str, Band]] = [
        ("limit", reader.says("forecast.limit"), _band_of(limit)),
        ("next", reader.says("forecast.next"), plan.forecast.et_s),
        ("repeat", reader.says("forecast.repeat"), plan.repeat.et_s),
        *(("past", label, _band_of(et_s)) for label, et_s in reversed(past)),
    ]
    scale = scale_over((end for _, _, band in lines for end in (band.low, band.high)), tick_count=6)
    rows = tuple(
        BandRow(
            kind=kind,
            label=label,
            low=scale.at(band.low),
            middle=scale.at(band.median),
            high=scale.at(band.high),
            text=reader.seconds(band.median),
            range_text=reader.seconds_range(band.low, band.high),
        )
        for kind, label, band in lines
    )
    return BandPicture(
        rows=rows, ticks=tuple((scale.at(tick), reader.number(tick, max(scale.decimals, 1))) for tick in scale.ticks)
    )


def band_html(picture: BandPicture, reader: Reader) -> str:
    """Forecast picture as an HTML table with a fluid SVG in each row.

    Parameters
    ----------
    picture : BandPicture
        What to draw.
    reader : Reader
        For the words.

    Returns
    -------
    str
        Markup without scripts; classes are those of ``picture.css``.
    """
    grid = "".join(
        f'<line class="grid" x1="{place * 100:.2f}%" x2="{place * 100:.2f}%" y2="100%"/>' for place, _ in picture.ticks
    )
    ticks = "".join(f'<span style="left:{place * 100:.2f}%">{escape(figure)}</span>' for place, figure in picture.ticks)
    rows = "".join(
        f'<tr class="band-{row.kind}"><th scope="row">{escape(row.label)}</th>'
        f'<td class="band-track"><svg class="bands" aria-hidden="true" focusable="false">{grid}{_shape(row)}</svg></td>'
        f'<td class="band-value"><b>{escape(row.text)}</b>'
        f"<span>{escape(row.range_text)}</span></td></tr>"
        for row in picture.rows
    )
    return (
        f'<table class="band"><caption class="unseen">{escape(reader.says("forecast.caption"))}</caption>'
        f'<thead class="unseen"><tr><th scope="col">{escape(reader.says("forecast.which"))}</th>'
        f'<th scope="col">{escape(reader.says("ladder.picture"))}</th>'
        f'<th scope="col">{escape(reader.says("clock.et_s"))} s</th></tr></thead>'
        f'<tbody>{rows}<tr class="band-scale" aria-hidden="true"><th></th>'
        f'<td><span class="band-ticks">{ticks}</span></td><td>s</td></tr></tbody></table>'
    )


def _band_of(et_s: Estimate) -> Band:
    return Band(low=et_s.low, median=et_s.value, high=et_s.high)


def _shape(row: BandRow) -> str:
    if any(math.isnan(place) for place in (row.low, row.middle, row.high)):
        return ""
    low, middle, high = (f"{place * 100:.2f}%" for place in (row.low, row.middle, row.high))
    width = f"{(row.high - row.low) * 100:.2f}%"
    if row.kind in ("next", "repeat"):
        return (
            f'<rect class="{row.kind}-band" x="{low}" width="{width}" y="25%" height="50%"/>'
            f'<line class="{row.kind}-middle" x1="{middle}" x2="{middle}" y1="12%" y2="88%"/>'
        )
    whisker = f'<line class="whisker" x1="{low}" x2="{high}" y1="50%" y2="50%"/>'
    if row.kind == "limit":
        return f'{whisker}<line class="limit-middle" x1="{middle}" x2="{middle}" y1="20%" y2="80%"/>'
    return f'{whisker}<circle class="last" cx="{middle}" cy="50%" r="4.5"/>'
