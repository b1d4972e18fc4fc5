"""Fuels and adjusters of a car: made, changed and taken out here, each written to the car file at once."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial
from html import escape

from nicegui import ui

from nextpass.car import MODELLED, Adjuster
from nextpass.errors import SettingError
from nextpass.jobs import FormTable, KeyPath, with_table, without_table
from nextpass.report import Reader
from nextpass.web.parts.car_form import FormState, table_part
from nextpass.web.parts.inputs import choice_field, text_field, typed_number
from nextpass.web.parts.markup import OnClick, button, put
from nextpass.web.visit import Visit
from nextpass.web.waiting import answer_of, show_refusal
from nextpass.words import phrase

_KINDS = ("number", "choice", "switch", "momentary")


@dataclass(slots=True, kw_only=True)
class _Wish:
    """An adjuster as it is being put in."""

    name: str = ""
    kind: str = "switch"
    texts: dict[str, str] = field(default_factory=dict)

    def values(self) -> dict[str, object]:
        if self.kind == "number":
            numbers: dict[str, object] = {name: _number(self.texts.get(name, "")) for name in ("min", "max", "step")}
            per_gear: dict[str, object] = {"per_gear": True} if self.texts.get("per_gear") == "yes" else {}
            return {"kind": "number", **numbers, **per_gear}
        if self.kind == "choice":
            words = [word.strip() for word in self.texts.get("values", "").split(",")]
            return {"kind": "choice", "values": [word for word in words if word]}
        return {"kind": self.kind}


def fuels_part(visit: Visit, tables: Sequence[FormTable], state: FormState) -> None:
    """Draw the fuels of a car.

    Parameters
    ----------
    visit : Visit
        Of the page.
    tables : sequence of FormTable
        One a fuel.
    state : FormState
        Takes what is changed.
    """
    for table in tables:
        with ui.element("div").classes("stack fuel"):
            with ui.element("div").classes("sheet-head"):
                put(f"<h3>{escape(table.own_name)}</h3>")
                if len(tables) > 1:
                    _remove_button(visit, ("fuels", table.own_name))
            table_part(table, visit.reader(), state)
    _new_fuel(visit)


def adjusters_part(visit: Visit) -> None:
    """Draw the adjusters of a car.

    Parameters
    ----------
    visit : Visit
        Of the page.
    """
    for adjuster in visit.car.adjusters.values():
        with ui.element("div").classes("adjuster"):
            put(_adjuster_html(adjuster, visit.reader()))
            with ui.element("details"):
                ui.html(escape(visit.says("car_page.change")), sanitize=False, tag="summary")
                _wish_form(visit, _wish_of(adjuster), is_new=False)
    with ui.element("details").classes("adjuster"):
        ui.html(escape(visit.says("car_page.add_adjuster")), sanitize=False, tag="summary")
        _wish_form(visit, _Wish(), is_new=True)


def _adjuster_html(adjuster: Adjuster, reader: Reader) -> str:
    kind = reader.says(f"car_page.{adjuster.kind}")
    if adjuster.kind == "number":
        unit = reader.adjuster_unit(adjuster.name)
        ends = [reader.adjuster_value(adjuster.name, end).value for end in (adjuster.minimum, adjuster.maximum)]
        kind = f"{ends[0]} – {ends[1]} {unit}".strip()
    if adjuster.kind == "choice":
        kind = ", ".join(adjuster.values)
    whose = reader.says("car_page.modelled" if adjuster.name in MODELLED else "car_page.own")
    return (
        f"<h3>{escape(reader.adjuster_name(adjuster.name))}</h3>"
        f'<span class="adjuster-range">{escape(kind)}</span> <span class="soft">{escape(whose)}</span>'
    )


def _wish_of(adjuster: Adjuster) -> _Wish:
    texts = {"values": ", ".join(adjuster.values), "per_gear": "yes" if adjuster.per_gear else "no"}
    if adjuster.kind == "number":
        texts |= {"min": f"{adjuster.minimum:g}", "max": f"{adjuster.maximum:g}", "step": f"{adjuster.step:g}"}
    return _Wish(name=adjuster.name, kind=adjuster.kind, texts=texts)


def _wish_form(visit: Visit, wish: _Wish, is_new: bool) -> None:
    reader = visit.reader()
    fields = ui.element("div").classes("fields")
    details = ui.element("div").classes("fields")

    def choose(kind: str) -> None:
        wish.kind = kind
        details.clear()
        with details:
            _kind_fields(wish, reader)

    with fields:
        if is_new:
            text_field(reader.says("car_page.name"), "", lambda text: setattr(wish, "name", text.strip()))
        kinds = {kind: reader.says(f"car_page.{kind}") for kind in _KINDS}
        choice_field(reader.says("car_page.kind"), kinds, wish.kind, choose)
    choose(wish.kind)
    outcome = ui.element("div").props("aria-live=polite")

    def keep() -> str:
        if not wish.name:
            raise SettingError(phrase("setup.empty"), remedy=phrase("car_page.name"))
        return with_table(visit.kept.file_text, ("adjusters", wish.name), wish.values())

    with ui.element("div").classes("row"):
        button(reader.says("car_page.add" if is_new else "car_page.change"), _writing(visit, keep, outcome))
        if not is_new and wish.name not in MODELLED:
            _remove_button(visit, ("adjusters", wish.name))


def _kind_fields(wish: _Wish, reader: Reader) -> None:
    def put_in(name: str) -> Callable[[str], None]:
        return lambda text: wish.texts.__setitem__(name, text)

    if wish.kind == "number":
        for name, label in (("min", "minimum"), ("max", "maximum"), ("step", "step")):
            text_field(
                reader.says(f"car_page.{label}"),
                wish.texts.get(name, ""),
                put_in(name),
                kind="number",
                attributes="step=any",
            )
        yes_no = {"no": reader.says("switch.off"), "yes": reader.says("switch.on")}
        choice_field(reader.says("car_page.per_gear"), yes_no, wish.texts.get("per_gear", "no"), put_in("per_gear"))
    if wish.kind == "choice":
        text_field(reader.says("car_page.values"), wish.texts.get("values", ""), put_in("values"))


def _new_fuel(visit: Visit) -> None:
    reader = visit.reader()
    texts = {"name": "", "ethanol_pct": "", "octane_ron": "", "manifold_pressure_max_kpa": ""}
    units = {"ethanol_pct": "%", "manifold_pressure_max_kpa": "kPa"}
    with ui.element("details"):
        ui.html(escape(reader.says("car_page.add_fuel")), sanitize=False, tag="summary")
        with ui.element("div").classes("fields"):
            for name in texts:
                label = reader.says("car_page.name" if name == "name" else f"key.fuels.{name}")
                text_field(label, "", partial(texts.__setitem__, name), unit=units.get(name, ""))
        outcome = ui.element("div").props("aria-live=polite")

        def keep() -> str:
            values = {name: _number(text) for name, text in texts.items() if name != "name"}
            made = with_table(visit.kept.file_text, ("fuels", texts["name"].strip()), values)
            fuel = visit.car.adjusters.get("fuel")
            if fuel is None:
                return made
            # A fuel that cannot be chosen at the track would be no use.
            choices = [*fuel.values, texts["name"].strip()]
            return with_table(made, ("adjusters", "fuel"), {"kind": "choice", "values": choices})

        with ui.element("div").classes("row"):
            button(reader.says("car_page.add"), _writing(visit, keep, outcome))


def _remove_button(visit: Visit, path: KeyPath) -> None:
    outcome = ui.element("div").props("aria-live=polite")

    def keep() -> str:
        text = without_table(visit.kept.file_text, path)
        fuel = visit.car.adjusters.get("fuel")
        if path[0] == "fuels" and fuel is not None:
            choices = [name for name in fuel.values if name != path[1]]
            text = with_table(text, ("adjusters", "fuel"), {"kind": "choice", "values": choices})
        return text

    button(visit.says("car_page.remove"), _writing(visit, keep, outcome), "plain")


def _writing(visit: Visit, keep: Callable[[], str], outcome: ui.element) -> OnClick:
    async def write(_event: object) -> None:
        outcome.clear()
        answer = await answer_of(lambda: visit.desk.add_car(keep()))
        if isinstance(answer, Exception):
            with outcome:
                show_refusal(answer, visit.reader())
            return
        ui.navigate.to(visit.path("/file?saved=yes"))

    return write


def _number(text: str) -> float:
    try:
        return typed_number(text)
    except ValueError as error:
        raise SettingError(
            phrase("refusal.setting.text_no_number", text=text), remedy=phrase("refusal.common.write_number")
        ) from error
