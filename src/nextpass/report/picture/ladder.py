"""The ladder: pressure cap by gear, last and next, below what the guards close and beside what the tyres carry.

One rung a gear, first gear on top, in the order in which they are dialled in. The body of a rung is the part that
stays; a raise is filled, a cut is outlined; the last cap is a ring and the next a bar across, so that no reading needs
colour.
"""

import math
from dataclasses import dataclass
from html import escape

from nextpass.car import GEAR_PRESSURE_CAP, Car
from nextpass.plan import Plan
from nextpass.report.picture.scale import Scale, scale_over
from nextpass.report.reader import Reader

_KEYS = {
    mark: f'<svg class="key" viewBox="0 0 16 16" aria-hidden="true" focusable="false">{shape}</svg>'
    for mark, shape in {
        "last": '<circle class="last" cx="8" cy="8" r="5"/>',
        "next": '<line class="next" x1="8" x2="8" y1="0" y2="16"/>',
        "closed": '<path class="hatch" d="M0 6L6 0M0 14L14 0M5 16L16 5M12 16L16 12"/>',
        "tyre": '<path class="tyre" d="M3 4H13L8 12Z"/>',
    }.items()
}
# Room kept right and left of the outermost marks, as a share of the scale.
_MARGIN = 0.06


@dataclass(frozen=True, slots=True, kw_only=True)
class LadderRow:
    """One rung; places are fractions 0..1 of the track, nan where there is nothing to draw.

    Parameters
    ----------
    last, next, guard, tyre : float
        Places of the last and next cap, of where the guards close, of what the tyres carry.
    last_text, next_text, change_text : str
        Figures in the reader's unit; the change is empty where the cap stays.
    held_by : str
        What keeps the cap from being higher, in words.
    """

    gear: int
    last: float
    next: float
    guard: float
    tyre: float
    last_text: str
    next_text: str
    change_text: str
    held_by: str

    @property
    def is_raised(self) -> bool:
        """Whether the next cap lies above the last."""
        return self.next > self.last

    @property
    def is_changed(self) -> bool:
        """Whether the cap moves at all."""
        return bool(self.change_text)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ladder:
    """All rungs with their common scale; `ticks` are places and figures."""

    rows: tuple[LadderRow, ...]
    ticks: tuple[tuple[float, str], ...]
    unit: str
    has_tyre: bool


def ladder_of(plan: Plan, car: Car, reader: Reader) -> Ladder:
    """Ladder of a plan as the reader sees it.

    Parameters
    ----------
    plan : Plan
        With its rungs.
    car : Car
        For the range of the adjuster, which fixes the scale from pass to pass.
    reader : Reader
        Language, units and barometer.

    Returns
    -------
    Ladder
        Ready to draw.
    """
    scale = _scale(plan, car, reader)
    held_by = {binding.gear: reader.says(f"binding.{binding.by.replace(' ', '_')}") for binding in plan.binding}
    rows = tuple(
        LadderRow(
            gear=rung.gear,
            last=scale.at(reader.pressure_value(rung.last_kpa)),
            next=scale.at(reader.pressure_value(rung.next_kpa)),
            guard=scale.at(reader.pressure_value(rung.guard_kpa)),
            tyre=_place_inside(scale, reader.pressure_value(rung.tyre_kpa)),
            last_text=reader.pressure(rung.last_kpa),
            next_text=reader.pressure(rung.next_kpa),
            change_text="" if rung.next_kpa == rung.last_kpa else reader.pressure_change(rung.next_kpa - rung.last_kpa),
            held_by=held_by.get(rung.gear, ""),
        )
        for rung in plan.rungs
    )
    return Ladder(
        rows=rows,
        ticks=tuple((scale.at(tick), reader.number(tick, scale.decimals)) for tick in scale.ticks),
        unit=reader.pressure_unit,
        has_tyre=any(not math.isnan(row.tyre) for row in rows),
    )


def ladder_html(ladder: Ladder, reader: Reader, prefix: str = "np") -> str:
    """Ladder as an HTML table with a fluid SVG rung in each row.

    Parameters
    ----------
    ladder : Ladder
        What to draw.
    reader : Reader
        For the words.
    prefix : str
        Begins every id, so that two ladders may stand in one page.

    Returns
    -------
    str
        Markup without scripts; classes are those of ``picture.css``.
    """
    rows = "".join(_row_html(row, ladder, reader, f"{prefix}-hatch-{row.gear}") for row in ladder.rows)
    scale = "".join(f'<span style="left:{place * 100:.2f}%">{escape(figure)}</span>' for place, figure in ladder.ticks)
    return (
        f'<table class="ladder"><caption class="unseen">{escape(reader.says("ladder.caption"))}</caption><thead><tr>'
        f'<th scope="col"><span class="unseen">{escape(reader.says("ladder.gear"))}</span></th>'
        f'<th scope="col" class="ladder-scale"><span class="unseen">{escape(reader.says("ladder.picture"))}</span>'
        f'<span aria-hidden="true" class="ladder-ticks">{scale}</span></th>'
        f'<th scope="col" class="ladder-unit"><span class="unseen">{escape(reader.says("ladder.next"))} </span>'
        f"{escape(ladder.unit)}</th>"
        f'<th scope="col" class="ladder-held">{escape(reader.says("ladder.held_by"))}</th>'
        f"</tr></thead><tbody>{rows}</tbody></table>{_legend_html(ladder, reader)}"
    )


def _scale(plan: Plan, car: Car, reader: Reader) -> Scale:
    adjuster = car.adjusters[GEAR_PRESSURE_CAP]
    shown = [reader.pressure_value(kpa) for kpa in (adjuster.minimum, adjuster.maximum)]
    shown += [reader.pressure_value(rung.next_kpa) for rung in plan.rungs]
    room = _MARGIN * (max(shown) - min(shown))
    return scale_over((min(shown) - room, max(shown) + room), is_snug=True)


def _place_inside(scale: Scale, value: float) -> float:
    return scale.at(value) if scale.low <= value <= scale.high else math.nan


def _row_html(row: LadderRow, ladder: Ladder, reader: Reader, hatch: str) -> str:
    arrow = "" if not row.is_changed else ("↑" if row.is_raised else "↓")
    change = (
        # The arrow says the sign to the eye, the sign to the ear.
        f'<span class="ladder-change"><span class="unseen">{escape(row.change_text)}</span>'
        f'<span aria-hidden="true">{arrow} {escape(row.change_text[1:])}</span></span>'
        if row.is_changed
        else f'<span class="ladder-change ladder-same">{escape(reader.says("ladder.same"))}</span>'
    )
    return (
        f'<tr><th scope="row"><span class="unseen">{escape(reader.says("ladder.gear"))} </span>{row.gear}</th>'
        f'<td class="ladder-track"><span class="unseen">{escape(reader.says("ladder.was", value=row.last_text))}</span>'
        f"{_rung_svg(row, ladder, hatch)}</td>"
        f'<td class="ladder-value"><b>{escape(row.next_text)}</b>{change}</td>'
        f'<td class="ladder-held">{escape(row.held_by)}</td></tr>'
    )


def _rung_svg(row: LadderRow, ladder: Ladder, hatch: str) -> str:
    def at(place: float) -> str:
        return f"{place * 100:.2f}%"

    def span(start: float, end: float) -> str:
        return f'x="{at(start)}" width="{(end - start) * 100:.2f}%"'

    low, high = sorted((row.last, row.next))
    kind = "raise" if row.is_raised else "cut"
    parts = [
        f'<defs><pattern id="{hatch}" width="7" height="7" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(45)"><line class="hatch" y2="7"/></pattern></defs>',
        f'<rect class="closed" {span(row.guard, 1.0)} height="100%" fill="url(#{hatch})"/>',
        f'<line class="fence" x1="{at(row.guard)}" x2="{at(row.guard)}" y2="100%"/>',
        *(f'<line class="grid" x1="{at(place)}" x2="{at(place)}" y2="100%"/>' for place, _ in ladder.ticks),
        f'<rect class="held" {span(0.0, low)} y="32%" height="36%"/>',
        f'<rect class="{kind}" {span(low, high)} y="32%" height="36%"/>',
        f'<circle class="last" cx="{at(row.last)}" cy="50%" r="5"/>',
        f'<line class="next" x1="{at(row.next)}" x2="{at(row.next)}" y1="12%" y2="88%"/>',
    ]
    if not math.isnan(row.tyre):
        parts.append(
            f'<svg x="{at(row.tyre)}" overflow="visible"><path class="tyre" d="M-5 0H5L0 8Z"/></svg>'
            f'<line class="tyre-line" x1="{at(row.tyre)}" x2="{at(row.tyre)}" y1="8" y2="100%"/>'
        )
    return f'<svg class="rung" aria-hidden="true" focusable="false">{"".join(parts)}</svg>'


def _legend_html(ladder: Ladder, reader: Reader) -> str:
    marks = ["last", "next", "closed"] + (["tyre"] if ladder.has_tyre else [])
    items = "".join(f"<li>{_KEYS[mark]}{escape(reader.says(f'ladder.key_{mark}'))}</li>" for mark in marks)
    return f'<ul class="ladder-legend">{items}</ul>'
