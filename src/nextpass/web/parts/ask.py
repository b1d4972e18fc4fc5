"""Forms whose answer is a page of its own: what is asked stands in the address, so that it can be kept and sent on."""

from collections.abc import Mapping, Sequence
from html import escape


def ask_html(address: str, fields: Sequence[str], submit: str) -> str:
    """A form that opens an address with what was put in.

    Parameters
    ----------
    address : str
        Of this server.
    fields : sequence of str
        Markup of `ask_text`, `ask_choice` and `ask_lines`, or any other.
    submit : str
        What the button says.

    Returns
    -------
    str
        Markup.
    """
    return (
        f'<form class="ask" method="get" action="{escape(address)}">{"".join(fields)}'
        f'<div class="row"><button class="button button-main" type="submit">{escape(submit)}</button></div></form>'
    )


def ask_text(
    label: str, name: str, value: str = "", *, kind: str = "number", unit: str = "", note: str = "", extra: str = ""
) -> str:
    """A field for a number or a line.

    Parameters
    ----------
    label, name, value : str
        What it is, its name in the address, and what stands in it.
    kind : str
        The browser's type of field.
    unit, note : str
        Beside and below the field.
    extra : str
        Further attributes.

    Returns
    -------
    str
        Markup.
    """
    beside = f'<span class="soft">{escape(unit)}</span>' if unit else ""
    below = f'<span class="field-note">{escape(note)}</span>' if note else ""
    exact = 'step="any" inputmode="decimal"' if kind == "number" else ""
    return (
        f'<div class="field"><label for="ask-{name}">{escape(label)}</label><div class="with-unit">'
        f'<input id="ask-{name}" name="{name}" type="{kind}" value="{escape(value)}" {exact} {extra}>{beside}</div>'
        f"{below}</div>"
    )


def ask_choice(label: str, name: str, options: Mapping[str, str], chosen: str = "") -> str:
    """A field with a few fixed answers.

    Parameters
    ----------
    label, name : str
        What it is, and its name in the address.
    options : Mapping[str, str]
        Answer and what is shown for it.
    chosen : str
        The answer that stands first.

    Returns
    -------
    str
        Markup.
    """
    entries = "".join(
        f'<option value="{escape(value)}"{" selected" if value == chosen else ""}>{escape(said)}</option>'
        for value, said in options.items()
    )
    return (
        f'<div class="field"><label for="ask-{name}">{escape(label)}</label>'
        f'<select id="ask-{name}" name="{name}">{entries}</select></div>'
    )


def ask_lines(label: str, name: str, value: str = "", note: str = "") -> str:
    """A field for several lines of text.

    Parameters
    ----------
    label, name, value, note : str
        What it is, its name in the address, what stands in it, and what to know.

    Returns
    -------
    str
        Markup.
    """
    below = f'<span class="field-note">{escape(note)}</span>' if note else ""
    return (
        f'<div class="field"><label for="ask-{name}">{escape(label)}</label>'
        f'<textarea id="ask-{name}" name="{name}" rows="3" maxlength="20000">{escape(value)}</textarea>{below}</div>'
    )


def ask_box(name: str, value: str, said: str, is_on: bool, is_label_seen: bool = True) -> str:
    """A box to tick.

    Parameters
    ----------
    name, value : str
        In the address where it is ticked.
    said : str
        What it means.
    is_on : bool
        Whether it is ticked first.
    is_label_seen : bool
        False where a table's heads say it; readers of the screen hear it all the same.

    Returns
    -------
    str
        Markup.
    """
    label = f"<span{'' if is_label_seen else ' class=unseen'}>{escape(said)}</span>"
    return (
        f'<label class="box"><input type="checkbox" name="{name}" value="{escape(value)}"'
        f"{' checked' if is_on else ''}>{label}</label>"
    )
