"""The report of a whole car as a page that stands alone."""

from collections.abc import Sequence
from html import escape

from nextpass.report.document import document, facts_html, heading_html, left_out_html, list_html
from nextpass.report.picture import mark_svg, trend_html
from nextpass.report.reader import Reader
from nextpass.report.runs import plus_minus_text, runs_html
from nextpass.report.season_content import (
    BestRow,
    CodeRow,
    DoneRow,
    DriftContent,
    DueRow,
    Season,
    SeasonContent,
    season_content,
)


def season_page(season: Season, reader: Reader) -> str:
    """Report of a car as an HTML file.

    Parameters
    ----------
    season : Season
        With one pass at least.
    reader : Reader
        Language, units and barometer.

    Returns
    -------
    str
        A whole document that loads nothing.
    """
    content = season_content(season, reader)
    head = (
        f"<h1>{escape(content.car)}</h1>"
        f'<div class="about"><p>{escape(content.title)} · {escape(content.about)}</p></div>'
    )
    return document(f"{content.car}: {content.title}", head, "".join(_sections(content, reader)), reader)


def _sections(content: SeasonContent, reader: Reader) -> list[str]:
    ets = trend_html(content.ets) if content.ets is not None else ""
    sections = [
        f'<section><dl class="best">{"".join(_best_html(one) for one in content.best)}</dl>'
        f'<div class="ets">{ets}</div></section>',
        f'<div class="pair"><section>{heading_html("season.setup", reader)}{facts_html(content.setup)}</section>'
        f"<section>{heading_html('ledger.due', reader)}{_due_html(content.due, reader)}</section></div>",
        f"<section>{heading_html('season.runs', reader)}"
        f'<p class="small">{escape(reader.says("season.runs_note"))}</p>'
        f"{runs_html(content.days, content.heads, reader)}</section>",
        f"<section>{heading_html('ledger.trends', reader)}{_drifts_html(content)}</section>",
        f'<div class="pair"><section>{heading_html("ledger.clutch", reader)}'
        f"{''.join(f'<p>{escape(line)}</p>' for line in content.clutch)}"
        f'<p class="small">{escape(content.clutch_model)}</p></section>'
        f"<section>{heading_html('ledger.limits', reader)}{_limits_html(content, reader)}"
        + (f"{heading_html('season.oils', reader)}{facts_html(content.oils)}" if content.oils else "")
        + "</section></div>",
        f"<section>{heading_html('season.codes', reader)}{_codes_html(content.codes, reader)}</section>",
    ]
    if content.done:
        done = "".join(_done_html(one) for one in content.done)
        sections.append(f'<section>{heading_html("season.done", reader)}<ul class="done">{done}</ul></section>')
    sections.append(f"<section>{heading_html('season.cautions', reader)}{list_html(content.cautions)}</section>")
    sections.append(left_out_html(content.left_out, reader))
    return sections


def _best_html(best: BestRow) -> str:
    return (
        f"<div><dt>{escape(best.label)}</dt><dd><b>{escape(best.shown.value)}</b> "
        f"<span class='soft'>{escape(plus_minus_text(best.shown))} {escape(best.shown.unit)}</span></dd>"
        f'<dd class="soft">{escape(best.where)}</dd></div>'
    )


def _due_html(due: Sequence[DueRow], reader: Reader) -> str:
    if not due:
        return f"<p>{escape(reader.says('ledger.nothing_due'))}</p>"
    heads = "".join(
        f'<th scope="col">{escape(reader.says(key))}</th>'
        for key in ("entries.item", "ledger.launches_left", "ledger.days_left")
    )
    rows = "".join(
        f'<tr><th scope="row">{_due_mark(one, reader)}{escape(one.item)} '
        f'<span class="soft">{escape(one.since)}</span></th>'
        f"<td><b>{escape(one.launches)}</b></td><td><b>{escape(one.days)}</b></td></tr>"
        for one in due
    )
    return f'<table class="runs due"><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>'


def _due_mark(due: DueRow, reader: Reader) -> str:
    return f"{mark_svg('act')} <b>{escape(reader.says('ledger.is_due'))}</b> " if due.is_due else ""


def _drifts_html(content: SeasonContent) -> str:
    drifts = "".join(_drift_html(one) for one in content.drifts)
    none = f"<p>{escape(content.no_drift)}</p>" if content.no_drift else ""
    rest = "".join(f'<p class="small">{escape(line)}</p>' for line in content.rest)
    return f'{none}<div class="trends">{drifts}</div>{rest}'


def _drift_html(drift: DriftContent) -> str:
    return f"<div><p>{mark_svg(drift.severity)} {escape(drift.text)}</p>{trend_html(drift.picture)}</div>"


def _limits_html(content: SeasonContent, reader: Reader) -> str:
    if not content.limits:
        return f"<p>{escape(reader.says('ledger.none_passed'))}</p>"
    rows = "".join(
        f"<li>{mark_svg(weight)} <b>{escape(what)}</b>: {escape(passes)}</li>"
        for weight, what, passes in content.limits
    )
    return f'<ul class="marked">{rows}</ul>'


def _codes_html(codes: Sequence[CodeRow], reader: Reader) -> str:
    if not codes:
        return f"<p>{escape(reader.says('season.no_codes'))}</p>"
    rows = "".join(
        f"<div><dt><b>{escape(one.code)}</b></dt><dd>{escape(one.meaning)}"
        f'<br><span class="soft">{escape(" · ".join(part for part in (one.day, one.about) if part))}</span></dd></div>'
        for one in codes
    )
    return f'<dl class="kept-codes">{rows}</dl>'


def _done_html(done: DoneRow) -> str:
    values = " · ".join(f"{escape(name)} <b>{escape(value)}</b>" for name, value in done.values)
    notes = f"<q>{escape(done.notes)}</q>" if done.notes else ""
    beside = " · ".join(escape(part) for part in (done.kind, done.day) if part)
    return f"<li><b>{escape(done.item)}</b> <span class='soft'>{beside}</span> {values} {notes}</li>"
