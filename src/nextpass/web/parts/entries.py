"""What was done to the car by hand: a form to say it, and what was said."""

from collections.abc import Callable
from datetime import datetime
from functools import partial
from html import escape

from nicegui import ui

from nextpass.car import ENTRY_KINDS, EntryKind, LedgerEntry
from nextpass.errors import SettingError, Where
from nextpass.jobs import codes_in, forget_ledger_entry, keep_ledger_entries, ledger_entries
from nextpass.report import Reader
from nextpass.web.parts.inputs import choice_field, lines_field, text_field, typed_number
from nextpass.web.parts.markup import button, put
from nextpass.web.visit import Visit
from nextpass.web.waiting import answer_of, show_refusal
from nextpass.words import NO_FIGURE, phrase

# Older ones stay in the book and count; they are not shown.
_SHOWN = 20


def entries_part(visit: Visit, on_change: Callable[[], None]) -> None:
    """Draw the newest entries and the form for another.

    Parameters
    ----------
    visit : Visit
        Of the page.
    on_change : callable
        Called when an entry was kept or taken back.
    """
    reader = visit.reader()
    entries = ledger_entries(visit.desk, visit.kept)
    for entry in reversed(entries[-_SHOWN:]):
        _entry(visit, entry, on_change)
    if not entries:
        put(f"<p>{escape(reader.says('entries.none'))}</p>")
    with ui.element("details"):
        ui.html(escape(reader.says("entries.new")), sanitize=False, tag="summary")
        _form(visit, on_change)


def _entry(visit: Visit, entry: LedgerEntry, on_change: Callable[[], None]) -> None:
    reader = visit.reader()

    async def forget(_event: object) -> None:
        await answer_of(lambda: forget_ledger_entry(visit.desk, visit.kept, entry))
        on_change()

    with ui.element("div").classes("entry"):
        put(
            f"<p><b>{escape(entry.item)}</b> <span class='soft'>{escape(reader.says(f'entries.kind.{entry.kind}'))}, "
            f"{entry.when:%Y-%m-%d %H:%M}</span></p><p>{escape(_about(entry, reader))}</p>"
        )
        taken = button(reader.says("entries.forget"), forget, "plain")
        taken.props(f'aria-label="{escape(reader.says("entries.forget"))}: {escape(entry.item)}"')


def _about(entry: LedgerEntry, reader: Reader) -> str:
    parts = [f"{name.replace('_', ' ')} {_value(value)}" for name, value in entry.values.items()]
    parts += entry.codes
    if entry.state:
        parts.append(reader.says(f"compare.{entry.state}"))
    for key, term in (("entries.every_launches", entry.due_launches), ("entries.every_days", entry.due_days)):
        if term is not None:
            parts.append(reader.says(key, count=reader.number(term)))
    return " · ".join([*parts, *([entry.notes] if entry.notes else [])]) or NO_FIGURE


def _value(value: float | str) -> str:
    return value if isinstance(value, str) else f"{value:g}"


def _form(visit: Visit, on_change: Callable[[], None]) -> None:
    reader = visit.reader()
    texts = {"kind": ENTRY_KINDS[0], "when": datetime.now().astimezone().strftime("%Y-%m-%dT%H:%M"), "state": ""}
    kinds: dict[str, str] = {kind: reader.says(f"entries.kind.{kind}") for kind in ENTRY_KINDS}
    states = {"": NO_FIGURE, **{state: reader.says(f"compare.{state}") for state in ("before", "after")}}
    with ui.element("div").classes("fields"):
        choice_field(reader.says("entries.what"), kinds, texts["kind"], partial(texts.__setitem__, "kind"))
        text_field(reader.says("entries.item"), "", partial(texts.__setitem__, "item"))
        text_field(
            reader.says("entries.when"), texts["when"], partial(texts.__setitem__, "when"), kind="datetime-local"
        )
        for name in ("due_launches", "due_days"):
            text_field(reader.says(f"entries.{name}"), "", partial(texts.__setitem__, name), kind="number")
        choice_field(reader.says("entries.state"), states, "", partial(texts.__setitem__, "state"))
    with ui.element("div").classes("fields"):
        lines_field(
            reader.says("entries.values"),
            partial(texts.__setitem__, "values"),
            note=reader.says("entries.values_note"),
        )
        lines_field(reader.says("entries.codes"), partial(texts.__setitem__, "codes"))
        lines_field(reader.says("entries.notes"), partial(texts.__setitem__, "notes"))
    outcome = ui.element("div").props("aria-live=polite")

    async def keep(_event: object) -> None:
        outcome.clear()
        answer = await answer_of(lambda: keep_ledger_entries(visit.desk, visit.kept, [entry_of(texts)]))
        if isinstance(answer, Exception):
            with outcome:
                show_refusal(answer, reader)
            return
        on_change()

    with ui.element("div").classes("row"):
        button(reader.says("entries.keep"), keep, "main")


def entry_of(texts: dict[str, str]) -> LedgerEntry:
    """The entry that stands in the fields.

    Parameters
    ----------
    texts : dict
        By name of the field.

    Raises
    ------
    SettingError
        It says of nothing, or a value is none.
    """
    item = texts.get("item", "").strip()
    if not item:
        raise SettingError(phrase("entries.no_item"), remedy=phrase("entries.write_item"))
    try:
        when = datetime.fromisoformat(texts["when"]).astimezone()
    except ValueError as error:
        raise SettingError(phrase("entries.no_time"), remedy=phrase("entries.write_time")) from error
    kind: EntryKind = next((one for one in ENTRY_KINDS if one == texts["kind"]), "note")
    return LedgerEntry(
        when=when,
        kind=kind,
        item=item,
        values=_values(texts.get("values", "")),
        due_launches=_term(texts.get("due_launches", ""), "due_launches"),
        due_days=_term(texts.get("due_days", ""), "due_days"),
        codes=tuple(str(code) for code in codes_in([texts["codes"]])) if texts.get("codes", "").strip() else (),
        state=texts["state"],
        notes=texts.get("notes", "").strip(),
    )


def _term(text: str, name: str) -> float | None:
    if not text.strip():
        return None
    try:
        value = typed_number(text)
    except ValueError:
        value = 0.0
    if not 0.0 < value <= 100_000.0:
        raise SettingError(phrase("setup.no_number", text=text), Where(key=name), phrase("entries.write_term"))
    return value


def _values(text: str) -> dict[str, float | str]:
    found: dict[str, float | str] = {}
    for line in text.splitlines():
        if not line.strip():
            continue
        name, equals, said = (part.strip() for part in line.partition("="))
        if not (name and equals and said):
            raise SettingError(phrase("entries.no_value", text=line.strip()), remedy=phrase("entries.values_note"))
        try:
            found[name] = typed_number(said)
        except ValueError:
            found[name] = said
    return found
