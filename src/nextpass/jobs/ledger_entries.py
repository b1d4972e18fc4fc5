"""What was done to a car by hand, kept in its book: one row for each thing said, so that a bundle can carry each.

An entry of the ledger becomes a row for itself, one for each of its terms, values and codes; rows of one moment and one
item are one entry again. A log that was taken while the work was done stays with the ledger file, not with the book.
"""

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Final, Literal

from nextpass.book import Entry, KeptCar, entries_of, forget_entry, keep_entries
from nextpass.car import ENTRY_KINDS, EntryKind, LedgerEntry
from nextpass.jobs.desk import Desk

_CODE, _VALUE, _TERM = "trouble-code", "learned-value", "term"
# What a row that stands without an entry of its own is taken for.
_ALONE: Final[Mapping[str, EntryKind]] = {_CODE: "codes", _VALUE: "learned"}
_LAUNCHES, _DAYS = "launches", "days"


def keep_ledger_entries(desk: Desk, kept: KeptCar, entries: Sequence[LedgerEntry]) -> None:
    """Keep what was done to a car, all or none; the same thing said again takes the place of what was said before.

    Parameters
    ----------
    desk : Desk
        With the book open.
    kept : KeptCar
        To which it was done.
    entries : sequence of LedgerEntry
        Their logs are left out.
    """
    rows = [row for entry in entries for row in _rows(entry)]
    keep_entries(desk.book, kept, [replace(row, id=_id(kept, row)) for row in rows])


def ledger_entries(desk: Desk, kept: KeptCar) -> tuple[LedgerEntry, ...]:
    """What was done to a car, the oldest first.

    Parameters
    ----------
    desk : Desk
        With the book open.
    kept : KeptCar
        To which it was done.
    """
    grouped: dict[tuple[datetime, str, str], list[Entry]] = {}
    for row in entries_of(desk.book, kept):
        grouped.setdefault((row.at, _item(row), row.state), []).append(row)
    return tuple(_entry(rows) for rows in grouped.values())


def forget_ledger_entry(desk: Desk, kept: KeptCar, entry: LedgerEntry) -> None:
    """Take back one entry; nothing happens where it is gone.

    Parameters
    ----------
    desk : Desk
        With the book open.
    kept : KeptCar
        Whose entry it is.
    entry : LedgerEntry
        As `ledger_entries` gives it.
    """
    for row in entries_of(desk.book, kept):
        if (row.at, _item(row), row.state) == (entry.when, entry.item, entry.state):
            forget_entry(desk.book, row.id)


def _rows(entry: LedgerEntry) -> Iterator[Entry]:
    state: Literal["", "before", "after"]
    state = "before" if entry.state == "before" else "after" if entry.state == "after" else ""
    plain = Entry(kind=entry.kind, subject=entry.item, at=entry.when, state=state, occasion=entry.item)
    yield replace(plain, note=entry.notes)
    for unit, number in ((_LAUNCHES, entry.due_launches), (_DAYS, entry.due_days)):
        if number is not None:
            yield replace(plain, kind=_TERM, subject=unit, number=number, unit=unit)
    for name, value in entry.values.items():
        row = replace(plain, kind=_VALUE, subject=name)
        yield replace(row, word=value) if isinstance(value, str) else replace(row, number=value)
    for code in entry.codes:
        yield replace(plain, kind=_CODE, subject=code)


def _entry(rows: Sequence[Entry]) -> LedgerEntry:
    first = rows[0]
    heads = [kind for row in rows for kind in ENTRY_KINDS if kind == row.kind]
    terms = {row.subject: row.number for row in rows if row.kind == _TERM}
    return LedgerEntry(
        when=first.at,
        kind=heads[0] if heads else _ALONE.get(first.kind, "note"),
        item=_item(first),
        values={row.subject: row.word if row.number is None else row.number for row in rows if row.kind == _VALUE},
        due_launches=terms.get(_LAUNCHES),
        due_days=terms.get(_DAYS),
        codes=tuple(row.subject for row in rows if row.kind == _CODE),
        state=first.state,
        notes=" ".join(row.note for row in rows if row.note),
    )


def _item(row: Entry) -> str:
    return row.occasion or row.subject


def _id(kept: KeptCar, row: Entry) -> str:
    """The same for the same thing said twice."""
    said = "\n".join((kept.id, row.at.isoformat(), row.kind, row.occasion, row.subject, row.state))
    return hashlib.sha256(said.encode()).hexdigest()[:32]
