"""Workbench: the sums of the day before, each a page of its own with its work shown, and the tests made at rest."""

import asyncio
from html import escape

from fastapi import Request
from nicegui import ui

from nextpass.car import Car, PassRecord
from nextpass.errors import SettingError
from nextpass.jobs import SUMS, BenchField, Desk, gentle_setup, usual_given, worked_sum
from nextpass.report import Reader
from nextpass.web.parts.ask import ask_box, ask_choice, ask_html, ask_text
from nextpass.web.parts.guided import GUIDED, guided_part
from nextpass.web.parts.markup import put, sheet
from nextpass.web.parts.worked import worked_html
from nextpass.web.staging import Staging
from nextpass.web.visit import Visit, add_car_page
from nextpass.words import phrase, translated


def add_bench(desk: Desk, staging: Staging) -> None:
    """Register the page of every sum and test, and the one that leads to them.

    Parameters
    ----------
    desk : Desk
        With the book open.
    staging : Staging
        Where dropped logs wait.
    """

    async def test(visit: Visit, request: Request) -> None:
        kind = str(request.path_params["kind"])
        _title(visit, visit.says(f"bench.test.{kind}") if kind in GUIDED else visit.says("place.bench"))
        if kind not in GUIDED:
            raise SettingError(
                phrase("refusal.web.no_test", kind=kind), remedy=phrase("refusal.web.choose", names=", ".join(GUIDED))
            )
        guided_part(visit, staging, kind)

    add_car_page(desk, "/bench", "bench", _every)
    add_car_page(desk, "/bench/test/{kind}", "bench", test)
    add_car_page(desk, "/bench/{name}", "bench", _one)


async def _every(visit: Visit, _request: Request) -> None:
    put(f"<h1>{escape(visit.says('place.bench'))}</h1><p>{escape(visit.says('bench.hint'))}</p>", "title")
    with ui.element("div").classes("columns"):
        with sheet(visit.says("bench.sums"), visit.says("bench.sums_note"), "half"):
            put(_list_html(visit, [(f"/bench/{name}", f"bench.sum.{name}") for name in SUMS]))
        with sheet(visit.says("guided.title"), visit.says("bench.tests_note"), "half"):
            put(_list_html(visit, [(f"/bench/test/{kind}", f"bench.test.{kind}") for kind in GUIDED]))


def _list_html(visit: Visit, entries: list[tuple[str, str]]) -> str:
    items = "".join(
        f'<li><a href="{visit.path(path)}"><b>{escape(visit.says(key))}</b>'
        f"<span>{escape(visit.says(f'{key}_asks'))}</span></a></li>"
        for path, key in entries
    )
    return f'<ul class="ways">{items}</ul>'


def _title(visit: Visit, title: str) -> None:
    back = f'<a href="{visit.path("/bench")}">{escape(visit.says("bench.all"))}</a>'
    put(f"<h1>{escape(title)}</h1><p>{back}</p>", "title")


async def _one(visit: Visit, request: Request) -> None:
    name = str(request.path_params["name"])
    if name not in SUMS:
        raise SettingError(
            phrase("refusal.web.no_sum", name=name), remedy=phrase("refusal.web.choose", names=", ".join(SUMS))
        )
    _title(visit, visit.says(f"bench.sum.{name}"))
    record = await asyncio.to_thread(_newest, visit)
    reader = visit.reader() if record is None else visit.reader(record.conditions.pressure_kpa)
    fields = SUMS[name].fields
    given = {key: text for key, text in request.query_params.items() if key in {field.name for field in fields}}
    usual = usual_given(visit.car, record)
    with ui.element("div").classes("columns"):
        answer = ui.element("div").classes("wide stack-wide")
        if fields:
            with sheet(visit.says("bench.given"), classes="narrow"):
                shown = [_field_html(field, given, usual, visit.car, reader) for field in fields]
                put(ask_html(visit.path(f"/bench/{name}"), shown, visit.says("bench.work_out")))
    with answer:
        if given or all(field.name in usual or not field.is_needed for field in fields):
            _answer(visit, name, given or _shown_usual(fields, usual, reader), record, reader)
        else:
            put(f"<p>{escape(visit.says('bench.fill'))}</p>", "sheet")


def _newest(visit: Visit) -> PassRecord | None:
    passes = visit.desk.passes(visit.kept)
    return visit.desk.record(visit.kept, passes[-1]) if passes else None


def _answer(visit: Visit, name: str, given: dict[str, str], record: PassRecord | None, reader: Reader) -> None:
    said = {
        field.name: _in_unit(field, given[field.name], reader) for field in SUMS[name].fields if field.name in given
    }
    worked = worked_sum(visit.car, name, said, record)
    with sheet(translated(worked.title, reader.language)):
        put(worked_html(worked, reader), "stack")
    if name != "hand_over":
        return
    gentle = gentle_setup(visit.car, record)
    changed = [
        f"{reader.adjuster_name(one)}: {reader.adjuster_value(one, gentle.setup.values[one])}" for one in gentle.changed
    ]
    for key, lines in (("set", changed), ("before", gentle.before), ("after", gentle.after)):
        with sheet(reader.says(f"bench.hand_over_{key}")):
            items = "".join(f"<li>{escape(translated(line, reader.language))}</li>" for line in lines)
            put(f'<ul class="plain-list">{items}</ul>')


def _shown_usual(fields: tuple[BenchField, ...], usual: dict[str, float | str], reader: Reader) -> dict[str, str]:
    return {field.name: _out_of_unit(field, usual[field.name], reader) for field in fields if field.name in usual}


def _field_html(
    field: BenchField, given: dict[str, str], usual: dict[str, float | str], car: Car, reader: Reader
) -> str:
    label = reader.says(f"bench.field.{field.name}")
    if field.name in given:
        value = given[field.name]
    else:
        value = _out_of_unit(field, usual[field.name], reader) if field.name in usual and not given else ""
    if field.kind == "fuel":
        return ask_choice(label, field.name, {name: name for name in car.fuels}, value)
    if field.kind == "yes":
        return ask_box(field.name, "yes", label, bool(value))
    needed = "required" if field.is_needed else ""
    if field.kind == "text":
        return ask_text(label, field.name, value, kind="text", extra=f'maxlength="40" {needed}')
    return ask_text(label, field.name, value, unit=_unit(field, reader), extra=needed)


def _unit(field: BenchField, reader: Reader) -> str:
    if field.kind == "manifold_pressure":
        return reader.pressure_unit
    if field.kind == "tyre_pressure":
        return reader.says("unit.gauge", unit=reader.pressure_step_unit)
    return reader.unit_of(field.name)


def _in_unit(field: BenchField, text: str, reader: Reader) -> float | str:
    """What stands in a field in the unit of its name; what is no number is left to be refused."""
    text = text.strip()
    if field.kind in ("text", "fuel", "yes") or not text:
        return text
    text = text.replace(",", ".")
    try:
        value = float(text)
    except ValueError:
        return text
    if field.kind == "manifold_pressure":
        return reader.pressure_kpa(value)
    if field.kind == "tyre_pressure":
        return value / _per_kpa(reader)
    return value


def _out_of_unit(field: BenchField, value: float | str, reader: Reader) -> str:
    if isinstance(value, str):
        return value
    if field.kind == "manifold_pressure":
        return f"{reader.pressure_value(value):.4g}"
    if field.kind == "tyre_pressure":
        return f"{value * _per_kpa(reader):.4g}"
    return f"{value:.5g}"


def _per_kpa(reader: Reader) -> float:
    return reader.pressure_value(1.0) - reader.pressure_value(0.0)
