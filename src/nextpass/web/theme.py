"""The look of the screen: palettes as CSS variables, the typeface, and the style sheet of frame and parts."""

import hashlib
from pathlib import Path

from nextpass.report import DAY, NIGHT, PICTURE_CSS, css_variables
from nextpass.web.state import View

_FOLDER = Path(__file__).parent
STATIC_FOLDER = _FOLDER / "static"

# A ladder of three rungs that grow: the mark of the program.
MARK_SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32">'
    '<rect width="32" height="32" rx="3" fill="#1f3fc4"/>'
    '<path d="M7 8.5H15M7 16H20M7 23.5H25" stroke="#fff" stroke-width="4.6"/></svg>'
)


def head_html(view: View) -> str:
    """What every page has in its head: variables of the chosen theme, the style sheets, the script.

    Parameters
    ----------
    view : View
        Of the visitor.

    Returns
    -------
    str
        Markup.
    """
    night = css_variables(NIGHT)
    return (
        f"<style>:root {{ {css_variables(DAY)} color-scheme: light; }}"
        f":root[data-theme=night] {{ {night} color-scheme: dark; }}"
        f"@media (prefers-color-scheme: dark) {{ :root[data-theme=auto] {{ {night} color-scheme: dark; }} }}</style>"
        f'<link rel="stylesheet" href="/static/nextpass.css?{_STYLE_VERSION}">'
        f'<script src="/static/nextpass.js?{_STYLE_VERSION}"></script>'
        # The page's template knows nothing of the visitor: language and theme are put before anything is drawn.
        f'<script>Object.assign(document.documentElement, {{ lang: "{view.language}" }}); '
        f'Object.assign(document.documentElement.dataset, {{ theme: "{view.theme}", view: "{view.cookie()}" }});'
        "</script>"
    )


def style_sheet() -> str:
    """The whole style sheet of the screen: pictures first, then frame and parts.

    Returns
    -------
    str
        CSS.
    """
    return PICTURE_CSS + (_FOLDER / "theme.css").read_text(encoding="utf-8")


def _version() -> str:
    script = (STATIC_FOLDER / "nextpass.js").read_bytes()
    return hashlib.sha256(style_sheet().encode() + script).hexdigest()[:12]


# In the address of the files, so that a browser that kept an older one asks anew.
_STYLE_VERSION = _version()
