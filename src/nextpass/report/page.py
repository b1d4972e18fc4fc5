"""A page that stands alone: one HTML file with its typeface, styles and pictures inside, readable without a network."""

from collections.abc import Sequence
from html import escape

from nextpass.car import Car
from nextpass.measure import Estimate
from nextpass.plan import Plan
from nextpass.report.card import change_text
from nextpass.report.document import document, facts_html, heading_html, left_out_html, list_html
from nextpass.report.markup import finding_html, slip_html
from nextpass.report.picture import (
    band_html,
    forecast_picture,
    ladder_html,
    ladder_of,
    traces_html,
)
from nextpass.report.reader import Reader
from nextpass.report.review_content import ReviewContent, pass_number, pass_title, review_content
from nextpass.report.runs import RUN_CLOCKS, clock_head, day_runs, run_pass, runs_html
from nextpass.review import ReviewedPass
from nextpass.words import translated


def review_page(car: Car, reviewed: ReviewedPass, reader: Reader, left_out: Sequence[str] = ()) -> str:
    """Review of one pass as an HTML file.

    Parameters
    ----------
    car : Car
        Whose pass it is.
    reviewed : ReviewedPass
        With its log.
    reader : Reader
        Language, units and barometer.
    left_out : sequence of str
        What is on request, in words.

    Returns
    -------
    str
        A whole document that loads nothing.
    """
    content = review_content(car, reviewed, reader)
    head = f"<h1>{escape(content.title)} · {escape(content.car)}</h1>{_review_head(content)}"
    body = _review_sections(content, reader) + left_out_html(left_out, reader)
    return document(f"{content.title}: {content.car}", head, body, reader)


def day_page(
    car: Car, passes: Sequence[ReviewedPass], plan: Plan | None, reader: Reader, left_out: Sequence[str] = ()
) -> str:
    """All passes of a day and the plan that follows from them, as one HTML file.

    Parameters
    ----------
    car : Car
        Whose day it was.
    passes : sequence of ReviewedPass
        In the order in which they were run.
    plan : Plan or None
        The pass after the newest, where there is one.
    reader : Reader
        Language, units and barometer.
    left_out : sequence of str
        What is on request, in words.

    Returns
    -------
    str
        A whole document that loads nothing.
    """
    title = reader.says("day.title", car=car.name)
    days = day_runs([run_pass(one, pass_number(one.record)) for one in passes], reader)
    heads = [clock_head(name, reader) for name in RUN_CLOCKS]
    sections = [] if plan is None else [_plan_section(car, passes, plan, reader)]
    sections.append(f"<section>{heading_html('day.passes', reader)}{runs_html(list(days), heads, reader)}</section>")
    for reviewed in reversed(passes):
        content = review_content(car, reviewed, reader)
        sections.append(f"<h2>{escape(content.title)}</h2>{_review_head(content)}{_review_sections(content, reader)}")
    sections.append(left_out_html(left_out, reader))
    return document(title, f"<h1>{escape(title)}</h1>", "".join(sections), reader)


def past_ets(passes: Sequence[ReviewedPass], reader: Reader) -> tuple[tuple[str, Estimate], ...]:
    """Name and ET of those passes that have one.

    Parameters
    ----------
    passes : sequence of ReviewedPass
        Oldest first.
    reader : Reader
        For the names.

    Returns
    -------
    tuple of (str, Estimate)
        ET [s].
    """
    return tuple(
        (pass_title(reviewed.record, reader), et_s)
        for reviewed in passes
        if isinstance(et_s := reviewed.review.timeslip.et_s, Estimate)
    )


def _review_head(content: ReviewContent) -> str:
    lines = "".join(f"<p>{escape(line)}</p>" for line in (content.when, content.day, content.notes) if line)
    return f'<div class="about">{lines}</div>'


def _review_sections(content: ReviewContent, reader: Reader) -> str:
    findings = "".join(finding_html(finding, reader) for finding in content.findings)
    nothing = f"<p>{escape(reader.says('finding.none'))}</p>"
    assumed = f"{heading_html('review.assumed', reader)}{facts_html(content.assumed)}" if content.assumed else ""
    slip, windows, level, setup = ("review.slip", "review.windows", "review.level", "review.setup")
    corrected = f"{heading_html(level, reader)}{slip_html(content.level, reader, level)}" if content.level else ""
    return (
        f'<div class="pair"><section>{heading_html(slip, reader)}{slip_html(content.slip, reader, slip)}'
        f"{corrected}</section>"
        f"<section>{heading_html(windows, reader)}{slip_html(content.windows, reader, windows)}"
        f"{heading_html(setup, reader)}{facts_html(content.setup)}</section></div>"
        f"<section>{heading_html('review.findings', reader)}{findings or nothing}</section>"
        f"<section>{heading_html('review.traces', reader)}{traces_html(content.traces, reader)}</section>"
        f"<section class='small'>{heading_html('review.quality', reader)}<p>{escape(content.rests_on)}</p>"
        f"{list_html(content.remarks)}{assumed}</section>"
    )


def _plan_section(car: Car, passes: Sequence[ReviewedPass], plan: Plan, reader: Reader) -> str:
    changes = "".join(
        f"<li>{escape(change_text(change, reader))} "
        f"<b class='figure'>{escape(reader.signed(-change.gain_s, 2))} s</b>"
        f"<br><span class='soft'>{escape(translated(change.why, reader.language))}</span></li>"
        for change in plan.changes
    )
    return (
        f"<section><h2>{escape(reader.says('day.plan'))}</h2>{ladder_html(ladder_of(plan, car, reader), reader)}"
        f"<h2>{escape(reader.says('card.forecast'))}</h2>"
        f"{band_html(forecast_picture(plan, past_ets(passes, reader), reader), reader)}"
        f"<h2>{escape(reader.says('day.changes'))}</h2><ol class='changes'>{changes}</ol></section>"
    )
