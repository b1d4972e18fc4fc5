"""Traces: any channels in stacked panels over time or distance, and a second pass laid over the first at the launch."""

import asyncio
from collections.abc import Awaitable, Callable
from html import escape

from fastapi import Request
from nicegui import ui
from nicegui.events import GenericEventArguments

from nextpass.jobs import Along, Desk
from nextpass.report import Reader, channel_label, pass_title
from nextpass.review import ReviewedPass
from nextpass.web.finding_cars import pass_of
from nextpass.web.pages.one_pass import CHOSEN_CHANNELS, chosen_channels, traced
from nextpass.web.parts.inputs import choice_field
from nextpass.web.parts.markup import button, put
from nextpass.web.parts.traces import TracedPass, Traces, trace_config
from nextpass.web.visit import Visit, add_car_page

_NONE = "0"


def add_traces(desk: Desk) -> None:
    """Register the page.

    Parameters
    ----------
    desk : Desk
        With the book open.
    """
    add_car_page(desk, "/pass/{sequence:int}/traces", "passes", _content)


async def _content(visit: Visit, request: Request) -> None:
    sequence = int(request.path_params["sequence"])
    reviewed = await _reviewed(visit, sequence)
    reader = visit.reader(reviewed.record.conditions.pressure_kpa)
    along: Along = "distance" if request.query_params.get("along") == "distance" else "time"
    other = request.query_params.get("with", _NONE)
    passes = [traced(visit, reviewed, sequence)]
    if other.isdecimal() and int(other) not in (0, sequence):
        passes.append(traced(visit, await _reviewed(visit, int(other)), int(other)))
    names = chosen_channels(visit, reviewed)
    place = visit.path(f"/pass/{sequence}")
    put(
        f"<h1>{escape(reader.says('traces.title', name=pass_title(reviewed.record, reader)))}</h1>"
        f'<p><a href="{place}">{escape(reader.says("traces.to_pass"))}</a></p>',
        "title",
    )
    with ui.element("section").classes("sheet"):
        bar = ui.element("div").classes("fields")
        traces = Traces(trace_config(passes, names, reader, along, _window(request)))
        with bar:
            named = [pass_title(one.reviewed.record, reader) for one in passes]
            _bar(visit, traces, sequence, along, other, named)
        put(f'<p class="sheet-note">{escape(reader.says("traces.keys"))}</p>')
        _chooser(visit, traces, passes, names, reader, along)


async def _reviewed(visit: Visit, sequence: int) -> ReviewedPass:
    kept_pass = await asyncio.to_thread(pass_of, visit.desk, visit.kept, sequence)
    return await asyncio.to_thread(visit.desk.reviewed, visit.kept, kept_pass)


def _window(request: Request) -> tuple[float, float] | None:
    try:
        low, high = float(request.query_params["from"]), float(request.query_params["to"])
    except (KeyError, ValueError):
        return None
    return (low, high) if high > low else None


def _key_html(named: list[str]) -> str:
    lines = (
        '<path d="M0 3H36" stroke="var(--ink)" stroke-width="2"/>',
        '<path d="M0 3H36" stroke="var(--other)" stroke-width="2" stroke-dasharray="6 3"/>',
    )
    return "".join(
        f'<span><svg viewBox="0 0 36 6" aria-hidden="true">{line}</svg>{escape(name)}</span>'
        for line, name in zip(lines, named, strict=False)
    )


def _bar(visit: Visit, traces: Traces, sequence: int, along: Along, other: str, named: list[str]) -> None:
    place = visit.path(f"/pass/{sequence}/traces")

    def go(new_along: str, new_other: str) -> None:
        ui.navigate.to(f"{place}?along={new_along}&with={new_other}")

    choice_field(
        visit.says("traces.along"),
        {name: visit.says(f"traces.{name}") for name in ("time", "distance")},
        along,
        lambda answer: go(answer, other),
    )
    others = {_NONE: visit.says("traces.nothing")}
    for one in reversed(visit.desk.passes(visit.kept)):
        if one.sequence != sequence:
            others[str(one.sequence)] = visit.says("pass.title", number=one.number or one.sequence)
    choice_field(visit.says("traces.with"), others, other, lambda answer: go(along, answer))
    if len(named) > 1:
        put(_key_html(named), "traces-key")
    with ui.element("div").classes("row traces-buttons"):
        button(visit.says("traces.closer"), lambda _event: traces.zoom(0.5))
        button(visit.says("traces.wider"), lambda _event: traces.zoom(2.0))
        button(visit.says("traces.whole"), lambda _event: traces.whole())


def _chooser(
    visit: Visit, traces: Traces, passes: list[TracedPass], names: list[str], reader: Reader, along: Along
) -> None:
    log = passes[0].reviewed.log
    chosen = list(names)

    async def changed(name: str, is_on: bool) -> None:
        if is_on:
            chosen.append(name)
        elif name in chosen:
            chosen.remove(name)
        await asyncio.to_thread(visit.desk.remember, visit.kept, CHOSEN_CHANNELS, list(chosen))
        traces.show(trace_config(passes, chosen, reader, along))

    with ui.element("details").classes("chooser-place"):
        count = len(log.channels) + len(log.unmatched)
        ui.html(escape(reader.says("traces.channels", count=count)), sanitize=False, tag="summary")
        with ui.element("div").classes("chooser"):
            for name in (*log.channels, *log.unmatched):
                label = channel_label(name, reader) if name in log.channels else name
                _check(name, label, name in chosen, changed)


def _check(name: str, label: str, is_on: bool, changed: Callable[[str, bool], Awaitable[None]]) -> None:
    with ui.element("label"):
        box = ui.element("input").props("type=checkbox")
        if is_on:
            box.props["checked"] = True
        ui.html(escape(label), sanitize=False, tag="span")

    async def heard(event: GenericEventArguments) -> None:
        await changed(name, bool(event.args))

    box.on("change", heard, js_handler="(event) => emit(event.target.checked)")
