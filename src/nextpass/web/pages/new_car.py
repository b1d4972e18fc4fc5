"""A new car: from a few answers, or from a car file that is there already."""

from collections.abc import Callable
from html import escape

from fastapi import Request
from nicegui import ui

from nextpass.errors import SettingError
from nextpass.files import CarAnswers, car_text, new_car
from nextpass.jobs import Desk, KeptCar
from nextpass.web.finding_cars import handle_of
from nextpass.web.frame import Here, car_path, frame
from nextpass.web.parts.inputs import choice_field, in_file_notation, in_readers_notation, text_field, typed_number
from nextpass.web.parts.markup import button, put, sheet
from nextpass.web.state import View
from nextpass.web.visit import view_of_request
from nextpass.web.waiting import answer_of, show_refusal
from nextpass.words import phrase

_UNITS = {
    "mass_kg": "kg",
    "displacement_l": "l",
    "torque_nm": "N m",
    "pressure_kpa": "kPa",
    "rev_limit_rpm": "rpm",
    "clutch_nm": "N m",
    "injector_cc_min": "cc/min",
    "pumps_l_h": "l/h",
}
_LISTS = ("gears", "pumps_l_h")
_TEXTS = ("name", "drive", "tyre_size")
# A car file has a few kilobytes; what is larger is another file.
_LARGEST_FILE = 200_000


def add_new_car(desk: Desk) -> None:
    """Register the page.

    Parameters
    ----------
    desk : Desk
        With the book open.
    """

    @ui.page("/new")
    async def page(request: Request) -> None:
        view = view_of_request(request)
        with frame(ui.context.client, view, Here(title=view.reader().says("new_car.title"))):
            _content(desk, view)


def _content(desk: Desk, view: View) -> None:
    reader = view.reader()
    put(f"<h1>{escape(reader.says('new_car.title'))}</h1><p>{escape(reader.says('new_car.hint'))}</p>", "title")
    texts: dict[str, str] = {}
    with ui.element("div").classes("columns"):
        with sheet(reader.says("new_car.title"), classes="two-thirds"):
            with ui.element("div").classes("key-fields"):
                for name in CarAnswers.__dataclass_fields__:
                    _field(name, texts, view)
            outcome = ui.element("div").props("aria-live=polite")

            async def make(_event: object) -> None:
                await _keep(outcome, view, lambda: desk.add_car(_file_of(texts)))

            with ui.element("div").classes("row"):
                button(reader.says("new_car.make"), make, "main")
        with sheet(reader.says("new_car.from_file"), classes="third"):
            _bring_file(desk, view)


def _field(name: str, texts: dict[str, str], view: View) -> None:
    reader = view.reader()
    usual = _usual_text(name)

    def changed(text: str) -> None:
        texts[name] = text

    label = reader.says(f"new_car.{name}")
    with ui.element("div").classes("key-field"):
        if name == "drive":
            axles = {axle: reader.says(f"new_car.{axle}") for axle in ("all", "rear", "front")}
            choice_field(label, axles, "all", changed)
            return
        box = text_field(label, "", changed, unit=_UNITS.get(name, ""), attributes="autocomplete=off")
        box.props["placeholder"] = usual if name in _TEXTS else in_readers_notation(usual, view.language)


def _usual_text(name: str) -> str:
    value = CarAnswers.__dataclass_fields__[name].default
    if isinstance(value, tuple):
        return ", ".join(str(item) for item in value)
    return "" if name == "name" else str(value)


def _file_of(texts: dict[str, str]) -> str:
    said = {name: text.strip() for name, text in texts.items() if text.strip()}
    if "name" not in said:
        raise SettingError(phrase("refusal.web.no_name"), remedy=phrase("refusal.web.write_one"))
    answers = CarAnswers(**{name: _value(name, text) for name, text in said.items()})  # type: ignore[arg-type]
    car, unsure = new_car(answers, said)
    return car_text(car, unsure)


def _value(name: str, text: str) -> object:
    if name in _TEXTS:
        return text
    if name == "fuels":
        return tuple(word.strip() for word in text.replace(";", ",").split(",") if word.strip())
    try:
        if name in _LISTS:
            return tuple(float(word) for word in in_file_notation(text, is_list=True).split(",") if word.strip())
        number = typed_number(text)
    except ValueError as error:
        raise SettingError(
            phrase("refusal.setting.text_no_number", text=text), remedy=phrase("refusal.common.write_number")
        ) from error
    return int(number) if name == "cylinders" else number


def _bring_file(desk: Desk, view: View) -> None:
    outcome = ui.element("div").props("aria-live=polite")
    put(
        f'<label class="drop"><span class="drop-title">car.toml</span>'
        f'<input type="file" accept=".toml" class="unseen" onchange="nextpass.readText(this, {_LARGEST_FILE})"></label>'
    )

    async def brought(event: object) -> None:
        text = str(getattr(event, "args", ""))
        await _keep(outcome, view, lambda: desk.add_car(text))

    ui.on("nextpass-file", brought)


async def _keep(outcome: ui.element, view: View, job: Callable[[], KeptCar]) -> None:
    outcome.clear()
    answer = await answer_of(job)
    if isinstance(answer, Exception):
        with outcome:
            show_refusal(answer, view.reader())
        return
    ui.navigate.to(car_path(handle_of(answer), "/file"))
