"""Where the time went: the parts of the time that a pass lost, by cause and gear, the dearest first."""

from html import escape

from nextpass.measure import Absent
from nextpass.report import Reader
from nextpass.review import LostTime
from nextpass.words import translated

_LEAST_SHOWN_S = 0.005


def losses_html(lost: LostTime | Absent, reader: Reader) -> str:
    """Table of the parts with a bar each; the parts, with those that round to nothing, add up to the whole.

    Parameters
    ----------
    lost : LostTime or Absent
        Of one pass.
    reader : Reader
        Language.

    Returns
    -------
    str
        Markup; the reason where the log does not tell.
    """
    if isinstance(lost, Absent):
        return f"<p>{escape(translated(lost.reason, reader.language))}</p>"
    largest_s = max((abs(part.seconds.value) for part in lost.parts), default=1.0) or 1.0
    rows = "".join(
        f'<tr><th scope="row" class="left">{escape(_cause(part.cause, part.gear, reader))}</th>'
        f'<td class="margin-track"><svg aria-hidden="true" focusable="false"><rect class="used" y="20%" height="60%" '
        f'width="{100.0 * abs(part.seconds.value) / largest_s:.1f}%"/></svg></td>'
        f"<td><b>{reader.seconds(part.seconds.value)}</b> "
        f'<span class="soft">±{reader.seconds(part.seconds.plus_minus)} s</span></td></tr>'
        for part in lost.parts
        # What rounds to nothing is no loss that anybody could look for.
        if abs(part.seconds.value) >= _LEAST_SHOWN_S
    )
    against = escape(reader.says("loss.against", limit=reader.seconds(lost.limit_et_s)))
    head = (
        f'<thead><tr><th scope="col" class="left">{escape(reader.says("loss.cause"))}</th>'
        f'<th scope="col" class="margin-track"><span class="unseen">{escape(reader.says("ladder.picture"))}</span></th>'
        f'<th scope="col">{escape(reader.says("loss.seconds"))}</th></tr></thead>'
    )
    return f'<p class="sheet-note">{against}</p><table class="table">{head}<tbody>{rows}</tbody></table>'


def _cause(cause: str, gear: int | None, reader: Reader) -> str:
    said = reader.says(f"loss.cause_{cause.replace(' ', '_')}")
    return said if gear is None else f"{said}, {reader.says('gear.nth', gear=gear)}"
