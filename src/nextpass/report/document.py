"""The frame of a page that stands alone: one HTML file with its typeface and styles inside, and its small parts."""

import base64
from collections.abc import Sequence
from functools import cache
from html import escape
from pathlib import Path

from nextpass import __version__
from nextpass.report.picture import DAY, NIGHT, PICTURE_CSS, css_variables
from nextpass.report.reader import Reader
from nextpass.report.typeset import TYPEFACE_FOLDER
from nextpass.words import translated

_PAGE_CSS = (Path(__file__).parent / "page.css").read_text(encoding="utf-8")


def document(title: str, head: str, body: str, reader: Reader) -> str:
    """A whole HTML file.

    Parameters
    ----------
    title : str
        For the browser.
    head, body : str
        Markup.
    reader : Reader
        Language.

    Returns
    -------
    str
        Loads nothing.
    """
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


def heading_html(key: str, reader: Reader) -> str:
    """Heading of a section by the key of its text."""
    return f"<h2>{escape(reader.says(key))}</h2>"


def facts_html(facts: Sequence[tuple[str, str]]) -> str:
    """Names and what is so, as a list of both."""
    rows = "".join(f"<dt>{escape(name)}</dt><dd>{escape(value)}</dd>" for name, value in facts)
    return f'<dl class="facts">{rows}</dl>'


def list_html(lines: Sequence[str]) -> str:
    """Lines with a bullet each; nothing where there is none."""
    return f"<ul>{''.join(f'<li>{escape(line)}</li>' for line in lines)}</ul>" if lines else ""


def left_out_html(lines: Sequence[str], reader: Reader) -> str:
    """What is left out of the report on request, as its last section; nothing where nothing is."""
    if not lines:
        return ""
    said = [translated(line, reader.language) for line in lines]
    return f'<section class="small">{heading_html("season.left_out", reader)}{list_html(said)}</section>'


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
