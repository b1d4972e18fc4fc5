"""What a person entered about a car: trouble codes, learned values, tyre pressures, sensor ids, resets.

Entries of one reset or relearn share an occasion and are told apart by their state: before it, and after it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from nextpass.book.cars import KeptCar
from nextpass.book.store import Book
from nextpass.book.tables import EntryRow, as_utc, new_id

State = Literal["", "before", "after"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One thing that a person entered.

    Parameters
    ----------
    kind : str
        Such as ``trouble-code``, ``learned-value``, ``tyre-pressure``.
    subject : str
        What it is about: the code, the name of the value, the wheel.
    at : datetime
        When it was so.
    state : {"", "before", "after"}
        Of the occasion.
    occasion : str
        What was done, such as ``clutch relearn``; empty where nothing was.
    number : float or None
        The value, in `unit`.
    word : str
        The value where it is no number.
    note : str
        In the person's own words.
    pass_id : str or None
        The pass that it belongs to.
    id : str
        Empty until the book keeps it.
    """

    kind: str
    subject: str
    at: datetime
    state: State = ""
    occasion: str = ""
    number: float | None = None
    unit: str = ""
    word: str = ""
    note: str = ""
    pass_id: str | None = None
    id: str = ""


def keep_entries(book: Book, car: KeptCar, entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """Keep entries of a car, all or none; an entry with the id of a kept one takes its place."""
    with book.writing() as session:
        return tuple(_entry(put_entry(session, car.id, entry)) for entry in entries)


def put_entry(session: Session, car_id: str, entry: Entry) -> EntryRow:
    """Put an entry into the book inside a transaction of the caller's."""
    row = EntryRow(
        id=entry.id or new_id(),
        car_id=car_id,
        pass_id=entry.pass_id,
        kind=entry.kind,
        subject=entry.subject,
        at=as_utc(entry.at),
        state=entry.state,
        occasion=entry.occasion,
        number=entry.number,
        unit=entry.unit,
        word=entry.word,
        note=entry.note,
    )
    merged: EntryRow = session.merge(row)
    session.flush()
    return merged


def entries_of(book: Book, car: KeptCar, kind: str | None = None) -> tuple[Entry, ...]:
    """The entries of a car, oldest first; of one kind where it is named."""
    asked = select(EntryRow).where(EntryRow.car_id == car.id).order_by(EntryRow.at, EntryRow.created)
    if kind is not None:
        asked = asked.where(EntryRow.kind == kind)
    with book.reading() as session:
        return tuple(_entry(row) for row in session.scalars(asked))


def forget_entry(book: Book, entry_id: str) -> None:
    """Take back an entry; nothing happens where there is none of that id."""
    with book.writing() as session:
        session.execute(delete(EntryRow).where(EntryRow.id == entry_id))


def _entry(row: EntryRow) -> Entry:
    state: State = "before" if row.state == "before" else "after" if row.state == "after" else ""
    return Entry(
        id=row.id,
        kind=row.kind,
        subject=row.subject,
        at=row.at,
        state=state,
        occasion=row.occasion,
        number=row.number,
        unit=row.unit,
        word=row.word,
        note=row.note,
        pass_id=row.pass_id,
    )
