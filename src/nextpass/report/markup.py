"""Timeslip, findings and changes as HTML, shared by the page that stands alone and by the screen."""

from collections.abc import Sequence
from html import escape

from nextpass.report.picture import mark_svg
from nextpass.report.reader import Reader
from nextpass.report.review_content import FindingContent, SlipRow


def slip_html(rows: Sequence[SlipRow], reader: Reader, caption: str) -> str:
    """Timeslip as a table; the strip's own clocks stand beside where there are any.

    Parameters
    ----------
    rows : sequence of SlipRow
        In the order of the track.
    reader : Reader
        For the words.
    caption : str
        Key of what the table is, for readers of the screen.

    Returns
    -------
    str
        Markup; classes are those of ``picture.css``.
    """
    has_strip = any(row.strip for row in rows)
    unit = f'<span class="unseen">{escape(reader.says("review.unit"))}</span>'
    strip_head = f'<th scope="col">{escape(reader.says("review.strip_says"))}</th>' if has_strip else ""
    head = (
        f'<thead><tr><th scope="col">{escape(reader.says("review.clock"))}</th>'
        f'<th scope="col">{escape(reader.says("review.log_says"))} ±</th>'
        f'<th scope="col">{unit}</th>{strip_head}</tr></thead>'
    )
    body = "".join(_slip_row(row, has_strip) for row in rows)
    title = f'<caption class="unseen">{escape(reader.says(caption))}</caption>'
    return f'<table class="slip">{title}{head}<tbody>{body}</tbody></table>'


def finding_html(finding: FindingContent, reader: Reader) -> str:
    """One finding as an article: what, how grave, where, the figures, what it means, what to do next.

    Parameters
    ----------
    finding : FindingContent
        In the reader's words.
    reader : Reader
        For the words around it.

    Returns
    -------
    str
        Markup; classes are those of ``picture.css``.
    """
    figures = "".join(f"<div><dt>{escape(name)}</dt><dd>{escape(value)}</dd></div>" for name, value in finding.evidence)
    return (
        f'<article class="finding">{mark_svg(finding.severity)}<div>'
        f"<h3>{escape(finding.title)}</h3>"
        f'<div><span class="weight weight-{escape(finding.severity)}">{escape(finding.severity_word)}</span> '
        f'<span class="finding-where">{escape(finding.where)}</span></div>'
        f"<p>{escape(finding.meaning)}</p>"
        f"<p><b>{escape(reader.says('finding.next_step'))}:</b> {escape(finding.next_step)}</p>"
        f"<dl>{figures}</dl></div></article>"
    )


def _slip_row(row: SlipRow, has_strip: bool) -> str:
    kind = ' class="slip-main"' if row.is_main else ""
    label = f'<th scope="row">{escape(row.label)}</th>'
    if row.shown.reason:
        span = 3 if has_strip else 2
        return f'<tr{kind}>{label}<td class="slip-reason" colspan="{span}">{escape(row.shown.reason)}</td></tr>'
    strip = f'<td class="slip-strip">{escape(row.strip)}</td>' if has_strip else ""
    return (
        f"<tr{kind}>{label}<td><b>{escape(row.shown.value)}</b>"
        f'<span class="slip-pm">±{escape(row.shown.plus_minus)}</span></td>'
        f'<td class="slip-unit">{escape(row.shown.unit)}</td>{strip}</tr>'
    )
