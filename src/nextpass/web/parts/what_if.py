"""What if: sliders for every number and choice of a setup, each answered by a forecast of that setup."""

import asyncio
from collections.abc import Callable, Coroutine
from dataclasses import dataclass, field
from functools import partial
from html import escape

from nicegui import ui

from nextpass.car import Adjuster, AdjusterValue, Setup
from nextpass.plan import Forecast, GuardMargin, Plan
from nextpass.report import Reader
from nextpass.web.parts.forecast import clock_figures, et_figure
from nextpass.web.parts.guards import guards_html
from nextpass.web.parts.inputs import choice_field, text_field
from nextpass.web.parts.markup import figure, figures, put
from nextpass.web.visit import Visit
from nextpass.web.waiting import answer_of, show_refusal

# Guards shown beside the sliders: the nearest ones.
_GUARDS_SHOWN = 4


# Name of the adjuster, gear counted from 0 or None, and its new value.
Changed = Callable[[str, int | None, AdjusterValue], None]
Ask = Callable[[], Coroutine[None, None, None]]


@dataclass(slots=True)
class Trial:
    """The setup that the sliders stand at, and whether a forecast of it is being made."""

    setup: Setup
    is_busy: bool = False
    is_stale: bool = False
    shown: dict[tuple[str, int], ui.html] = field(default_factory=dict)


def what_if_part(visit: Visit, plan: Plan, reader: Reader) -> None:
    """Draw the sliders and the forecast beside them.

    Parameters
    ----------
    visit : Visit
        Of the page.
    plan : Plan
        Whose setup the sliders start at.
    reader : Reader
        Language and units.
    """
    trial = Trial(setup=plan.setup)
    with ui.element("div").classes("what-if-place"):
        sliders = ui.element("div").classes("what-if")
        # On a phone it stays in sight while a slider further down is moved.
        answer = put(_answer_html(plan.forecast, plan, reader), "stack what-if-answer").props("aria-live=polite")
        with ui.element("div").classes("stack what-if-guards"):
            guards = put(guards_html(_nearest(plan.forecast), reader))
            refusal = ui.element("div")

    async def ask() -> None:
        # While one forecast is made, only the newest wish of those that came meanwhile is worth asking for.
        trial.is_stale = True
        if trial.is_busy:
            return
        trial.is_busy = True
        try:
            while trial.is_stale:
                trial.is_stale = False
                made = await answer_of(partial(visit.desk.what_if, visit.kept, trial.setup, plan.conditions))
                refusal.clear()
                if isinstance(made, Exception):
                    with refusal:
                        show_refusal(made, reader)
                else:
                    answer.set_content(_answer_html(made, plan, reader))
                    guards.set_content(guards_html(_nearest(made), reader))
        finally:
            trial.is_busy = False

    with sliders:
        _sliders(visit, trial, plan, reader, ask)


def _sliders(visit: Visit, trial: Trial, plan: Plan, reader: Reader, ask: Ask) -> None:
    def changed(name: str, gear: int | None, value: AdjusterValue) -> None:
        if gear is not None:
            values = trial.setup.values[name]
            assert isinstance(values, tuple)
            assert isinstance(value, float)
            trial.setup = trial.setup.with_values(**{name: (*values[:gear], value, *values[gear + 1 :])})
        else:
            trial.setup = trial.setup.with_values(**{name: value})
        shown = trial.shown.get((name, gear or 0))
        if shown is not None:
            shown.set_content(_value_html(name, value, reader))
        asyncio.get_running_loop().create_task(ask())

    for adjuster in visit.car.adjusters.values():
        value = plan.setup.values.get(adjuster.name)
        if value is None or adjuster.kind == "momentary":
            continue
        if isinstance(value, tuple):
            for gear, cap in enumerate(value):
                label = reader.says("gear.nth", gear=gear + 1)
                _slider(trial, adjuster, label, cap, gear, reader, changed)
        elif adjuster.kind == "number":
            _slider(trial, adjuster, reader.adjuster_name(adjuster.name), float(value), None, reader, changed)
        else:
            _choice(adjuster, value, reader, changed)


def _slider(
    trial: Trial, adjuster: Adjuster, label: str, value: float, gear: int | None, reader: Reader, changed: Changed
) -> None:
    def moved(text: str) -> None:
        changed(adjuster.name, gear, adjuster.on_step(float(text)))

    with ui.element("div").classes("slider"):
        text_field(
            label,
            f"{value:g}",
            moved,
            kind="range",
            attributes=f"min={adjuster.minimum:g} max={adjuster.maximum:g} step={adjuster.step:g}",
            is_live=True,
        )
        trial.shown[adjuster.name, gear or 0] = put(_value_html(adjuster.name, value, reader), "slider-value")


def _choice(adjuster: Adjuster, value: AdjusterValue, reader: Reader, changed: Changed) -> None:
    if adjuster.kind == "switch":
        options = {"on": reader.says("switch.on"), "off": reader.says("switch.off")}
        start = "on" if value is True else "off"
    else:
        options = {name: name for name in adjuster.values}
        start = str(value)

    def chosen(answer: str) -> None:
        changed(adjuster.name, None, answer == "on" if adjuster.kind == "switch" else answer)

    with ui.element("div").classes("slider"):
        choice_field(reader.adjuster_name(adjuster.name), options, start, chosen)


def _value_html(name: str, value: AdjusterValue, reader: Reader) -> str:
    shown = reader.adjuster_value(name, value)
    return f"<b>{escape(shown.value)}</b> <span class='soft'>{escape(shown.unit)}</span>"


def _answer_html(forecast: Forecast, plan: Plan, reader: Reader) -> str:
    against = reader.signed(forecast.et_s.median - plan.forecast.et_s.median, 2)
    groups = [
        et_figure(forecast, reader.says("clock.et_s"), reader),
        figure(reader.says("whatif.against"), against, "s"),
        *clock_figures(forecast, reader),
    ]
    return figures(groups)


def _nearest(forecast: Forecast) -> list[GuardMargin]:
    return sorted(forecast.guards, key=lambda guard: (guard.ok, -guard.worst / guard.limit if guard.limit else 0.0))[
        :_GUARDS_SHOWN
    ]
