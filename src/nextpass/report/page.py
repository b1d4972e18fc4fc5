"""A page that stands alone: one HTML file with its typeface, styles and pictures inside, readable without a network."""

import base64
from collections.abc import Sequence
from functools import cache
from html import escape
from pathlib import Path

from nextpass import __version__
from nextpass.car import Car
from nextpass.measure import Estimate
from nextpass.plan import Plan
from nextpass.report.card import change_text
from nextpass.report.markup import finding_html, slip_html
from nextpass.report.picture import (
    DAY,
    NIGHT,
    PICTURE_CSS,
    band_html,
    css_variables,
    forecast_picture,
    ladder_html,
    ladder_of,
    traces_html,
)
from nextpass.report.reader import Reader
from nextpass.report.review_content import ReviewContent, pass_title, review_content
from nextpass.report.typeset import TYPEFACE_FOLDER
from nextpass.review import ReviewedPass
from nextpass.words import translated

_PAGE_CSS = (Path(__file__).parent / "page.css").read_text(encoding="utf-8")


def review_page(car: Car, reviewed: ReviewedPass, reader: Reader) -> str:
    """Review of one pass as an HTML file.

    Parameters
    ----------
    car : Car
        Whose pass it is.
    reviewed : ReviewedPass
        With its log.
    reader : Reader
        Language, units and barometer.

    Returns
    -------
    str
        A whole document that loads nothing.
    """
    content = review_content(car, reviewed, reader)
    head = f"<h1>{escape(content.title)} · {escape(content.car)}</h1>{_review_head(content)}"
    return _document(f"{content.title}: {content.car}", head, _review_sections(content, reader), reader)


def day_page(car: Car, passes: Sequence[ReviewedPass], plan: Plan | None, reader: Reader) -> str:
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

    Returns
    -------
    str
        A whole document that loads nothing.
    """
    title = reader.says("day.title", car=car.name)
    sections = [] if plan is None else [_plan_section(car, passes, plan, reader)]
    for reviewed in reversed(passes):
        content = review_content(car, reviewed, reader)
        sections.append(f"<h2>{escape(content.title)}</h2>{_review_head(content)}{_review_sections(content, reader)}")
    return _document(title, f"<h1>{escape(title)}</h1>", "".join(sections), reader)


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


@cache
def typeface_css() -> str:
    """Typeface of the screen as a style rule with the file inside.

    Returns
    -------
    str
        One ``@font-face`` rule.
    """
    coded = base64.b64encode((TYPEFACE_FOLDER / "Archivo.woff2").read_bytes()).decode("ascii")
    return (
        "@font-face { font-family: Archivo; font-weight: 100 900; font-stretch: 62% 125%; "
        f"src: url(data:font/woff2;base64,{coded}) format('woff2'); }}"
    )


def _document(title: str, head: str, body: str, reader: Reader) -> str:
    styles = (
        f"{typeface_css()} :root {{ {css_variables(DAY)} }} "
        f"@media (prefers-color-scheme: dark) {{ @media screen {{ :root {{ {css_variables(NIGHT)} }} }} }}"
        f"{_PAGE_CSS}{PICTURE_CSS}"
    )
    made = reader.says("day.made", version=__version__)
    return (
        f'<!doctype html><html lang="{reader.language}"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(title)}</title><style>{styles}</style></head><body>"
        f"<header>{head}</header><main>{body}</main><footer>{escape(made)}</footer></body></html>\n"
    )


def _review_head(content: ReviewContent) -> str:
    lines = "".join(f"<p>{escape(line)}</p>" for line in (content.when, content.day, content.notes) if line)
    return f'<div class="about">{lines}</div>'


def _review_sections(content: ReviewContent, reader: Reader) -> str:
    findings = "".join(finding_html(finding, reader) for finding in content.findings)
    nothing = f"<p>{escape(reader.says('finding.none'))}</p>"
    slip, windows, setup = ("review.slip", "review.windows", "review.setup")
    return (
        f'<div class="pair"><section>{_heading(slip, reader)}{slip_html(content.slip, reader, slip)}</section>'
        f"<section>{_heading(windows, reader)}{slip_html(content.windows, reader, windows)}"
        f"{_heading(setup, reader)}{_facts(content.setup)}</section></div>"
        f"<section>{_heading('review.findings', reader)}{findings or nothing}</section>"
        f"<section>{_heading('review.traces', reader)}{traces_html(content.traces, reader)}</section>"
        f"<section class='small'>{_heading('review.quality', reader)}<p>{escape(content.rests_on)}</p>"
        f"{_list(content.remarks)}</section>"
        + (f"<section class='small'>{_heading('review.assumed', reader)}{_facts(content.assumed)}</section>")
    )


def _heading(key: str, reader: Reader) -> str:
    return f"<h2>{escape(reader.says(key))}</h2>"


def _facts(facts: Sequence[tuple[str, str]]) -> str:
    rows = "".join(f"<dt>{escape(name)}</dt><dd>{escape(value)}</dd>" for name, value in facts)
    return f'<dl class="facts">{rows}</dl>'


def _list(lines: Sequence[str]) -> str:
    return f"<ul>{''.join(f'<li>{escape(line)}</li>' for line in lines)}</ul>" if lines else ""


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
