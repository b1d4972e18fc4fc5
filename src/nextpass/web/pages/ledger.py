"""Ledger: what launches cost, what drifts and when it meets its limit, what is due, what was learned and done."""

import asyncio
from collections.abc import Callable, Sequence
from html import escape

from fastapi import Request
from nicegui import ui

from nextpass.health import Drift, Due, LearnedChange, Ledger, Precondition
from nextpass.health.launches import DOUBLES_PER_K, HOT_FROM_C, LAUNCHES_AT_GUARD
from nextpass.jobs import Desk, ProgressReport, ledger_of_car
from nextpass.measure import Absent, Estimate
from nextpass.report import Reader, drift_text, learned_text, mark_svg, trend_html, trend_picture
from nextpass.web.parts.entries import entries_part
from nextpass.web.parts.launches import heat_html, launches_html
from nextpass.web.parts.markup import figure, figures, link, put, sheet
from nextpass.web.query import pass_namer
from nextpass.web.visit import Visit, add_car_page
from nextpass.web.waiting import show_when_done
from nextpass.words import NO_FIGURE, translated

Named = Callable[[str], str]


def add_ledger(desk: Desk) -> None:
    """Register the page.

    Parameters
    ----------
    desk : Desk
        With the book open.
    """
    add_car_page(desk, "/ledger", "ledger", _content)


async def _content(visit: Visit, _request: Request) -> None:
    put(f"<h1>{escape(visit.says('ledger.title'))}</h1><p>{escape(visit.says('ledger_page.hint'))}</p>", "title")
    passes = await asyncio.to_thread(visit.desk.passes, visit.kept)
    if not passes:
        put(f"<p>{escape(visit.says('passes.none'))}</p>", "sheet")
        return
    _ledger_place(visit)


def _ledger_place(visit: Visit) -> None:
    def job(report: ProgressReport) -> Ledger:
        return ledger_of_car(visit.desk, visit.kept, report=report)

    place = ui.element("div").classes("stack-wide")

    def again() -> None:
        place.clear()
        with place:
            show_when_done(visit.client, visit.reader(), job, draw)

    def draw(ledger: Ledger) -> None:
        _draw(visit, ledger, again)

    again()


def _draw(visit: Visit, ledger: Ledger, again: Callable[[], None]) -> None:
    reader, named = visit.reader(), pass_namer(visit)
    with ui.element("div").classes("columns"):
        with ui.element("div").classes("two-thirds stack-wide"):
            with sheet(reader.says("ledger.drifts_title")):
                _drifting(ledger, reader)
            with sheet(reader.says("ledger.clutch")):
                _clutch(visit, ledger, reader, named)
        with ui.element("div").classes("third stack-wide"):
            with sheet(reader.says("ledger.due")):
                put(_due_html(ledger, reader))
            with sheet(reader.says("ledger.limits")):
                put(_limits_html(ledger, reader, named))
            with sheet(reader.says("ledger.heat")):
                heat = "".join(heat_html(one, reader) for one in ledger.residency)
                put(heat or _none(reader.says("ledger.no_oil")), "stack")
            with sheet(reader.says("ledger.learned")):
                learned = "".join(_learned_html(one, reader) for one in ledger.learned)
                put(learned or _none(reader.says("ledger.no_learned")), "stack")
        with sheet(reader.says("ledger.steady_title")):
            rest = [trend for trend in ledger.trends if trend.drift is not Drift.DRIFTS]
            pictures = "".join(trend_html(trend_picture(one, reader)) for one in rest)
            put(f'<div class="trends">{pictures}</div>')
        with sheet(reader.says("entries.title"), reader.says("entries.hint")):
            entries_part(visit, again)
    put(
        link(reader.says("season.as_pdf"), f"{visit.api('/season.pdf')}{visit.query()}", attributes='target="_blank"')
        + link(reader.says("season.as_page"), f"{visit.api('/season.html')}{visit.query()}", attributes="download"),
        "row",
    )


def _none(said: str) -> str:
    return f"<p>{escape(said)}</p>"


def _drifting(ledger: Ledger, reader: Reader) -> None:
    found = [trend for trend in ledger.trends if trend.drift is Drift.DRIFTS]
    if not found:
        put(_none(reader.says("ledger.nothing_drifts", count=len(ledger.passes))))
        return
    drifts = "".join(
        f'<div class="drift"><p>{mark_svg("watch" if trend.is_wear else "note")} '
        f"{escape(drift_text(trend, reader))}</p>{trend_html(trend_picture(trend, reader))}</div>"
        for trend in found
    )
    put(f'<div class="trends">{drifts}</div>')


def _due_html(ledger: Ledger, reader: Reader) -> str:
    if not ledger.due:
        return _none(reader.says("ledger.nothing_due"))
    rows = "".join(_due_row(due, reader) for due in ledger.due)
    heads = "".join(
        f'<th scope="col"{kind}>{escape(reader.says(key))}</th>'
        for key, kind in (
            ("entries.item", ' class="left"'),
            ("ledger.launches_left", ""),
            ("ledger.days_left", ""),
        )
    )
    return f'<table class="table"><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>'


def _due_row(due: Due, reader: Reader) -> str:
    mark = f"{mark_svg('act')} <b>{escape(reader.says('ledger.is_due'))}</b> " if due.is_due else ""
    launches, days = (
        NO_FIGURE if left is None else f"<b>{reader.number(left)}</b>" for left in (due.launches_left, due.days_left)
    )
    since = reader.says("ledger.since", day=f"{due.since:%Y-%m-%d}")
    return (
        f'<tr><th scope="row" class="left">{mark}{escape(due.item)}<br><span class="soft small">{escape(since)}</span>'
        f"</th><td>{launches}</td><td>{days}</td></tr>"
    )


def _clutch(visit: Visit, ledger: Ledger, reader: Reader, named: Named) -> None:
    used = ledger.consumption
    if isinstance(used.energy_j, Estimate) and isinstance(used.life_share, Estimate):
        groups = [
            figure(
                reader.says("ledger.life_used"),
                reader.number(100.0 * used.life_share.value, 2),
                "%",
                f"±{reader.number(100.0 * used.life_share.plus_minus, 2)}",
                is_main=True,
            ),
            figure(reader.says("ledger.launches"), reader.number(used.launches)),
            figure(
                reader.says("ledger.all_heat"),
                reader.number(used.energy_j.value * 1e-6, 2),
                "MJ",
                f"±{reader.number(used.energy_j.plus_minus * 1e-6, 2)}",
            ),
        ]
        groups += [
            figure(reader.says(key), reader.number(100.0 * share.value, 2), "%", note)
            for key, share, note in (
                ("ledger.hardest_takes", used.hardest_share, named(used.hardest)),
                ("ledger.median_takes", used.median_share, ""),
            )
            if isinstance(share, Estimate)
        ]
        put(figures(groups))
    put(launches_html(ledger, visit.car.guards.clutch_energy_j, reader, named))
    model = reader.says(
        "ledger.model",
        launches=reader.number(LAUNCHES_AT_GUARD),
        doubles=reader.number(DOUBLES_PER_K),
        hot=reader.number(HOT_FROM_C),
    )
    put(f'<p class="sheet-note">{escape(model)}</p>')


def _limits_html(ledger: Ledger, reader: Reader, named: Named) -> str:
    if not ledger.limits_passed:
        return _none(reader.says("ledger.none_passed"))
    rows = "".join(
        f'<tr><th scope="row" class="left">{named(name)}</th>'
        f'<td class="left wrap">{mark_svg(limit.severity.value)} '
        f"{escape(reader.says(f'ledger.limit.{limit.code}'))}</td>"
        f'<td class="hide-small">{reader.number(limit.start_s, 2)} – {reader.number(limit.end_s, 2)} s</td></tr>'
        for name, limit in reversed(ledger.limits_passed)
    )
    return f'<table class="table"><tbody>{rows}</tbody></table>'


def _learned_html(change: LearnedChange, reader: Reader) -> str:
    names = list(dict.fromkeys((*change.before, *change.after)))
    rows = "".join(
        f'<tr><th scope="row" class="left">{escape(name.replace("_", " "))}</th>'
        f"<td>{_learned_value(change.before.get(name), reader)}</td>"
        f"<td><b>{_learned_value(change.after.get(name), reader)}</b></td></tr>"
        for name in names
    )
    heads = "".join(f'<th scope="col">{escape(reader.says(f"compare.{side}"))}</th>' for side in ("before", "after"))
    head = f"<thead><tr><th></th>{heads}</tr></thead>"
    table = f'<table class="table">{head}<tbody>{rows}</tbody></table>' if names else ""
    return f"<h3>{escape(change.item)}, {change.when:%Y-%m-%d}</h3>{table}{_needs_html(change.preconditions, reader)}"


def _learned_value(value: float | str | None, reader: Reader) -> str:
    return NO_FIGURE if value is None else escape(learned_text(value, reader))


def _needs_html(needs: Sequence[Precondition], reader: Reader) -> str:
    words = {True: "met", False: "not_met", None: "cannot_tell"}
    marks = {True: "note", False: "act", None: "watch"}
    items = []
    for need in needs:
        label, shown = reader.evidence(need.figure, need.found.value if isinstance(need.found, Estimate) else 0.0)
        found = translated(need.found.reason, reader.language) if isinstance(need.found, Absent) else shown
        state = escape(reader.says(f"ledger.need.{words[need.is_met]}"))
        items.append(f"<li>{mark_svg(marks[need.is_met])} {escape(label)}: <b>{state}</b> ({escape(found)})</li>")
    return f'<ul class="plain-list">{"".join(items)}</ul>' if items else ""
