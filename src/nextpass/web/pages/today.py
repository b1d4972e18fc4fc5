"""Today: what to do now, the newest pass, the passes before it, and the place where the next log is dropped."""

import asyncio
from html import escape

from fastapi import Request
from nicegui import ui

from nextpass.jobs import Desk, KeptPass, ProgressReport
from nextpass.plan import Plan
from nextpass.report import change_text, ladder_html, ladder_of, mark_svg
from nextpass.review import Finding, Severity
from nextpass.web.pages.passes import newest_rows
from nextpass.web.parts.bring import bring_part
from nextpass.web.parts.forecast import et_figure, plan_cautions_html, seconds_figure
from nextpass.web.parts.markup import figure, figures, link, put, sheet
from nextpass.web.parts.passes import PassRow, passes_html
from nextpass.web.staging import Staging
from nextpass.web.visit import Visit, add_car_page
from nextpass.web.waiting import show_when_done
from nextpass.words import translated

_SHOWN_PASSES = 6


def add_today(desk: Desk, staging: Staging) -> None:
    """Register the page.

    Parameters
    ----------
    desk : Desk
        With the book open.
    staging : Staging
        Where dropped logs wait.
    """

    async def content(visit: Visit, _request: Request) -> None:
        passes = await asyncio.to_thread(visit.desk.passes, visit.kept)
        put(f"<h1>{escape(visit.car.name)}</h1>", "title")
        if not passes:
            with sheet(visit.says("today.first_log")):
                bring_part(visit, staging)
            return
        rows = await asyncio.to_thread(newest_rows, visit, _SHOWN_PASSES)
        _now(visit, passes[-1])
        with ui.element("div").classes("columns"):
            with ui.element("div").classes("wide stack-wide"):
                _newest(visit, rows[0])
                with sheet(visit.says("today.passes")):
                    put(passes_html(rows, visit.reader()))
                    if len(passes) > len(rows):
                        put(link(visit.says("today.all_passes", count=len(passes)), visit.path("/passes"), "plain"))
            with sheet(visit.says("today.drop"), classes="narrow"):
                bring_part(visit, staging)

    add_car_page(desk, "", "today", content)


def _now(visit: Visit, newest: KeptPass) -> None:
    """What the newest pass forbids, else the plan: both come after the page, which need not wait for them."""

    def job(report: ProgressReport) -> Finding | Plan:
        reviewed = visit.desk.reviewed(visit.kept, newest)
        stops = [finding for finding in reviewed.review.findings if finding.severity is Severity.STOP]
        return stops[0] if stops else visit.desk.plan(visit.kept, report=report)

    section = ui.element("section").classes("sheet now")

    def draw(made: Finding | Plan) -> None:
        if isinstance(made, Plan):
            _planned(visit, made)
            return
        section.classes("now-stop")
        _stopped(visit, made)

    with section:
        show_when_done(visit.client, visit.reader(), job, draw)


def _stopped(visit: Visit, finding: Finding) -> None:
    reader = visit.reader()
    title = escape(translated(finding.title, reader.language))
    put(
        f'<h2 class="now-title">{mark_svg("stop")}<span>{title}</span></h2>'
        f"<p><b>{escape(reader.says('caution.stopped'))}.</b></p>"
        f"<p>{escape(translated(finding.meaning, reader.language))}</p>"
        f"<p>{escape(translated(finding.next_step, reader.language))}</p>",
        "stack",
    )


def _planned(visit: Visit, plan: Plan) -> None:
    reader = visit.reader(plan.conditions.pressure_kpa)
    # The one that the setup gains most by; what to change where only one may be is for the page of the plan.
    change = plan.changes[0] if plan.changes else None
    title = reader.says("today.nothing_to_change") if change is None else change_text(change, reader)
    why = "" if change is None else translated(change.why, reader.language)
    more = len(plan.changes) - 1
    limit_s = plan.limit_et_s
    groups = [
        et_figure(plan.forecast, reader.says("today.forecast"), reader),
        seconds_figure(plan.repeat.et_s, reader.says("forecast.repeat"), reader),
        figure(
            reader.says("forecast.limit"),
            reader.seconds(limit_s.value),
            "s",
            f"±{reader.seconds(limit_s.plus_minus)}",
        ),
    ]
    also = f"<p>{escape(reader.says('today.more_changes', count=more))}</p>" if more > 0 else ""
    to_ladder = link(reader.says("today.to_ladder"), visit.path("/next"), "main")
    with ui.element("div").classes("columns"):
        put(
            f'<h2 class="now-title"><span>{escape(title)}</span></h2><p>{escape(why)}</p>{also}'
            f"{plan_cautions_html(plan, reader)}{figures(groups)}"
            f'<div class="row">{to_ladder}</div>',
            "narrow stack",
        )
        put(ladder_html(ladder_of(plan, visit.car, reader), reader), "wide")


def _newest(visit: Visit, row: PassRow) -> None:
    reader = visit.reader()
    groups = [
        figure(reader.says("clock.et_s"), row.et.value, "s", row.et.plus_minus, is_main=True),
        figure(reader.says("clock.t60ft_s"), row.t60ft.value, "s", row.t60ft.plus_minus),
        figure(reader.says("clock.t660ft_s"), row.t660ft.value, "s", row.t660ft.plus_minus),
        figure(reader.says("clock.trap_mps"), row.trap.value, reader.speed_unit, row.trap.plus_minus),
    ]
    with sheet(reader.says("pass.title", number=row.name), " · ".join(part for part in (row.when, row.fuel) if part)):
        put(figures(groups))
        put(f'<div class="row">{link(reader.says("today.to_pass"), row.address)}</div>')
