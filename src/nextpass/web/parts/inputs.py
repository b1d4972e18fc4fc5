"""Fields of the browser's own, each with its label, unit and note, that report what was put in."""

from collections.abc import Callable, Mapping
from html import escape

from nicegui import ui

from nextpass.words import with_decimal_mark

Changed = Callable[[str], None]
_EMIT_VALUE = "(event) => emit(event.target.value)"


def typed_number(text: str) -> float:
    """A number as people type it, with a point or a comma.

    Raises
    ------
    ValueError
        It is none.
    """
    return float(text.strip().replace(",", "."))


def in_file_notation(text: str, is_list: bool = False) -> str:
    """Figures as people type them, as a car file writes them: points for decimals, commas between.

    Parameters
    ----------
    text : str
        Where a semicolon stands between the figures of a list, its commas are decimal marks.
    is_list : bool
        Whether a comma may stand between figures.

    Returns
    -------
    str
        The same figures.
    """
    if ";" in text or not is_list:
        return text.replace(",", ".").replace(";", ",")
    return text


def in_readers_notation(text: str, language: str) -> str:
    """Figures as a car file writes them, as the language does: what `in_file_notation` takes back.

    Parameters
    ----------
    text : str
        One figure, or several with commas between.
    language : str
        One of `LANGUAGES`.

    Returns
    -------
    str
        The same figures.
    """
    shown = with_decimal_mark(text, language)
    # Where the comma is the decimal mark it cannot stand between figures too.
    return shown if shown == text else with_decimal_mark(text.replace(",", ";"), language)


def text_field(
    label: str,
    value: str,
    on_change: Changed,
    *,
    kind: str = "text",
    unit: str = "",
    note: str = "",
    attributes: str = "",
    is_live: bool = False,
) -> ui.element:
    """A field for a text, a number or a time.

    Parameters
    ----------
    label : str
        What it is.
    value : str
        What stands in it first.
    on_change : callable
        Called with what was put in.
    kind : str
        The browser's type of field.
    unit, note : str
        Beside and below the field.
    attributes : str
        Further props, such as ``step=5``.
    is_live : bool
        Report while it is being moved, not only when it is left.

    Returns
    -------
    ui.element
        The field itself.
    """
    with ui.element("div").classes("field"):
        head = ui.html(escape(label), sanitize=False, tag="label")
        with ui.element("div").classes("with-unit"):
            field = ui.element("input").props(f"type={kind} {attributes}")
            field.props["value"] = value
            if unit:
                ui.html(escape(unit), sanitize=False, tag="span").classes("soft")
        if note:
            ui.html(escape(note), sanitize=False, tag="span").classes("field-note")
    head.props(f"for={field.html_id}")
    event = "input" if is_live else "change"
    field.on(event, lambda heard: on_change(str(heard.args)), js_handler=_EMIT_VALUE, throttle=0.1 if is_live else 0.0)
    return field


def choice_field(label: str, options: Mapping[str, str], value: str, on_change: Changed) -> ui.element:
    """A field with a few fixed answers.

    Parameters
    ----------
    label : str
        What it is.
    options : Mapping[str, str]
        Answer and what is shown for it.
    value : str
        The answer that stands first.
    on_change : callable
        Called with the answer.

    Returns
    -------
    ui.element
        The field itself.
    """
    with ui.element("div").classes("field"):
        head = ui.html(escape(label), sanitize=False, tag="label")
        field = ui.element("select")
        with field:
            for answer, shown in options.items():
                option = ui.html(escape(shown), sanitize=False, tag="option")
                option.props["value"] = answer
                if answer == value:
                    option.props["selected"] = True
    head.props(f"for={field.html_id}")
    field.on("change", lambda heard: on_change(str(heard.args)), js_handler=_EMIT_VALUE)
    return field


def lines_field(label: str, on_change: Changed, *, note: str = "") -> ui.element:
    """A field for several lines of text.

    Parameters
    ----------
    label : str
        What it is.
    on_change : callable
        Called with what was put in.
    note : str
        Below the field.

    Returns
    -------
    ui.element
        The field itself.
    """
    with ui.element("div").classes("field"):
        head = ui.html(escape(label), sanitize=False, tag="label")
        field = ui.element("textarea").props("rows=3 maxlength=20000")
        if note:
            ui.html(escape(note), sanitize=False, tag="span").classes("field-note")
    head.props(f"for={field.html_id}")
    field.on("change", lambda heard: on_change(str(heard.args)), js_handler=_EMIT_VALUE)
    return field
