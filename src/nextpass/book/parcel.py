"""Cars with their passes as plain folders, and beside them what a folder cannot say: a part of a book on its way.

    <car>/car.toml              the file in force
    <car>/pass-001/pass.toml    with its logs and what lay beside them, byte for byte
    <car>/book.json             older car files, answers, entries, choices, what was said about columns

The same tree is exported to a folder and packed into a bundle; opening it in another book loses nothing and changes
nothing that is there already.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError
from sqlalchemy import select
from sqlalchemy.orm import Session

from nextpass.book.answers import AnswerSet, KeptFinding, MadeAnswer, put_answers, put_said
from nextpass.book.cars import KeptCar
from nextpass.book.content import PassContent
from nextpass.book.entries import Entry, put_entry
from nextpass.book.files import sha256_of
from nextpass.book.passes import keep_files, put_pass
from nextpass.book.store import Book
from nextpass.book.tables import (
    AnswerRow,
    CarFileRow,
    CarRow,
    ColumnAnswerRow,
    EntryRow,
    PassFindingRow,
    PassLogRow,
    PassRow,
    PassValueRow,
    RememberedRow,
)
from nextpass.errors import BundleError, Where
from nextpass.words import phrase

RECORD_FILE = "book.json"
FORMAT = 1


class _Record(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class CarFileRecord(_Record):
    """One version of a car's file."""

    text: str = Field(max_length=1_000_000)
    created: datetime


class FindingRecord(_Record):
    """A finding that a pass is found by."""

    code: str = Field(max_length=60)
    severity: str = Field(max_length=10)
    gear: int | None


class AnswerRecord(_Record):
    """An answer with what made it; `car_file` is the checksum of that file's text."""

    kind: str = Field(max_length=20)
    program: str = Field(max_length=50)
    car_file: str
    said: str = Field(max_length=64)
    body: dict[str, Any]
    values: dict[str, float | str]
    findings: list[FindingRecord] | None


class PassRecordInParcel(_Record):
    """A pass; its files lie in `folder`, and its answers are of files with that checksum only."""

    folder: str
    created: datetime
    content_sha256: str
    header: str = Field(max_length=400)
    answers: list[AnswerRecord]


class EntryRecord(_Record):
    """An entry; `pass_folder` names the pass that it belongs to."""

    id: str = Field(pattern="^[0-9a-f]{32}$")
    kind: str = Field(max_length=40)
    subject: str = Field(max_length=200)
    at: datetime
    state: str = Field(pattern="^(|before|after)$")
    occasion: str = Field(max_length=200)
    number: float | None
    unit: str = Field(max_length=30)
    word: str = Field(max_length=500)
    note: str
    pass_folder: str | None


class CarRecord(_Record):
    """All of a car's part of a book but its passes' files."""

    format: int
    id: str = Field(pattern="^[0-9a-f]{32}$")
    name: str = Field(max_length=200)
    files: list[CarFileRecord] = Field(min_length=1)
    passes: list[PassRecordInParcel]
    entries: list[EntryRecord]
    choices: dict[str, Any]
    said: dict[str, dict[str, str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class CarParcel:
    """A car on its way into a book; `content` gives the files of a pass by its folder."""

    record: CarRecord
    content: Callable[[str], PassContent]


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """What opening parcels did: passes that are new, that were corrected, and that were there already."""

    cars: tuple[str, ...]
    new: int
    corrected: int
    known: int


def car_record(book: Book, car: KeptCar, pass_ids: Sequence[str] | None = None) -> tuple[CarRecord, dict[str, str]]:
    """A car's part of a book, and the id of the pass in each folder; all passes where none are named."""
    with book.reading() as session:
        passes = select(PassRow).where(PassRow.car_id == car.id).order_by(PassRow.sequence)
        rows = [row for row in session.scalars(passes) if pass_ids is None or row.id in pass_ids]
        folders = {row.id: f"pass-{row.sequence:03}" for row in rows}
        files = session.scalars(
            select(CarFileRow).where(CarFileRow.car_id == car.id).order_by(CarFileRow.created, CarFileRow.id)
        ).all()
        by_id = {file.id: file.sha256 for file in files}
        headers = {header for row in rows for header in row.header.split("+")}
        record = CarRecord(
            format=FORMAT,
            id=car.id,
            name=car.name,
            files=[CarFileRecord(text=file.text, created=file.created) for file in files],
            passes=[
                PassRecordInParcel(
                    folder=folders[row.id],
                    created=row.created,
                    content_sha256=row.content_sha256,
                    header=row.header,
                    answers=list(_answer_records(session, row.id, by_id)),
                )
                for row in rows
            ],
            entries=list(_entry_records(session, car.id, folders)),
            choices={
                row.subject: row.body
                for row in session.scalars(select(RememberedRow).where(RememberedRow.car_id == car.id))
            },
            said=_said_of(session, headers),
        )
    return record, {folder: pass_id for pass_id, folder in folders.items()}


def read_record(content: bytes, where: Where) -> CarRecord:
    """The record of a car on its way.

    Raises
    ------
    BundleError
        It is no such record, or a newer program made it.
    """
    try:
        record = CarRecord.model_validate_json(content)
    except ValidationError as error:
        first = error.errors()[0]
        place = ".".join(str(part) for part in first["loc"])
        raise BundleError(
            phrase("refusal.bundle.record_says", place=place, why=first["msg"]),
            where,
            phrase("refusal.common.export_again"),
        ) from error
    if record.format > FORMAT:
        raise BundleError(phrase("refusal.book.newer_made"), where, phrase("refusal.common.update"))
    return record


def open_parcels(book: Book, parcels: Sequence[CarParcel], as_name: str | None = None) -> Opened:
    """Bring cars with all their passes into a book, all of them or nothing.

    Parameters
    ----------
    book : Book
    parcels : sequence of CarParcel
    as_name : str, optional
        Another name for the car, where there is one car.

    Raises
    ------
    BundleError
        A file is damaged, or the book has another car of the same name.
    BookError
        The book cannot be written; it is as it was.
    """
    if as_name is not None and len(parcels) != 1:
        raise BundleError(phrase("refusal.bundle.several_cars"), Where(), phrase("refusal.bundle.without_as"))
    # Files first: rows only ever point to what is whole on disk.
    kept = [[(one, *_kept_files(book, parcel, one)) for one in parcel.record.passes] for parcel in parcels]
    told = {"new": 0, "corrected": 0, "known": 0}
    names = []
    with book.writing() as session:
        for parcel, passes in zip(parcels, kept, strict=True):
            car = _put_car(session, parcel.record, as_name or parcel.record.name)
            names.append(car.name)
            rows = {}
            for one, toml, files in passes:
                row, kept_as = put_pass(session, car.id, toml, files, one.created)
                told[kept_as] += 1
                rows[one.folder] = row
                if kept_as == "new" and row.content_sha256 == one.content_sha256:
                    _put_answers(session, car, row, one)
            _put_rest(session, car, parcel.record, rows)
    return Opened(cars=tuple(names), new=told["new"], corrected=told["corrected"], known=told["known"])


def _kept_files(book: Book, parcel: CarParcel, one: PassRecordInParcel) -> tuple[str, list[PassLogRow]]:
    """The pass file of a pass on its way, and the rows of its files, which are on disk by then."""
    content = parcel.content(one.folder)
    return content.toml, keep_files(book, content)


def _answer_records(session: Session, pass_id: str, car_files: dict[str, str]) -> Iterator[AnswerRecord]:
    findings = [
        FindingRecord(code=row.code, severity=row.severity, gear=row.gear)
        for row in session.scalars(
            select(PassFindingRow).where(PassFindingRow.pass_id == pass_id).order_by(PassFindingRow.position)
        )
    ]
    values: dict[str, dict[str, float | str]] = {}
    for row in session.scalars(select(PassValueRow).where(PassValueRow.pass_id == pass_id)):
        value = row.word if row.number is None else row.number
        if value is not None:
            values.setdefault(row.kind, {})[row.name] = value
    for answer in session.scalars(select(AnswerRow).where(AnswerRow.pass_id == pass_id)):
        yield AnswerRecord(
            kind=answer.kind,
            program=answer.program,
            car_file=car_files[answer.car_file_id],
            said=answer.said,
            body=answer.body,
            values=values.get(answer.kind, {}),
            findings=findings if "findings" in answer.body else None,
        )


def _entry_records(session: Session, car_id: str, folders: dict[str, str]) -> Iterator[EntryRecord]:
    for row in session.scalars(select(EntryRow).where(EntryRow.car_id == car_id).order_by(EntryRow.at, EntryRow.id)):
        yield EntryRecord(
            id=row.id,
            kind=row.kind,
            subject=row.subject,
            at=row.at,
            state=row.state,
            occasion=row.occasion,
            number=row.number,
            unit=row.unit,
            word=row.word,
            note=row.note,
            pass_folder=None if row.pass_id is None else folders.get(row.pass_id),
        )


def _said_of(session: Session, headers: set[str]) -> dict[str, dict[str, str]]:
    said: dict[str, dict[str, str]] = {}
    for row in session.scalars(select(ColumnAnswerRow)):
        if row.header in headers:
            said.setdefault(row.header, {})[row.column] = row.answer
    return said


def _put_car(session: Session, record: CarRecord, name: str) -> CarRow:
    """The car in the book: the same one, known by its id or by a file in common, else a new one."""
    texts = {sha256_of(file.text.encode()): file for file in record.files}
    car = session.get(CarRow, record.id)
    if car is None:
        car = session.scalar(select(CarRow).where(CarRow.name == name))
        if car is not None and not any(file.sha256 in texts for file in car.files):
            raise BundleError(
                phrase("refusal.bundle.another_car", name=name), Where(), phrase("refusal.bundle.with_as")
            )
    if car is None:
        car = CarRow(id=record.id, name=name)
        session.add(car)
        session.flush()
    known = {file.sha256 for file in car.files}
    for checksum, file in texts.items():
        if checksum not in known:
            car.files.append(CarFileRow(text=file.text, sha256=checksum, created=file.created))
    session.flush()
    return car


def _put_answers(session: Session, car: CarRow, row: PassRow, record: PassRecordInParcel) -> None:
    by_text = {file.sha256: file.id for file in car.files}
    for answer in record.answers:
        if answer.car_file not in by_text:
            continue
        findings = answer.findings
        made = MadeAnswer(
            kind=answer.kind,
            body=answer.body,
            values=answer.values,
            findings=None
            if findings is None
            else tuple(KeptFinding(code=one.code, severity=one.severity, gear=one.gear) for one in findings),
        )
        put_answers(
            session,
            {
                row.id: AnswerSet(
                    program=answer.program,
                    car_file_id=by_text[answer.car_file],
                    header=record.header,
                    said=answer.said,
                    answers=(made,),
                )
            },
        )


def _put_rest(session: Session, car: CarRow, record: CarRecord, rows: dict[str, PassRow]) -> None:
    for one in record.entries:
        if session.get(EntryRow, one.id) is not None:
            continue
        owner = rows.get(one.pass_folder or "")
        entry = Entry(
            id=one.id,
            kind=one.kind,
            subject=one.subject,
            at=one.at,
            state="before" if one.state == "before" else "after" if one.state == "after" else "",
            occasion=one.occasion,
            number=one.number,
            unit=one.unit,
            word=one.word,
            note=one.note,
            pass_id=None if owner is None else owner.id,
        )
        put_entry(session, car.id, entry)
    for subject, body in record.choices.items():
        # A choice that was made here stays.
        if session.get(RememberedRow, (car.id, subject)) is None:
            session.add(RememberedRow(car_id=car.id, subject=subject[:100], body=body))
    for header, answers in record.said.items():
        new = {
            column: answer
            for column, answer in answers.items()
            if session.get(ColumnAnswerRow, (header, column)) is None
        }
        put_said(session, {header: new})
