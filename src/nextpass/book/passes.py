"""What a book is asked: cars and their files, passes with their logs, answers.

A pass is acknowledged when `keep_pass` returns: by then its logs are on disk and its row is committed. Keeping the
same pass twice gives the one that is there.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from nextpass.book.files import keep_log, log_bytes, sha256_of
from nextpass.book.store import Book
from nextpass.book.tables import AnswerRow, CarFileRow, CarRow, PassLogRow, PassRow, RememberedRow
from nextpass.car import PassRecord
from nextpass.errors import BookError

PASS_FILE = "pass.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptCar:
    """A car of the book with its file in force."""

    id: str
    name: str
    file_id: str
    file_text: str
    pass_count: int
    newest: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptPass:
    """A pass of the book; `sequence` counts the passes of its car in the order in which they were run."""

    id: str
    car_id: str
    sequence: int
    number: int | None
    started: datetime | None
    fuel: str
    notes: str
    log_names: tuple[str, ...]


def keep_car(book: Book, name: str, file_text: str) -> KeptCar:
    """Keep a car's file; a changed file becomes the one in force, older ones stay."""
    checksum = sha256_of(file_text.encode())
    with book.writing() as session:
        car = session.scalar(select(CarRow).where(CarRow.name == name))
        if car is None:
            car = CarRow(name=name)
            session.add(car)
            session.flush()
        kept = session.scalar(select(CarFileRow).where(CarFileRow.car_id == car.id, CarFileRow.sha256 == checksum))
        if kept is None:
            session.add(CarFileRow(car_id=car.id, text=file_text, sha256=checksum))
        else:
            kept.created = datetime.now(UTC)
        session.flush()
        return _kept_car(session, car)


def cars(book: Book) -> tuple[KeptCar, ...]:
    """Every car, the one that was run last first."""
    with book.reading() as session:
        kept = [_kept_car(session, car) for car in session.scalars(select(CarRow).order_by(CarRow.name))]
    never = datetime.min.replace(tzinfo=UTC)
    return tuple(sorted(kept, key=lambda car: car.newest or never, reverse=True))


def car_named(book: Book, name: str) -> KeptCar:
    """The car of that name.

    Raises
    ------
    BookError
        The book has no such car.
    """
    with book.reading() as session:
        car = session.scalar(select(CarRow).where(CarRow.name == name))
        if car is None:
            raise BookError(f"no car is named {name!r}", remedy="list them with nextpass find")
        return _kept_car(session, car)


def keep_pass(book: Book, car: KeptCar, record: PassRecord) -> KeptPass:
    """Keep a pass from its folder, logs first; the same pass is kept once.

    Raises
    ------
    BookError
        The pass cannot be written; the book is as it was.
    """
    toml = (record.folder / PASS_FILE).read_text(encoding="utf-8")
    logs = [(path.name, path.read_bytes()) for path in record.logs]
    checksums = [keep_log(book.folder, content) for _, content in logs]
    content_sha256 = sha256_of("\n".join([toml, *checksums]).encode())
    with book.writing() as session:
        kept = session.scalar(select(PassRow).where(PassRow.car_id == car.id, PassRow.content_sha256 == content_sha256))
        if kept is None:
            last = session.scalar(select(func.max(PassRow.sequence)).where(PassRow.car_id == car.id))
            kept = PassRow(
                car_id=car.id,
                sequence=(last or 0) + 1,
                number=record.number,
                started=record.started,
                fuel=record.setup.fuel,
                notes=record.notes,
                toml=toml,
                content_sha256=content_sha256,
                logs=[
                    PassLogRow(position=position, file_name=name, sha256=checksum, size=len(content))
                    for position, ((name, content), checksum) in enumerate(zip(logs, checksums, strict=True))
                ],
            )
            session.add(kept)
            session.flush()
        return _kept_pass(kept)


def passes_of(book: Book, car: KeptCar) -> tuple[KeptPass, ...]:
    """The passes of a car in the order in which they were run."""
    with book.reading() as session:
        rows = session.scalars(select(PassRow).where(PassRow.car_id == car.id).order_by(PassRow.sequence))
        return tuple(_kept_pass(row) for row in rows)


def pass_with_id(book: Book, pass_id: str) -> KeptPass:
    """One pass.

    Raises
    ------
    BookError
        The book has no such pass.
    """
    with book.reading() as session:
        return _kept_pass(_pass_row(session, pass_id))


def export_pass(book: Book, pass_id: str, folder: Path) -> Path:
    """Write a pass as the folder that it came from, byte for byte, and give the folder."""
    with book.reading() as session:
        row = _pass_row(session, pass_id)
        toml = row.toml
        logs = [(log.file_name, log.sha256) for log in row.logs]
    folder.mkdir(parents=True, exist_ok=True)
    for name, checksum in logs:
        (folder / name).write_bytes(log_bytes(book.folder, checksum))
    (folder / PASS_FILE).write_text(toml, encoding="utf-8")
    return folder


def keep_answer(book: Book, pass_id: str, kind: str, car_file_id: str, program: str, body: dict[str, Any]) -> None:
    """Keep the answer of that kind for a pass in place of an older one."""
    with book.writing() as session:
        row = session.scalar(select(AnswerRow).where(AnswerRow.pass_id == pass_id, AnswerRow.kind == kind))
        if row is None:
            row = AnswerRow(pass_id=pass_id, kind=kind)
            session.add(row)
        row.program, row.car_file_id, row.body, row.created = program, car_file_id, body, datetime.now(UTC)


def answers_of(book: Book, pass_ids: Sequence[str], kind: str, car_file_id: str, program: str) -> dict[str, Any]:
    """Answers by pass that this program made with this car file; one that is older is left out."""
    with book.reading() as session:
        rows = session.scalars(
            select(AnswerRow).where(
                AnswerRow.pass_id.in_(pass_ids),
                AnswerRow.kind == kind,
                AnswerRow.car_file_id == car_file_id,
                AnswerRow.program == program,
            )
        )
        return {row.pass_id: row.body for row in rows}


def remember(book: Book, car: KeptCar, subject: str, body: object) -> None:
    """Keep what a person chose for a car."""
    with book.writing() as session:
        row = session.get(RememberedRow, (car.id, subject))
        if row is None:
            session.add(RememberedRow(car_id=car.id, subject=subject, body=body))
        else:
            row.body = body


def remembered(book: Book, car: KeptCar, subject: str) -> object | None:
    """What was kept by `remember`, or None."""
    with book.reading() as session:
        row = session.get(RememberedRow, (car.id, subject))
        return None if row is None else row.body


def _pass_row(session: Session, pass_id: str) -> PassRow:
    row = session.get(PassRow, pass_id)
    if row is None:
        raise BookError(f"no pass has the id {pass_id!r}", remedy="list them with nextpass find")
    return row


def _kept_car(session: Session, car: CarRow) -> KeptCar:
    file = session.scalars(
        select(CarFileRow).where(CarFileRow.car_id == car.id).order_by(CarFileRow.created.desc()).limit(1)
    ).one()
    count = session.scalar(select(func.count()).select_from(PassRow).where(PassRow.car_id == car.id)) or 0
    newest = session.scalar(
        select(PassRow.created).where(PassRow.car_id == car.id).order_by(PassRow.created.desc()).limit(1)
    )
    return KeptCar(
        id=car.id,
        name=car.name,
        file_id=file.id,
        file_text=file.text,
        pass_count=count,
        newest=None if newest is None else newest.replace(tzinfo=UTC),
    )


def _kept_pass(row: PassRow) -> KeptPass:
    return KeptPass(
        id=row.id,
        car_id=row.car_id,
        sequence=row.sequence,
        number=row.number,
        started=row.started,
        fuel=row.fuel,
        notes=row.notes,
        log_names=tuple(log.file_name for log in row.logs),
    )
