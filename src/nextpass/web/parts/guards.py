"""Guards with their margins: how far the pessimistic end of a forecast is from each limit."""

from collections.abc import Sequence
from html import escape

from nextpass.plan import GuardMargin
from nextpass.report import Reader, mark_svg


def guards_html(guards: Sequence[GuardMargin], reader: Reader) -> str:
    """Table of guards.

    Parameters
    ----------
    guards : sequence of GuardMargin
        In the order to show.
    reader : Reader
        For the words.

    Returns
    -------
    str
        Markup.
    """
    rows = "".join(_row_html(guard, reader) for guard in guards)
    head = (
        f'<th scope="col" class="left">{escape(reader.says("guards.guard"))}</th>'
        f'<th scope="col" class="margin-track"><span class="unseen">{escape(reader.says("ladder.picture"))}</span></th>'
        f'<th scope="col">{escape(reader.says("guards.worst"))}</th>'
        f'<th scope="col">{escape(reader.says("guards.limit"))}</th>'
    )
    return f'<table class="table"><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>'


def _row_html(guard: GuardMargin, reader: Reader) -> str:
    unit = escape(reader.unit_of(guard.name))
    crossed = "" if guard.ok else f"{mark_svg('stop')} <b>{escape(reader.says('guards.crossed'))}</b> "
    return (
        f'<tr><th scope="row" class="left">{crossed}{escape(reader.says(f"guard.{guard.name}"))}</th>'
        f'<td class="margin-track">{_track_svg(guard)}</td>'
        f"<td><b>{reader.guard(guard.name, guard.worst)}</b></td>"
        f"<td>{reader.guard(guard.name, guard.limit)} {unit}</td></tr>"
    )


def _track_svg(guard: GuardMargin) -> str:
    # The limit stands at four fifths, so that what is over it shows too.
    limit_pct = 80.0
    used_pct = min(max(guard.worst / guard.limit, 0.0), 1.25) * limit_pct if guard.limit else 0.0
    kind = "used" if guard.ok else "over"
    return (
        '<svg aria-hidden="true" focusable="false">'
        f'<rect class="{kind}" y="25%" width="{used_pct:.1f}%" height="50%"/>'
        f'<line class="limit" x1="{limit_pct}%" x2="{limit_pct}%" y2="100%"/></svg>'
    )
