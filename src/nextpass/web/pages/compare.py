"""Compare: did the last change help, or any other; with the air, the slope and the day's grip taken out."""

import asyncio
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from html import escape
from typing import Any

from fastapi import Request
from nicegui import ui

from nextpass.car import Setup
from nextpass.compare import Comparison, Gain
from nextpass.errors import SettingError
from nextpass.jobs import REVIEW, CompareAsked, Desk, KeptPass, compare_kept, last_change
from nextpass.measure import Absent
from nextpass.report import Reader, comparison_lines, gain_text, group_text, verdict_text
from nextpass.web.finding_cars import check_passes
from nextpass.web.parts.ask import ask_box, ask_choice, ask_html, ask_text
from nextpass.web.parts.intervals import clock_rows, gains_html, percent_text, stretch_rows
from nextpass.web.parts.markup import figure, figures, put, sheet
from nextpass.web.parts.passes import PassRow, clock_html, pass_row
from nextpass.web.query import numbers_in, pass_namer
from nextpass.web.visit import Visit, add_car_page
from nextpass.web.waiting import show_when_done
from nextpass.words import phrase, translated

# Passes that can be ticked; older ones are reached by their counts in the address.
_SHOWN_PASSES = 12
_NO_CHANGE = ""


def add_compare(desk: Desk) -> None:
    """Register the page.

    Parameters
    ----------
    desk : Desk
        With the book open.
    """
    add_car_page(desk, "/compare", "compare", _content)


async def _content(visit: Visit, request: Request) -> None:
    put(f"<h1>{escape(visit.says('compare.title'))}</h1><p>{escape(visit.says('compare_page.hint'))}</p>", "title")
    every = await asyncio.to_thread(visit.desk.passes, visit.kept)
    if len(every) < 2:
        put(f"<p>{escape(visit.says('compare_page.too_few'))}</p>", "sheet")
        return
    asked = _asked(request)
    if asked is None:
        asked = await asyncio.to_thread(last_change, visit.desk, visit.kept)
    check_passes(visit.desk, visit.kept, (*asked.passes, *asked.before, *asked.after))
    with ui.element("div").classes("columns"):
        answer = ui.element("div").classes("wide stack-wide")
        with ui.element("div").classes("narrow stack-wide"):
            await _which(visit, every[-_SHOWN_PASSES:], asked)
    with answer:
        if not asked.passes and not (asked.before and asked.after):
            put(f"<p>{escape(visit.says('compare_page.never_changed'))}</p>", "sheet")
            return
        job = partial(compare_kept, visit.desk, visit.kept, asked)
        show_when_done(visit.client, visit.reader(), job, lambda found: _draw(visit, found, asked.change))


def _asked(request: Request) -> CompareAsked | None:
    """What the address asks for; None where it asks for nothing."""
    before, after, passes = (numbers_in(request, name) for name in ("before", "after", "passes"))
    change = request.query_params.get("by") or None
    scatter = request.query_params.get("scatter", "").strip().replace(",", ".")
    if not (before or after or passes):
        return None
    try:
        known = float(scatter) if scatter else None
    except ValueError as error:
        raise SettingError(
            phrase("refusal.web.no_seconds", scatter=scatter), remedy=phrase("refusal.web.write_seconds")
        ) from error
    return CompareAsked(
        passes=() if before or after else passes,
        before=before,
        after=after,
        change=None if before or after else change,
        known_scatter_s=known,
    )


async def _which(visit: Visit, shown: Sequence[KeptPass], asked: CompareAsked) -> None:
    reader = visit.reader()
    answers = await asyncio.to_thread(visit.desk.answers, visit.kept, REVIEW)
    setups = await asyncio.to_thread(_setups, visit, shown)
    scatter = "" if asked.known_scatter_s is None else f"{asked.known_scatter_s:g}"
    with sheet(reader.says("compare_page.which")):
        known = ask_text(
            reader.says("compare_page.scatter"),
            "scatter",
            scatter,
            unit="s",
            note=reader.says("compare_page.scatter_note"),
            extra='min="0.002" max="1"',
        )
        table = _table_html(visit, shown, answers, setups, asked)
        folded = f"<details><summary>{escape(reader.says('compare_page.more'))}</summary>{known}</details>"
        put(ask_html(visit.path("/compare"), [table, folded], reader.says("compare_page.compare")))
    changed = [
        name for name in visit.car.adjusters if len({str(setup.values.get(name)) for setup in setups.values()}) > 1
    ]
    if changed:
        with sheet(reader.says("compare_page.by_setting"), reader.says("compare_page.by_setting_note")):
            options = {name: reader.adjuster_name(name) for name in changed}
            choice = ask_choice(reader.says("compare_page.setting"), "by", options, asked.change or _NO_CHANGE)
            counts = ",".join(str(one.sequence) for one in shown)
            hidden = f'<input type="hidden" name="passes" value="{counts}">'
            put(ask_html(visit.path("/compare"), [choice, hidden], reader.says("compare_page.compare")))


def _setups(visit: Visit, shown: Sequence[KeptPass]) -> dict[int, Setup]:
    return {one.sequence: visit.desk.record(visit.kept, one).setup for one in shown}


def _table_html(
    visit: Visit,
    shown: Sequence[KeptPass],
    answers: Mapping[str, Mapping[str, Any]],
    setups: Mapping[int, Setup],
    asked: CompareAsked,
) -> str:
    reader = visit.reader()
    words = {side: reader.says(f"compare.{side}") for side in ("before", "after")}
    rows, earlier = [], None
    for one in shown:
        row = pass_row(one, answers.get(one.id), visit.path(f"/pass/{one.sequence}"), reader)
        title = reader.says("pass.title", number=row.name)
        boxes = "".join(
            f"<td>{ask_box(side, str(one.sequence), f'{word}, {title}', one.sequence in ticked, False)}</td>"
            for (side, word), ticked in zip(words.items(), (asked.before, asked.after), strict=True)
        )
        setup = setups[one.sequence]
        rows.append(f"<tr>{_pass_html(row, _changes(earlier, setup, reader), reader)}{boxes}</tr>")
        earlier = setup
    heads = "".join(f'<th scope="col">{escape(word)}</th>' for word in words.values())
    return (
        f'<table class="table"><thead><tr><th scope="col" class="left">{escape(reader.says("passes.pass"))}</th>'
        f'<th scope="col">{escape(reader.says("clock.et_s"))} s</th>{heads}</tr></thead>'
        f"<tbody>{''.join(reversed(rows))}</tbody></table>"
    )


def _pass_html(row: PassRow, changes: str, reader: Reader) -> str:
    name = escape(reader.says("pass.title", number=row.name))
    return (
        f'<th scope="row" class="left"><a href="{escape(row.address)}">{name}</a>'
        f'<br><span class="soft small">{escape(changes)}</span></th><td>{clock_html(row.et)}</td>'
    )


def _changes(earlier: Setup | None, setup: Setup, reader: Reader) -> str:
    """What was set otherwise than for the pass before."""
    if earlier is None:
        return ""
    names = [name for name, value in setup.values.items() if earlier.values.get(name) != value]
    return ", ".join(reader.adjuster_name(name) for name in names) or reader.says("compare_page.same")


def _draw(visit: Visit, comparisons: Sequence[Comparison], change: str | None) -> None:
    with ui.element("div").classes("stack-wide"):
        for one in comparisons:
            _comparison(visit, one, change)


def _comparison(visit: Visit, one: Comparison, change: str | None) -> None:
    reader = visit.reader(one.reference.pressure_kpa)
    named = pass_namer(visit)
    first, second = (group_text(group, change, reader) for group in (one.first, one.second))
    with sheet(verdict_text(one, reader), reader.says("compare.head", second=second, first=first), "now verdict"):
        if isinstance(one.decisive, Gain):
            put(figures(_figures(one, one.decisive, reader)))
        put("".join(f"<p>{escape(line)}</p>" for line in comparison_lines(one, reader)), "stack")
    with sheet(reader.says("compare.where"), reader.says("compare_page.intervals")):
        put(gains_html(stretch_rows(one.stretches, reader, by_gear=True), reader.says("compare_page.gear"), reader))
        put(gains_html(stretch_rows(one.stretches, reader, by_gear=False), reader.says("compare_page.strip"), reader))
    with sheet(reader.says("compare_page.clocks")):
        put(gains_html(clock_rows(one, reader), reader.says("compare_page.clock"), reader))
    with sheet(reader.says("compare.passes")):
        put(_passes_html(one, {one.first.label: first, one.second.label: second}, reader, named))
    if one.confounding:
        with sheet(reader.says("compare.doubts")):
            lines = "".join(f"<li>{escape(_named(visit, line, reader))}</li>" for line in one.confounding)
            put(f'<ul class="plain-list">{lines}</ul>')


def _named(visit: Visit, line: str, reader: Reader) -> str:
    """A sentence with the names of adjusters as people say them."""
    said = translated(line, reader.language)
    for name in visit.car.adjusters:
        said = said.replace(name, reader.adjuster_name(name))
    return said


def _figures(one: Comparison, gain: Gain, reader: Reader) -> list[str]:
    value, spread, unit = gain_text(gain, one.deciding, reader).split(" ", 2)
    found = [
        figure(
            reader.says("compare_page.gained_on", clock=reader.says(f"clock.{one.deciding}")),
            value,
            unit,
            spread,
            is_main=True,
        ),
        figure(reader.says("compare.likely"), percent_text(gain.probability, reader), "%"),
        figure(reader.says("compare.passes"), f"{gain.first_count} · {gain.second_count}"),
    ]
    trap = one.clocks.get("trap_mps")
    if isinstance(trap, Gain):
        value, spread, unit = gain_text(trap, "trap_mps", reader).split(" ", 2)
        found.append(figure(reader.says("clock.trap_mps"), value, unit, spread))
    return found


def _passes_html(one: Comparison, labels: Mapping[str, str], reader: Reader, named: Callable[[str], str]) -> str:
    def shown(measured: object) -> str:
        if isinstance(measured, Absent):
            return f'<span class="soft">{escape(translated(measured.reason, reader.language))}</span>'
        return f"<b>{escape(str(reader.clock(one.deciding, measured).value))}</b>"  # type: ignore[arg-type]

    rows = "".join(
        f'<tr><th scope="row" class="left">{named(compared.name)}</th>'
        f'<td class="left hide-small">{escape(labels.get(compared.group, compared.group))}</td>'
        f"<td>{shown(compared.measured)}</td><td>{_day(compared.day, reader)}</td></tr>"
        for compared in one.passes
    )
    heads = (
        f'<th scope="col" class="left">{escape(reader.says("passes.pass"))}</th>'
        f'<th scope="col" class="left hide-small">{escape(reader.says("compare_page.group"))}</th>'
        f'<th scope="col">{escape(reader.says(f"clock.{one.deciding}"))} s</th>'
        f'<th scope="col">{escape(reader.says("compare_page.day"))} s</th>'
    )
    return f'<table class="table"><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>'


def _day(measured: object, reader: Reader) -> str:
    if isinstance(measured, Absent):
        return f'<span class="soft">{escape(translated(measured.reason, reader.language))}</span>'
    value, spread = measured.value, measured.plus_minus  # type: ignore[attr-defined]
    return f'<b>{reader.signed(value, 3)}</b> <span class="soft">±{reader.number(spread, 3)}</span>'
