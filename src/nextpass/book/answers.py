"""The answers of a book: kept with what made them, so that an answer that is out of date is known as such.

Three things make an answer: the program, the car's file, and what people said about the columns of the log. When one of
them is another now, the answer is not given any more until it is made anew.
"""

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import delete, insert, select, update
from sqlalchemy.orm import Session

from nextpass.book.cars import KeptCar
from nextpass.book.store import Book
from nextpass.book.tables import AnswerRow, ColumnAnswerRow, PassFindingRow, PassRow, PassValueRow
from nextpass.errors import BookError, Where
from nextpass.words import phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptFinding:
    """A finding, as far as a pass is found by it."""

    code: str
    severity: str
    gear: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeAnswer:
    """One answer.

    Parameters
    ----------
    kind : str
        Such as ``review``; a pass has one answer of a kind.
    body : dict
        By the contract.
    values : Mapping[str, float or str]
        What the pass is found by.
    findings : tuple of KeptFinding or None
        What the pass is found by; None where this kind of answer has none.
    """

    kind: str
    body: dict[str, Any]
    values: Mapping[str, float | str] = field(default_factory=dict)
    findings: tuple[KeptFinding, ...] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerSet:
    """The answers of one pass with what made them.

    Parameters
    ----------
    program : str
        Version.
    car_file_id : str
        Of the car's file that they rest on.
    header : str
        Of the logs, as they were read.
    said : str
        From `said_checksum`, of what was said about that header's columns.
    answers : tuple of MadeAnswer
    """

    program: str
    car_file_id: str
    header: str
    said: str
    answers: tuple[MadeAnswer, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StalePass:
    """A pass that lacks an answer of today."""

    pass_id: str
    car_id: str
    sequence: int


ColumnAnswers = Mapping[str, Mapping[str, str]]


def said_checksum(said: ColumnAnswers, header: str) -> str:
    """Checksum of what was said about the columns of a header; empty where nothing was.

    Parameters
    ----------
    said : Mapping[str, Mapping[str, str]]
        By header and column.
    header : str
        As `Log.header_key`: several where a pass has several logs.
    """
    concerned = {part: dict(said[part]) for part in header.split("+") if said.get(part)}
    if not concerned:
        return ""
    return hashlib.sha256(json.dumps(concerned, sort_keys=True).encode()).hexdigest()


def keep_said(book: Book, header: str, answers: Mapping[str, str]) -> None:
    """Keep what a person said about the columns of a header; a later answer takes the place of an earlier one."""
    with book.writing() as session:
        put_said(session, {header: answers})


def put_said(session: Session, said: ColumnAnswers) -> None:
    """Put answers about columns into the book inside a transaction of the caller's."""
    for header, answers in said.items():
        for column, answer in answers.items():
            session.merge(ColumnAnswerRow(header=header, column=column, answer=answer))


def said_in(book: Book) -> dict[str, dict[str, str]]:
    """All that was said about columns, by header and column."""
    with book.reading() as session:
        return _said(session)


def keep_answers(book: Book, made: Mapping[str, AnswerSet]) -> None:
    """Keep the answers of passes in place of older ones of their kind: those of all the passes, or none.

    Parameters
    ----------
    book : Book
    made : Mapping[str, AnswerSet]
        By pass id.

    Raises
    ------
    BookError
        A pass is not in the book.
    """
    if not made:
        return
    with book.writing() as session:
        known = set(session.scalars(select(PassRow.id).where(PassRow.id.in_(made))))
        for pass_id in made:
            if pass_id not in known:
                raise BookError(phrase("refusal.book.no_pass_id", pass_id=pass_id), Where(file=book.place.shown))
        put_answers(session, made)


def put_answers(session: Session, made: Mapping[str, AnswerSet]) -> None:
    """Put the answers of passes into the book, by pass id, inside a transaction of the caller's."""
    headers: dict[str, list[str]] = {}
    kinds: dict[str, dict[str, tuple[AnswerSet, MadeAnswer]]] = {}
    for pass_id, one in made.items():
        headers.setdefault(one.header, []).append(pass_id)
        for answer in one.answers:
            kinds.setdefault(answer.kind, {})[pass_id] = (one, answer)
    for header, pass_ids in headers.items():
        session.execute(update(PassRow).where(PassRow.id.in_(pass_ids)).values(header=header))
    for kind, answers in kinds.items():
        _put_kind(session, kind, answers)


def answers_of(book: Book, car: KeptCar, kind: str, program: str) -> dict[str, dict[str, Any]]:
    """The answers of a car's passes that are still true, by pass id.

    Parameters
    ----------
    book : Book
    car : KeptCar
        With its file in force.
    kind : str
    program : str
        The version that asks.
    """
    with book.reading() as session:
        said = _said(session)
        rows = session.execute(
            select(AnswerRow.pass_id, AnswerRow.body, AnswerRow.said, PassRow.header)
            .join(PassRow, PassRow.id == AnswerRow.pass_id)
            .where(
                PassRow.car_id == car.id,
                AnswerRow.kind == kind,
                AnswerRow.car_file_id == car.file_id,
                AnswerRow.program == program,
            )
        )
        return {pass_id: body for pass_id, body, then, header in rows if then == said_checksum(said, header)}


def stale_passes(
    book: Book, cars: Sequence[KeptCar], kinds: Sequence[str], program: str, *, every: bool = False
) -> tuple[StalePass, ...]:
    """The passes that lack an answer of today of one of the kinds, or every pass, car by car in order.

    Parameters
    ----------
    book : Book
    cars : sequence of KeptCar
        Whose passes; each with its file in force.
    kinds : sequence of str
    program : str
        The version that asks.
    every : bool
        Whether those with true answers are given as well.
    """
    stale: list[StalePass] = []
    with book.reading() as session:
        said = _said(session)
        for car in cars:
            kept: dict[str, set[str]] = {}
            rows = session.execute(
                select(AnswerRow.pass_id, AnswerRow.kind, AnswerRow.said, PassRow.header)
                .join(PassRow, PassRow.id == AnswerRow.pass_id)
                .where(PassRow.car_id == car.id, AnswerRow.car_file_id == car.file_id, AnswerRow.program == program)
            )
            for pass_id, kind, then, header in rows:
                if then == said_checksum(said, header):
                    kept.setdefault(pass_id, set()).add(kind)
            passes = session.execute(
                select(PassRow.id, PassRow.sequence).where(PassRow.car_id == car.id).order_by(PassRow.sequence)
            )
            stale += [
                StalePass(pass_id=pass_id, car_id=car.id, sequence=sequence)
                for pass_id, sequence in passes
                if every or not kept.get(pass_id, set()).issuperset(kinds)
            ]
    return tuple(stale)


def _said(session: Session) -> dict[str, dict[str, str]]:
    said: dict[str, dict[str, str]] = {}
    for row in session.scalars(select(ColumnAnswerRow)):
        said.setdefault(row.header, {})[row.column] = row.answer
    return said


def _put_kind(session: Session, kind: str, answers: Mapping[str, tuple[AnswerSet, MadeAnswer]]) -> None:
    # All rows of a table in one statement: a recheck of a season puts a hundred thousand of them.
    pass_ids = list(answers)
    session.execute(delete(AnswerRow).where(AnswerRow.pass_id.in_(pass_ids), AnswerRow.kind == kind))
    session.execute(
        insert(AnswerRow),
        [
            {
                "pass_id": pass_id,
                "kind": kind,
                "program": made.program,
                "car_file_id": made.car_file_id,
                "said": made.said,
                "body": answer.body,
            }
            for pass_id, (made, answer) in answers.items()
        ],
    )
    session.execute(delete(PassValueRow).where(PassValueRow.pass_id.in_(pass_ids), PassValueRow.kind == kind))
    values = [
        {
            "pass_id": pass_id,
            "name": name,
            "kind": kind,
            "number": None if isinstance(value, str) else float(value),
            "word": value[:200] if isinstance(value, str) else None,
        }
        for pass_id, (_, answer) in answers.items()
        for name, value in answer.values.items()
    ]
    if values:
        session.execute(insert(PassValueRow), values)
    with_findings = {pass_id: one.findings for pass_id, (_, one) in answers.items() if one.findings is not None}
    session.execute(delete(PassFindingRow).where(PassFindingRow.pass_id.in_(with_findings)))
    findings = [
        {
            "pass_id": pass_id,
            "position": position,
            "code": finding.code,
            "severity": finding.severity,
            "gear": finding.gear,
        }
        for pass_id, found in with_findings.items()
        for position, finding in enumerate(found)
    ]
    if findings:
        session.execute(insert(PassFindingRow), findings)
