"""Passes by car, fuel, strip, finding and value: the database does the search."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Executable, Exists, exists, select
from sqlalchemy.orm import Session

from nextpass.book.expression import condition
from nextpass.book.store import Book
from nextpass.book.tables import CarRow, PassFindingRow, PassRow, PassValueRow, as_utc


@dataclass(frozen=True, slots=True, kw_only=True)
class Search:
    """What is asked for; everything that is given must hold.

    Parameters
    ----------
    car, fuel, strip : str
        Names; empty where it does not matter.
    findings : tuple of str
        Codes, all of which the review of the pass must have.
    severity : str
        Of one of its findings.
    where : str
        A condition on its values, as `condition` reads it.
    since, until : datetime, optional
        When it was run.
    """

    car: str = ""
    fuel: str = ""
    strip: str = ""
    findings: tuple[str, ...] = ()
    severity: str = ""
    where: str = ""
    since: datetime | None = None
    until: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundPass:
    """A pass that was found, with what it is known by.

    Parameters
    ----------
    values : dict of str to float or str
        Conditions, setup, timeslip.
    findings : tuple of (code, severity)
        Of its review, gravest first.
    """

    id: str
    car: str
    sequence: int
    number: int | None
    started: datetime | None
    fuel: str
    strip: str
    lane: str
    notes: str
    values: dict[str, float | str]
    findings: tuple[tuple[str, str], ...]


def find(book: Book, search: Search) -> tuple[FoundPass, ...]:
    """The passes that a search asks for, car by car in the order in which they were run.

    Raises
    ------
    SettingError
        The condition is none, or names a value that no pass has.
    """
    with book.reading() as session:
        known = set(session.scalars(select(PassValueRow.name).distinct())) if search.where else set()
        rows = session.execute(_asked(search, known)).all()
        ids = [row.id for row, _ in rows]
        values, findings = _values(session, ids), _findings(session, ids)
        return tuple(
            FoundPass(
                id=row.id,
                car=name,
                sequence=row.sequence,
                number=row.number,
                started=datetime.fromisoformat(row.started) if row.started else None,
                fuel=row.fuel,
                strip=row.strip,
                lane=row.lane,
                notes=row.notes,
                values=values.get(row.id, {}),
                findings=tuple(findings.get(row.id, ())),
            )
            for row, name in rows
        )


def _asked(search: Search, known: set[str]) -> Executable:
    asked = select(PassRow, CarRow.name).join(CarRow, CarRow.id == PassRow.car_id)
    for column, word in ((CarRow.name, search.car), (PassRow.fuel, search.fuel), (PassRow.strip, search.strip)):
        if word:
            asked = asked.where(column == word)
    for code in search.findings:
        asked = asked.where(_has_finding().where(PassFindingRow.code == code))
    if search.severity:
        asked = asked.where(_has_finding().where(PassFindingRow.severity == search.severity))
    if search.where:
        asked = asked.where(condition(search.where, known))
    if search.since is not None:
        asked = asked.where(PassRow.ran >= as_utc(search.since))
    if search.until is not None:
        asked = asked.where(PassRow.ran <= as_utc(search.until))
    return asked.order_by(CarRow.name, PassRow.sequence)


def _has_finding() -> Exists:
    return exists().where(PassFindingRow.pass_id == PassRow.id)


def _values(session: Session, ids: Sequence[str]) -> dict[str, dict[str, float | str]]:
    found: dict[str, dict[str, float | str]] = {}
    for some in _in_parts(ids):
        for row in session.scalars(select(PassValueRow).where(PassValueRow.pass_id.in_(some))):
            value = row.word if row.number is None else row.number
            if value is not None:
                found.setdefault(row.pass_id, {})[row.name] = value
    return found


def _findings(session: Session, ids: Sequence[str]) -> dict[str, list[tuple[str, str]]]:
    found: dict[str, list[tuple[str, str]]] = {}
    for some in _in_parts(ids):
        asked = select(PassFindingRow).where(PassFindingRow.pass_id.in_(some)).order_by(PassFindingRow.position)
        for row in session.scalars(asked):
            found.setdefault(row.pass_id, []).append((row.code, row.severity))
    return found


def _in_parts(ids: Sequence[str]) -> list[Sequence[str]]:
    # Databases take so many values in one question and no more.
    return [ids[start : start + 500] for start in range(0, len(ids), 500)]
