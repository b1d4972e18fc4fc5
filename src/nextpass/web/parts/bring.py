"""The place where logs are dropped: several at once, with progress, the driver's word, and the questions they raise."""

import asyncio
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial
from html import escape

from nicegui import ui

from nextpass.car import Conditions, Setup
from nextpass.jobs import Brought, keep_brought, look_at, usual_start
from nextpass.log import Match
from nextpass.report import Reader
from nextpass.web.parts.inputs import choice_field, text_field
from nextpass.web.parts.markup import button, put
from nextpass.web.parts.setup_form import ConditionsFields, SetupFields, conditions_form, setup_form
from nextpass.web.staging import Staged, Staging
from nextpass.web.visit import Visit
from nextpass.web.waiting import answer_of, show_refusal

_LEAVE_OUT = "-"


@dataclass(slots=True, kw_only=True)
class _Form:
    """What the driver says of one dropped log."""

    staged: Staged
    setup: SetupFields
    conditions: ConditionsFields
    number: str
    started: str
    notes: str = ""
    answers: dict[str, str] = field(default_factory=dict)

    def brought(self) -> Brought:
        return Brought(
            log=self.staged.path,
            name=self.staged.name,
            setup=self.setup.setup(),
            conditions=self.conditions.conditions(),
            number=int(self.number) if self.number.strip().isdecimal() else None,
            started=datetime.fromisoformat(self.started) if self.started else None,
            notes=self.notes,
            answers=self.answers,
        )


def bring_part(visit: Visit, staging: Staging) -> None:
    """Draw the place where logs are dropped.

    Parameters
    ----------
    visit : Visit
        Of the page.
    staging : Staging
        Where dropped logs wait.
    """
    reader = visit.reader()
    address = f"/api/cars/{visit.path().removeprefix('/car/')}/logs"
    put(
        f'<label class="drop"><span class="drop-title">{escape(reader.says("bring.title"))}</span>'
        f'<span class="soft">{escape(reader.says("bring.kinds"))}</span>'
        f'<input type="file" multiple class="unseen" data-address="{escape(address)}" onchange="nextpass.drop(this)">'
        '</label><div class="drop-progress" aria-live="polite"></div>'
    )
    forms = ui.element("div").classes("stack")

    async def dropped(event: object) -> None:
        heard = getattr(event, "args", {})
        staged = staging.get(str(heard["dropped"]))
        start = await asyncio.to_thread(usual_start, visit.desk, visit.kept)
        passes = await asyncio.to_thread(visit.desk.passes, visit.kept)
        number = max([one.number or one.sequence for one in passes], default=0) + 1 + len(forms.default_slot.children)
        with forms:
            _form(visit, staging, staged, start, str(number), str(heard.get("started", "")))

    ui.on("nextpass-dropped", dropped)


def _form(
    visit: Visit,
    staging: Staging,
    staged: Staged,
    start: tuple[Setup, Conditions] | None,
    number: str,
    started: str,
) -> None:
    conditions = None if start is None else start[1]
    reader = visit.reader() if conditions is None else visit.reader(conditions.pressure_kpa)
    with ui.element("form").classes("dropped").on("submit.prevent", lambda: None):
        put(f"<h3>{escape(staged.name)}</h3>")
        with ui.element("div").classes("fields"):
            form_number = text_field(
                reader.says("bring.number"), number, lambda text: _set("number", text), kind="number"
            )
            form_number.classes("short")
            text_field(reader.says("bring.started"), started, lambda text: _set("started", text), kind="datetime-local")
        put(f"<h4>{escape(reader.says('bring.conditions'))}</h4>")
        conditions_fields = conditions_form(reader, conditions)
        with ui.element("details") as details:
            ui.html(
                escape(reader.says("bring.setup" if start else "bring.setup_needed")), sanitize=False, tag="summary"
            )
            setup_fields = setup_form(visit.car, reader, None if start is None else start[0])
        if start is None:
            details.props("open")
        text_field(reader.says("bring.notes"), "", lambda text: _set("notes", text))
        form = _Form(staged=staged, setup=setup_fields, conditions=conditions_fields, number=number, started=started)
        questions = ui.element("div").classes("stack")
        outcome = ui.element("div").props("aria-live=polite")
        _buttons(visit, staging, form, questions, outcome)

    def _set(name: str, text: str) -> None:
        setattr(form, name, text)


def _buttons(visit: Visit, staging: Staging, form: _Form, questions: ui.element, outcome: ui.element) -> None:
    reader = visit.reader()
    asked: set[str] = set()

    async def keep(_event: object) -> None:
        outcome.clear()
        log = await answer_of(lambda: look_at(visit.desk, visit.kept, form.brought()))
        if isinstance(log, Exception):
            _show_in(outcome, lambda: show_refusal(log, reader))
            return
        fresh = [match for match in log.questions if match.column not in asked]
        if fresh:
            asked.update(match.column for match in fresh)
            _show_in(questions, lambda: _questions(fresh, form, reader), is_fresh=False)
            return
        kept = await answer_of(lambda: keep_brought(visit.desk, visit.kept, form.brought()))
        if isinstance(kept, Exception):
            _show_in(outcome, lambda: show_refusal(kept, reader))
            return
        staging.leave(form.staged.token)
        ui.navigate.to(visit.path(f"/pass/{kept.sequence}"))

    with ui.element("div").classes("row"):
        button(reader.says("bring.keep"), keep, "main")


def _questions(matches: list[Match], form: _Form, reader: Reader) -> None:
    put(f"<h4>{escape(reader.says('bring.questions'))}</h4><p>{escape(reader.says('bring.questions_why'))}</p>")
    for match in matches:
        options = {choice: choice.replace("_", " ").replace(":", ": ") for choice in match.choices}
        options[_LEAVE_OUT] = reader.says("bring.leave_out")
        form.answers[match.column] = _LEAVE_OUT
        choice_field(
            f"{match.column}: {match.question}",
            {**{_LEAVE_OUT: options.pop(_LEAVE_OUT)}, **options},
            _LEAVE_OUT,
            partial(form.answers.__setitem__, match.column),
        )


def _show_in(place: ui.element, draw: Callable[[], None], is_fresh: bool = True) -> None:
    if is_fresh:
        place.clear()
    with place:
        draw()
