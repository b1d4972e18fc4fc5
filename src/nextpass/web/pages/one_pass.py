"""A pass: its timeslip, its findings in order of weight, the traces that show them, and what the log could not show."""

import asyncio
from html import escape

from fastapi import Request
from nicegui import ui

from nextpass.jobs import Desk, place_of
from nextpass.report import (
    Reader,
    by_weight,
    finding_content,
    finding_html,
    review_content,
    slip_html,
)
from nextpass.review import Finding, ReviewedPass
from nextpass.web.finding_cars import pass_of
from nextpass.web.parts.losses import losses_html
from nextpass.web.parts.markup import link, put, sheet
from nextpass.web.parts.traces import TracedPass, Traces, trace_config, usual_channels
from nextpass.web.visit import Visit, add_car_page
from nextpass.web.waiting import show_when_done

CHOSEN_CHANNELS = "trace-channels"


def add_one_pass(desk: Desk) -> None:
    """Register the page.

    Parameters
    ----------
    desk : Desk
        With the book open.
    """
    add_car_page(desk, "/pass/{sequence:int}", "passes", _content)


async def _content(visit: Visit, request: Request) -> None:
    sequence = int(request.path_params["sequence"])
    kept_pass = await asyncio.to_thread(pass_of, visit.desk, visit.kept, sequence)
    reviewed = await asyncio.to_thread(visit.desk.reviewed, visit.kept, kept_pass)
    reader = visit.reader(reviewed.record.conditions.pressure_kpa)
    content = review_content(visit.car, reviewed, reader)
    about = " · ".join(part for part in (content.when, content.day, content.notes) if part)
    put(f"<h1>{escape(content.title)}</h1><p>{escape(about)}</p>", "title")
    with ui.element("div").classes("columns"):
        with ui.element("div").classes("narrow stack-wide"):
            with sheet(reader.says("review.slip")):
                put(slip_html(content.slip, reader, "review.slip"))
                put(slip_html(content.windows, reader, "review.windows"))
            with sheet(reader.says("review.setup")):
                rows = "".join(
                    f'<tr><th scope="row" class="left">{escape(name)}</th><td class="wrap">{escape(value)}</td></tr>'
                    for name, value in content.setup
                )
                put(f'<table class="table">{rows}</table>')
        with ui.element("div").classes("wide stack-wide"):
            with sheet(reader.says("review.findings")):
                findings = ui.element("div")
            with sheet(reader.says("loss.title")):
                show_when_done(
                    visit.client,
                    reader,
                    lambda report: visit.desk.where_time_went(visit.kept, reviewed, report),
                    lambda lost: put(losses_html(lost, reader)),
                )
    traces = _traces(visit, reviewed, sequence, reader)
    with findings:
        _findings(reviewed, reader, traces)
    _quality(visit, content.rests_on, content.remarks, content.assumed)
    _take_away(visit, sequence)


def _findings(reviewed: ReviewedPass, reader: Reader, traces: Traces) -> None:
    if not reviewed.review.findings:
        put(f"<p>{escape(reader.says('finding.none'))}</p>")

    def jump(finding: Finding) -> None:
        traces.show_span(place_of(reviewed, finding.start_s), place_of(reviewed, finding.end_s))

    for finding in by_weight(reviewed.review.findings):
        content = finding_content(finding, reviewed, reader)
        with ui.element("div").classes("finding-place"):
            put(finding_html(content, reader))
            button = ui.element("button").classes("button button-plain finding-jump-button").props("type=button")
            button.on("click", lambda _event, finding=finding: jump(finding))
            with button:
                said = escape(reader.says("finding.show"))
                ui.html(f'{said}<span class="unseen">: {escape(content.title)}</span>', sanitize=False, tag="span")


def _traces(visit: Visit, reviewed: ReviewedPass, sequence: int, reader: Reader) -> Traces:
    names = chosen_channels(visit, reviewed)
    with sheet(reader.says("review.traces"), reader.says("traces.hint")):
        traces = Traces(trace_config([traced(visit, reviewed, sequence)], names, reader))
        put(f'<div class="row">{link(reader.says("traces.open"), visit.path(f"/pass/{sequence}/traces"))}</div>')
    return traces


def traced(visit: Visit, reviewed: ReviewedPass, sequence: int) -> TracedPass:
    """A pass with the address where the API answers for it.

    Parameters
    ----------
    visit : Visit
        Of the page.
    reviewed : ReviewedPass
        With its log.
    sequence : int
        Of the pass.

    Returns
    -------
    TracedPass
        For `trace_config`.
    """
    return TracedPass(address=visit.api(f"/passes/{sequence}"), reviewed=reviewed)


def chosen_channels(visit: Visit, reviewed: ReviewedPass) -> list[str]:
    """Channels that were chosen for the car, else the usual ones.

    Parameters
    ----------
    visit : Visit
        Of the page.
    reviewed : ReviewedPass
        With its log.

    Returns
    -------
    list of str
        One panel each; none that the log does not have.
    """
    kept = visit.desk.remembered(visit.kept, CHOSEN_CHANNELS)
    names = [str(name) for name in kept] if isinstance(kept, list) else []
    known = [name for name in names if name in reviewed.log.channels or name in reviewed.log.unmatched]
    return known or usual_channels(reviewed)


def _quality(visit: Visit, rests_on: str, remarks: tuple[str, ...], assumed: tuple[tuple[str, str], ...]) -> None:
    with sheet(visit.says("review.quality")):
        lines = "".join(f"<li>{escape(line)}</li>" for line in remarks)
        put(f'<p>{escape(rests_on)}</p><ul class="plain-list">{lines}</ul>')
        if assumed:
            rows = "".join(f"<dt>{escape(key)}</dt><dd>{escape(value)}</dd>" for key, value in assumed)
            put(
                f"<details><summary>{escape(visit.says('review.assumed_count', count=len(assumed)))}</summary>"
                f'<dl class="facts">{rows}</dl></details>'
            )


def _take_away(visit: Visit, sequence: int) -> None:
    api = visit.api(f"/passes/{sequence}")
    put(
        link(visit.says("pass.as_pdf"), f"{api}/report.pdf{visit.query()}", attributes='target="_blank"')
        + link(visit.says("pass.as_page"), f"{api}/report.html{visit.query()}", attributes="download"),
        "row",
    )
