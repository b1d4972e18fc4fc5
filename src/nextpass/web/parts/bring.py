"""The place where logs are dropped: several at once, with progress, and what is asked before each becomes a pass."""

import asyncio
from dataclasses import dataclass
from html import escape

from nicegui import ui
from nicegui.events import GenericEventArguments

from nextpass.jobs import KeptPass, keep_brought, look_at, usual_start
from nextpass.web.parts.markup import button, link, put
from nextpass.web.parts.pass_form import PassForm, pass_form
from nextpass.web.staging import Staged, Staging
from nextpass.web.visit import Visit
from nextpass.web.waiting import answer_of, show_refusal


@dataclass(slots=True, kw_only=True)
class _Arrivals:
    """How many of the logs that came in on this page still wait."""

    waiting: int = 0


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
    put(
        f'<label class="drop"><span class="drop-title">{escape(reader.says("bring.title"))}</span>'
        f'<span class="soft">{escape(reader.says("bring.kinds"))}</span>'
        f'<input type="file" multiple class="unseen" data-address="{escape(visit.api("/logs"))}" '
        'onchange="nextpass.drop(this)"></label><div class="drop-progress" aria-live="polite"></div>'
    )
    forms = ui.element("div").classes("stack")
    arrivals = _Arrivals()

    async def dropped(event: GenericEventArguments) -> None:
        arrivals.waiting += 1
        place = arrivals.waiting
        # The card takes its place before anything is waited for: logs stand in the order in which they were dropped.
        with forms:
            card = ui.element("form").classes("dropped").on("submit.prevent", lambda: None)
        start = await asyncio.to_thread(usual_start, visit.desk, visit.kept)
        passes = await asyncio.to_thread(visit.desk.passes, visit.kept)
        number = max([one.number or one.sequence for one in passes], default=0) + place
        staged = staging.get(str(event.args["dropped"]))
        day = visit.reader() if start is None else visit.reader(start[1].pressure_kpa)
        with card:
            form = pass_form(visit.car, day, staged, start, number, str(event.args.get("started", "")))
            _keep_part(visit, staging, form, card, arrivals)

    ui.on("nextpass-dropped", dropped)


def _keep_part(visit: Visit, staging: Staging, form: PassForm, card: ui.element, arrivals: _Arrivals) -> None:
    questions = ui.element("div").classes("stack")
    outcome = ui.element("div").props("aria-live=polite")
    asked: set[str] = set()

    async def keep(_event: GenericEventArguments) -> None:
        outcome.clear()
        log = await answer_of(lambda: look_at(visit.desk, visit.kept, form.brought()))
        if isinstance(log, Exception):
            with outcome:
                show_refusal(log, visit.reader(), form.staged.name)
            return
        fresh = [match for match in log.questions if match.column not in asked]
        if fresh:
            asked.update(match.column for match in fresh)
            with questions:
                form.ask(fresh)
            return
        kept = await answer_of(lambda: keep_brought(visit.desk, visit.kept, form.brought()))
        if isinstance(kept, Exception):
            with outcome:
                show_refusal(kept, visit.reader(), form.staged.name)
            return
        _leave(visit, staging, form.staged, kept, card, arrivals)

    def leave(_event: GenericEventArguments) -> None:
        staging.leave(form.staged.token)
        arrivals.waiting -= 1
        card.delete()

    with ui.element("div").classes("row"):
        button(visit.says("bring.keep"), keep, "main")
        button(visit.says("bring.leave"), leave, "plain")


def _leave(
    visit: Visit, staging: Staging, staged: Staged, kept: KeptPass, card: ui.element, arrivals: _Arrivals
) -> None:
    staging.leave(staged.token)
    arrivals.waiting -= 1
    address = visit.path(f"/pass/{kept.sequence}")
    if arrivals.waiting == 0:
        ui.navigate.to(address)
        return
    # Others still wait on this page: it stays.
    card.clear()
    with card:
        name = visit.says("pass.title", number=kept.number or kept.sequence)
        put(f'<p role="status">{escape(visit.says("bring.kept", name=staged.name))}</p>{link(name, address)}', "row")
