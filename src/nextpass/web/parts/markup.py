"""Small pieces of markup that every page is made of."""

from collections.abc import Awaitable, Callable, Iterator
from contextlib import contextmanager
from html import escape

from nicegui import ui
from nicegui.events import GenericEventArguments

OnClick = Callable[[GenericEventArguments], None] | Callable[[GenericEventArguments], Awaitable[None]]


def put(markup: str, classes: str = "") -> ui.html:
    """Markup of our own making: whatever a user wrote has been escaped in it.

    Parameters
    ----------
    markup : str
        HTML.
    classes : str
        Of the element around it.

    Returns
    -------
    ui.html
        To change its content later.
    """
    return ui.html(markup, sanitize=False).classes(classes)


@contextmanager
def sheet(heading: str, note: str = "", classes: str = "") -> Iterator[None]:
    """A section with its heading.

    Parameters
    ----------
    heading : str
        Its name.
    note : str
        Beside the heading.
    classes : str
        Such as ``half`` for its place among columns.

    Yields
    ------
    None
        Inside the section.
    """
    with ui.element("section").classes(f"sheet {classes}"):
        beside = f"<p>{escape(note)}</p>" if note else ""
        put(f'<div class="sheet-head"><h2>{escape(heading)}</h2>{beside}</div>')
        yield


def button(label: str, on_click: OnClick, kind: str = "") -> ui.element:
    """A button of the browser's own, so that keyboard and readers of the screen know it.

    Parameters
    ----------
    label : str
        What it does.
    on_click : callable
        Called with the event.
    kind : str
        ``main`` or ``plain``; empty for the usual one.

    Returns
    -------
    ui.element
        The button.
    """
    classes = f"button button-{kind}" if kind else "button"
    element = ui.element("button").classes(classes).props("type=button").on("click", on_click)
    with element:
        ui.html(escape(label), sanitize=False, tag="span")
    return element


def link(label: str, address: str, kind: str = "", attributes: str = "") -> str:
    """A link that looks like a button.

    Parameters
    ----------
    label : str
        Where it leads.
    address : str
        Of this server.
    kind : str
        ``main`` or ``plain``; empty for the usual one.
    attributes : str
        Further markup of the tag.

    Returns
    -------
    str
        Markup.
    """
    classes = f"button button-{kind}" if kind else "button"
    return f'<a class="{classes}" href="{escape(address)}" {attributes}>{escape(label)}</a>'


def figure(label: str, value: str, unit: str = "", note: str = "", is_main: bool = False, is_next: bool = False) -> str:
    """One large figure with its label, unit and range, for a ``dl``.

    Parameters
    ----------
    label, value, unit, note : str
        In the reader's words.
    is_main : bool
        The one figure of its section.
    is_next : bool
        Something that is to come: it takes the colour of what is planned.

    Returns
    -------
    str
        Markup of one group.
    """
    kind = f"{'hero-main' if is_main else ''} {'hero-next' if is_next else ''}".strip()
    # An empty note still takes its line, so that figures beside each other stand on one.
    beside = f'<dd class="hero-range">{note or "&nbsp;"}</dd>'
    unit_html = f"<i>{escape(unit)}</i>" if unit else ""
    said = f"<dt>{escape(label)}</dt>"
    return f'<div class="{kind}">{said}<dd class="hero-figure">{escape(value)}{unit_html}</dd>{beside}</div>'


def figures(groups: list[str]) -> str:
    """Large figures beside each other.

    Parameters
    ----------
    groups : list of str
        Made by `figure`.

    Returns
    -------
    str
        Markup.
    """
    return f'<dl class="hero">{"".join(groups)}</dl>'
