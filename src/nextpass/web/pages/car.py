"""The car: its file as a form, what is assumed, what the passes say against it, and what can be set at the track."""

from functools import partial
from html import escape

from fastapi import Request
from nicegui import ui

from nextpass.car import doubts
from nextpass.errors import NotEnoughData
from nextpass.jobs import Desk, FormTable, ProgressReport, car_form, changed_file
from nextpass.measure import Estimate
from nextpass.web.parts.adjusters import adjusters_part, fuels_part
from nextpass.web.parts.car_form import FormState, table_part
from nextpass.web.parts.markup import button, put, sheet
from nextpass.web.parts.measured import measured_text
from nextpass.web.visit import Visit, add_car_page
from nextpass.web.waiting import answer_of, show_refusal, show_when_done
from nextpass.words import translated


def add_car(desk: Desk) -> None:
    """Register the page.

    Parameters
    ----------
    desk : Desk
        With the book open.
    """
    add_car_page(desk, "/file", "car", _content)


async def _content(visit: Visit, request: Request) -> None:
    reader = visit.reader()
    put(f"<h1>{escape(visit.car.name)}</h1><p>{escape(reader.says('car_page.hint'))}</p>", "title")
    if "saved" in request.query_params:
        put(f'<p class="message" role="status">{escape(reader.says("car_page.saved"))}</p>')
    _doubts(visit)
    state = FormState(assumed={item.key: item for item in visit.car.assumed})
    tables = car_form(visit.kept.file_text)
    _passes_say(visit, state)
    with ui.element("div").classes("masonry"):
        for table in tables:
            if table.name != "fuels":
                _table(visit, table, state)
        with sheet(reader.says("car_page.fuels")):
            fuels_part(visit, [table for table in tables if table.name == "fuels"], state)
    with sheet(reader.says("car_page.adjusters")):
        adjusters_part(visit)
    with sheet(reader.says("car_page.file")):
        _file(visit)
    _save_bar(visit, state)


def _doubts(visit: Visit) -> None:
    found = doubts(visit.car)
    if not found:
        return
    reader = visit.reader()
    lines = "".join(
        f"<li><b>{escape(doubt.key)}</b>: {escape(_said(visit, doubt.what))}; {escape(_said(visit, doubt.remedy))}</li>"
        for doubt in found
    )
    with sheet(reader.says("car_page.doubts")):
        put(f'<ul class="plain-list">{lines}</ul>')


def _said(visit: Visit, text: str) -> str:
    return translated(text, visit.view.language)


def _table(visit: Visit, table: FormTable, state: FormState) -> None:
    heading = visit.says(f"key_table.{table.name}")
    with sheet(f"{heading}: {table.own_name}" if table.own_name else heading):
        table_part(table, visit.reader(), state)


def _save_bar(visit: Visit, state: FormState) -> None:
    outcome = ui.element("div").props("aria-live=polite")

    async def save(_event: object) -> None:
        outcome.clear()
        answer = await answer_of(lambda: visit.desk.add_car(changed_file(visit.kept.file_text, state.changes)))
        if isinstance(answer, Exception):
            with outcome:
                show_refusal(answer, visit.reader())
            return
        ui.navigate.to(visit.path("/file?saved=yes"))

    bar = ui.element("div").classes("save-bar")
    state.on_change = partial(bar.classes, "is-wanted")
    with bar:
        button(visit.says("car_page.save"), save, "main")


def _file(visit: Visit) -> None:
    def download(_event: object) -> None:
        ui.download.content(visit.kept.file_text, "car.toml", "application/toml")

    put(
        f"<details><summary>{escape(visit.says('car_page.show_file'))}</summary>"
        f'<pre class="file-text">{escape(visit.kept.file_text)}</pre></details>'
    )
    with ui.element("div").classes("row"):
        button(visit.says("car_page.download"), download)


def _passes_say(visit: Visit, state: FormState) -> None:
    """Once the car is fitted, each figure of the form gets what the passes say beside it."""
    reader = visit.reader()

    def fitted(report: ProgressReport) -> dict[str, Estimate]:
        try:
            return dict(visit.desk.fitted(visit.kept, report).values)
        except NotEnoughData:
            return {}

    def show(values: dict[str, Estimate]) -> None:
        for path, place in state.places.items():
            value = values.get(path[-1])
            if value is not None:
                said = reader.says("car_page.passes_say", value=measured_text(value, reader))
                place.set_content(escape(said))

    show_when_done(visit.client, reader, fitted, show)
