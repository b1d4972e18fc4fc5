"""Next pass: the ladder, what else to dial in, the forecast against the last passes, the guards, why, and what if."""

import asyncio
import json
from html import escape

from fastapi import Request
from nicegui import ui

from nextpass.car import FUEL, LAUNCH_PRESSURE, LAUNCH_RPM, SHIFT_RPM, Conditions
from nextpass.jobs import Desk, ProgressReport, next_pass_text, take_setup
from nextpass.plan import Plan
from nextpass.report import (
    Reader,
    band_html,
    card_text,
    change_text,
    conditions_text,
    forecast_picture,
    ladder_html,
    ladder_of,
    mark_svg,
    nearest_guards,
    owner_adjusters,
    past_ets,
)
from nextpass.review import ReviewedPass, Severity
from nextpass.web.documents import newest_findings
from nextpass.web.parts.forecast import clock_figures, et_figure, plan_cautions_html
from nextpass.web.parts.guards import guards_html
from nextpass.web.parts.markup import button, figure, figures, link, put, sheet
from nextpass.web.parts.measured import measured_text, parameter_name
from nextpass.web.parts.setup_form import conditions_form
from nextpass.web.parts.what_if import what_if_part
from nextpass.web.visit import Visit, add_car_page
from nextpass.web.waiting import answer_of, show_refusal, show_when_done
from nextpass.words import phrase, translated

# Passes whose ET stands beside the forecast.
_PAST_SHOWN = 5


def add_next_pass(desk: Desk) -> None:
    """Register the page.

    Parameters
    ----------
    desk : Desk
        With the book open.
    """
    add_car_page(desk, "/next", "next", _content)


async def _content(visit: Visit, _request: Request) -> None:
    put(f"<h1>{escape(visit.says('place.next'))}</h1>", "title")
    _planned_place(visit, None)


def _planned_place(visit: Visit, conditions: Conditions | None) -> None:
    def job(report: ProgressReport) -> tuple[Plan, list[ReviewedPass]]:
        plan = visit.desk.plan(visit.kept, conditions, report=report)
        newest = visit.desk.passes(visit.kept)[-_PAST_SHOWN:]
        return plan, [visit.desk.reviewed(visit.kept, one) for one in newest]

    place = ui.element("div").classes("stack-wide")
    with place:
        show_when_done(visit.client, visit.reader(), job, lambda made: _draw(visit, place, *made))


def _draw(visit: Visit, place: ui.element, plan: Plan, passes: list[ReviewedPass]) -> None:
    reader = visit.reader(plan.conditions.pressure_kpa)
    _stopped(visit, reader, passes)
    with ui.element("div").classes("columns"):
        with sheet(reader.says("next.ladder"), conditions_text(plan.conditions, reader), "two-thirds"):
            put(plan_cautions_html(plan, reader), "stack")
            put(figures(_dials(plan, reader)))
            put(ladder_html(ladder_of(plan, visit.car, reader), reader))
            _own(visit, plan, reader)
        with ui.element("div").classes("third stack-wide"):
            with sheet(reader.says("card.forecast"), reader.says("forecast.band")):
                et = et_figure(plan.forecast, reader.says("clock.et_s"), reader)
                put(figures([et, *clock_figures(plan.forecast, reader)]))
            _take(visit, plan, reader)
        with sheet(reader.says("next.against"), classes="two-thirds"):
            put(band_html(forecast_picture(plan, past_ets(passes, reader), reader), reader))
        with sheet(reader.says("next.guards"), classes="third"):
            put(guards_html(nearest_guards(plan), reader))
        with sheet(reader.says("next.changes"), classes="half"):
            _changes(plan, reader)
        with sheet(reader.says("next.known"), classes="half"):
            _known(plan, reader)
        with sheet(reader.says("whatif.title"), reader.says("whatif.hint")):
            what_if_part(visit, plan, reader)
        with sheet(reader.says("next.day")):
            _day(visit, place, plan, reader)
    put(f"{escape(reader.says('caution.advice'))} {escape(reader.says('caution.closed_course'))}", "caution")


def _stopped(visit: Visit, reader: Reader, passes: list[ReviewedPass]) -> None:
    stops = [finding for finding in passes[-1].review.findings if finding.severity is Severity.STOP]
    for finding in stops:
        title = f"{visit.says('caution.stopped')}: {translated(finding.title, reader.language)}"
        put(
            f'<h2 class="now-title">{mark_svg("stop")}<span>{escape(title)}</span></h2>'
            f"<p>{escape(translated(finding.next_step, reader.language))}</p>",
            "sheet now now-stop",
        )


def _dials(plan: Plan, reader: Reader) -> list[str]:
    groups = []
    for name in (LAUNCH_RPM, LAUNCH_PRESSURE, SHIFT_RPM, FUEL):
        if name not in plan.setup.values:
            continue
        after, before = plan.setup.values[name], plan.newest.values.get(name)
        shown = reader.adjuster_value(name, after)
        was = ""
        if before is not None and before != after:
            said = reader.says("card.was", value=reader.adjuster_value(name, before).value)
            was = f'<span class="was">{escape(said)}</span>'
        groups.append(figure(reader.adjuster_name(name), shown.value, shown.unit, was))
    return groups


def _own(visit: Visit, plan: Plan, reader: Reader) -> None:
    values = {adjuster.name: plan.setup.values.get(adjuster.name) for adjuster in owner_adjusters(visit.car.adjusters)}
    entries = [
        f"{escape(reader.adjuster_name(name))} <b>{escape(str(reader.adjuster_value(name, value)))}</b>"
        for name, value in values.items()
        if value is not None
    ]
    if entries:
        put(f'<p class="soft">{escape(reader.says("card.own"))}: {" · ".join(entries)}</p>')


def _changes(plan: Plan, reader: Reader) -> None:
    rows = "".join(
        f"<li><span>{escape(change_text(change, reader))}</span>"
        f'<span class="gain">{escape(reader.signed(-change.gain_s, 2))} <i class="soft">s</i></span>'
        f'<span class="why">{escape(translated(change.why, reader.language))}</span></li>'
        for change in plan.changes
    )
    put(f'<ol class="changes">{rows}</ol>' if rows else f"<p>{escape(reader.says('today.nothing_to_change'))}</p>")
    alone = ""
    if plan.first_change is not None and len(plan.changes) > 1:
        alone = phrase("card.first", change=change_text(plan.first_change, reader))
    notes = (alone, plan.tell_apart, plan.teaches, *plan.day)
    put("".join(f"<p>{escape(translated(note, reader.language))}</p>" for note in notes if note), "stack")


def _known(plan: Plan, reader: Reader) -> None:
    rows = "".join(
        f'<tr><th scope="row" class="left">{escape(parameter_name(name, reader))}</th>'
        f"<td><b>{escape(measured_text(value, reader))}</b> {escape(reader.unit_of(name.partition('.')[0]))}</td></tr>"
        for name, value in plan.fitted.items()
    )
    unknown = "".join(f"<li>{escape(translated(line, reader.language))}</li>" for line in plan.unknown)
    put(f"<ul class='plain-list'>{unknown}</ul>" if unknown else "")
    put(
        f"<details><summary>{escape(reader.says('next.fitted'))}</summary>"
        f'<table class="table"><tbody>{rows}</tbody></table></details>'
    )


def _take(visit: Visit, plan: Plan, reader: Reader) -> None:
    async def take(_event: object) -> None:
        outcome.clear()
        answer = await answer_of(lambda: _taken(visit, plan))
        with outcome:
            if isinstance(answer, Exception):
                show_refusal(answer, reader)
                return
            put(f'<p class="message" role="status">{escape(reader.says("next.taken"))}</p>')
        ui.download.content(answer, "pass.toml", "application/toml")

    async def send(_event: object) -> None:
        findings = await asyncio.to_thread(newest_findings, visit.desk, visit.kept)
        text = card_text(visit.car, plan, visit.view.units, visit.view.language, findings)
        ui.run_javascript(f"nextpass.send({_quoted(text)}, '.card-copied')")

    with sheet(reader.says("next.take_title")):
        put(
            link(reader.says("next.print"), f"{visit.api('/card.pdf')}{visit.query()}", "main", 'target="_blank"'),
            "row",
        )
        with ui.element("div").classes("row"):
            button(reader.says("next.take"), take)
            button(reader.says("next.send"), send)
        put(f'<p class="card-copied message" role="status" hidden>{escape(reader.says("next.copied"))}</p>')
        outcome = ui.element("div").props("aria-live=polite")


def _taken(visit: Visit, plan: Plan) -> str:
    take_setup(visit.desk, visit.kept, plan.setup)
    return next_pass_text(visit.desk, visit.kept, plan.setup, plan.conditions)


def _day(visit: Visit, place: ui.element, plan: Plan, reader: Reader) -> None:
    fields = conditions_form(reader, plan.conditions)
    outcome = ui.element("div").props("aria-live=polite")

    def again(_event: object) -> None:
        outcome.clear()
        try:
            conditions = fields.conditions()
        except Exception as refusal:
            with outcome:
                show_refusal(refusal, reader)
            return
        place.clear()
        with place:
            _planned_place(visit, conditions)

    with ui.element("div").classes("row"):
        button(reader.says("next.again"), again)


def _quoted(text: str) -> str:
    return json.dumps(text)
