"""A pass and a day on paper: timeslips, findings, traces, setup, and what the logs could not show."""

from collections.abc import Sequence
from dataclasses import dataclass

from nextpass.car import Car
from nextpass.plan import Plan
from nextpass.report.card import change_text
from nextpass.report.picture import DAY, Ladder, ladder_of, line_svg
from nextpass.report.reader import Reader
from nextpass.report.review_content import ReviewContent, pass_number, review_content
from nextpass.report.runs import RUN_CLOCKS, DayRuns, clock_head, day_runs, run_pass
from nextpass.report.typeset import typeset_pdf
from nextpass.review import ReviewedPass
from nextpass.words import translated

# Of the template's frame, 140 mm by 12 mm, in tenths of a millimetre.
_FRAME = (1400.0, 120.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanContent:
    """The pass to come: its ladder, and each change with what it is worth alone and why."""

    ladder: Ladder
    changes: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DayContent:
    """Everything that the report of a day shows."""

    title: str
    car: str
    heads: tuple[str, ...]
    days: tuple[DayRuns, ...]
    plan: PlanContent | None
    reviews: tuple[ReviewContent, ...]


def review_pdf(car: Car, reviewed: ReviewedPass, reader: Reader, left_out: Sequence[str] = ()) -> bytes:
    """Review of one pass as PDF.

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
    bytes
        A PDF of A4 pages.
    """
    content = review_content(car, reviewed, reader)
    said = [translated(line, reader.language) for line in left_out]
    return typeset_pdf("report.typ", content, reader.language, lines=_lines(content), left_out=said)


def day_pdf(
    car: Car, passes: Sequence[ReviewedPass], plan: Plan | None, reader: Reader, left_out: Sequence[str] = ()
) -> bytes:
    """All passes of a day as PDF, with the plan that follows from them.

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
    bytes
        A PDF of A4 pages: the day first, then each pass on pages of its own, newest first.
    """
    reviews = tuple(review_content(car, reviewed, reader) for reviewed in reversed(passes))
    content = DayContent(
        title=reader.says("day.title", car=car.name),
        car=car.name,
        heads=tuple(clock_head(name, reader) for name in RUN_CLOCKS),
        days=tuple(day_runs([run_pass(one, pass_number(one.record)) for one in passes], reader)),
        plan=None if plan is None else _plan_content(car, plan, reader),
        reviews=reviews,
    )
    said = [translated(line, reader.language) for line in left_out]
    lines = [_lines(review) for review in reviews]
    return typeset_pdf("day.typ", content, reader.language, lines=lines, left_out=said)


def _lines(content: ReviewContent) -> list[str]:
    """The lines alone as pictures: text would take the fonts of the machine that compiles."""
    return [line_svg(panel, DAY.ink, 3.5, _FRAME) for panel in content.traces.panels]


def _plan_content(car: Car, plan: Plan, reader: Reader) -> PlanContent:
    return PlanContent(
        ladder=ladder_of(plan, car, reader),
        changes=tuple(
            (
                change_text(change, reader),
                f"{reader.signed(-change.gain_s, 2)} s",
                translated(change.why, reader.language),
            )
            for change in plan.changes
        ),
    )
