"""The keys of a car file as fields: unit beside, what is assumed pale in the field, what the passes say below."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from html import escape

from nicegui import ui

from nextpass.car import Assumed
from nextpass.jobs import FormRow, FormTable, KeyPath
from nextpass.report import Reader
from nextpass.web.parts.inputs import choice_field, in_file_notation, in_readers_notation, text_field
from nextpass.words import keys, translated, with_decimal_mark


def _nothing() -> None:
    """What a form does on a change before anybody asks for more."""


@dataclass(slots=True, kw_only=True)
class FormState:
    """What was changed in the form, by path, the place below each field, and whom to tell of a change."""

    assumed: Mapping[str, Assumed]
    changes: dict[KeyPath, str] = field(default_factory=dict)
    places: dict[KeyPath, ui.html] = field(default_factory=dict)
    on_change: Callable[[], object] = _nothing


def table_part(table: FormTable, reader: Reader, state: FormState) -> None:
    """Draw the fields of one table.

    Parameters
    ----------
    table : FormTable
        Its keys.
    reader : Reader
        Language.
    state : FormState
        Takes what is changed.
    """
    with ui.element("div").classes("key-fields"):
        for row in table.rows:
            _row(table, row, reader, state)


def _row(table: FormTable, row: FormRow, reader: Reader, state: FormState) -> None:
    is_word = row.key.kind in ("text", "choice")
    is_list = row.key.kind in ("points", "numbers", "number_or_numbers")

    def changed(text: str) -> None:
        state.changes[row.path] = text if is_word else in_file_notation(text, is_list)
        state.on_change()

    label = key_label(table.name, row.key.name, reader)
    with ui.element("div").classes("key-field"):
        if row.key.kind == "choice":
            choice_field(
                label, {choice: reader.says(f"pump_drive.{choice}") for choice in row.key.choices}, row.text, changed
            )
            return
        assumed = state.assumed.get(".".join(row.path))
        is_long = row.key.kind in ("points", "numbers", "text")
        box = text_field(
            label,
            row.text if is_word else in_readers_notation(row.text, reader.language),
            changed,
            unit="" if row.key.kind == "points" else row.key.unit.replace("m2", "m²"),
            attributes=f"autocomplete=off {'' if is_long else 'inputmode=decimal'}",
        ).classes("long" if is_long else "short")
        said = ""
        if assumed is not None:
            shown = with_decimal_mark(assumed.shown, reader.language)
            box.props["placeholder"] = shown.split(" ")[0]
            said = reader.says("car_page.assumed", shown=shown, origin=translated(assumed.origin, reader.language))
        ui.html(escape(said), sanitize=False, tag="span").classes("field-note")
        state.places[row.path] = ui.html("", sanitize=False, tag="span").classes("field-note passes-say")


def key_label(table: str, name: str, reader: Reader) -> str:
    """What a key of the car file is, in the reader's language.

    Parameters
    ----------
    table, name : str
        As in the file.
    reader : Reader
        Language.

    Returns
    -------
    str
        The key's own name where there is no text for it.
    """
    key = f"key.{table}.{name}"
    return reader.says(key) if key in keys(reader.language) else name.replace("_", " ")
