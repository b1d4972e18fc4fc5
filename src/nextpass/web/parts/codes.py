"""Trouble codes: what each means, and the causes with what the logs say for and against them."""

from collections.abc import Callable, Sequence
from html import escape

from nextpass.health import CodeStates, ReadCode, WeighedCause, WeighedCodes
from nextpass.report import Reader, mark_svg
from nextpass.words import translated

# What speaks for a cause, what against it: told apart by shape and word.
_FOR_SVG = '<svg class="weigh" viewBox="0 0 16 16" aria-hidden="true"><path d="M8 2V14M2 8H14"/></svg>'
_AGAINST_SVG = '<svg class="weigh" viewBox="0 0 16 16" aria-hidden="true"><path d="M2 8H14"/></svg>'


def read_codes_html(codes: Sequence[ReadCode], reader: Reader) -> str:
    """Codes with their meanings.

    Parameters
    ----------
    codes : sequence of ReadCode
        In the order to show.
    reader : Reader
        Language.

    Returns
    -------
    str
        Markup.
    """
    silent = f'<br><span class="soft">{escape(reader.says("codes.no_cause"))}</span>'
    rows = "".join(
        f'<tr><th scope="row" class="left code-name">{escape(str(one.code))}</th>'
        f'<td class="left wrap">{escape(translated(one.meaning, reader.language))}'
        f"{'' if one.causes else silent}</td></tr>"
        for one in codes
    )
    return f'<table class="table"><tbody>{rows}</tbody></table>'


def states_html(states: CodeStates, reader: Reader) -> str:
    """What clearing or repair did to the codes.

    Parameters
    ----------
    states : CodeStates
        Before and now.
    reader : Reader
        Language.

    Returns
    -------
    str
        Markup.
    """
    rows = "".join(
        f"<dt>{escape(reader.says(f'codes.{key}'))}</dt><dd><b>{escape(', '.join(map(str, codes)))}</b></dd>"
        for key, codes in (("gone", states.gone), ("stayed", states.stayed), ("came", states.came))
        if codes
    )
    return f'<dl class="facts">{rows}</dl>'


def causes_html(weighed: WeighedCodes, reader: Reader, named: Callable[[str], str]) -> str:
    """Causes, the likeliest first, with their evidence.

    Parameters
    ----------
    weighed : WeighedCodes
        Read together.
    reader : Reader
        Language.
    named : callable
        Gives the link to a pass by its name.

    Returns
    -------
    str
        Markup.
    """
    if not weighed.passes:
        rests = escape(reader.says("codes.no_logs"))
    else:
        rests = f"{escape(reader.says('codes.rest_on'))} {', '.join(named(name) for name in weighed.passes)}."
        if weighed.is_silent:
            rests += f" {escape(reader.says('codes.silent'))}"
        elif not weighed.is_settled:
            rests += f" {escape(reader.says('codes.not_settled'))}"
    causes = "".join(_cause_html(cause, reader) for cause in weighed.causes)
    return f'<p class="sheet-note">{rests}</p><ol class="causes">{causes}</ol>'


def _cause_html(cause: WeighedCause, reader: Reader) -> str:
    percent = reader.number(100.0 * cause.share)
    silent = ""
    if cause.not_seen:
        silent = (
            f"<details><summary>{escape(reader.says('codes.not_looked_at'))} ({len(cause.not_seen)})</summary>"
            f"{_lines_html(cause.not_seen, '', reader)}</details>"
        )
    return (
        f'<li><div class="cause-head"><h3>{escape(translated(cause.title, reader.language))}</h3>'
        f'<span class="cause-share"><b>{percent}</b> %</span></div>'
        f'<svg class="cause-bar" aria-hidden="true" focusable="false"><rect width="{100.0 * cause.share:.1f}%" '
        'height="100%"/></svg>'
        f"{_lines_html(cause.speaks_for, _with_word(_FOR_SVG, 'codes.speaks_for', reader), reader)}"
        f"{_lines_html(cause.speaks_against, _with_word(_AGAINST_SVG, 'codes.speaks_against', reader), reader)}"
        f'<p class="cause-next"><b>{escape(reader.says("codes.next"))}:</b> '
        f"{escape(translated(cause.next_step, reader.language))}</p>{silent}</li>"
    )


def _with_word(svg: str, key: str, reader: Reader) -> str:
    return f'{svg}<span class="unseen">{escape(reader.says(key))}: </span>'


def _lines_html(lines: Sequence[str], mark: str, reader: Reader) -> str:
    if not lines:
        return ""
    items = "".join(f"<li>{mark}<span>{escape(translated(line, reader.language))}</span></li>" for line in lines)
    return f'<ul class="evidence">{items}</ul>'


def cautions_html(cautions: Sequence[str], reader: Reader) -> str:
    """Cautions, once for all codes.

    Parameters
    ----------
    cautions : sequence of str
        Of the weighed codes.
    reader : Reader
        Language.

    Returns
    -------
    str
        Markup.
    """
    items = "".join(f"<p>{mark_svg('watch')} {escape(translated(line, reader.language))}</p>" for line in cautions)
    return f'<div class="cautions">{items}</div>'
