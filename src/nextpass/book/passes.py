"""The passes of a book: kept whole with their logs, in the order in which they were run, and given back to the letter.

A pass is acknowledged when `keep_pass` returns: by then its logs are on disk and its row is committed. A pass is told
from others by its logs: the same logs again are the same pass, and another pass file then corrects it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Literal

from sqlalchemy import func, select, update
from sqlalchemy.orm import Session, selectinload

from nextpass.book.answers import AnswerSet, put_answers
from nextpass.book.cars import KeptCar
from nextpass.book.content import NamedFile, PassContent, described, logs_checksum
from nextpass.book.files import keep_log, log_bytes, packed_log, sha256_of, unpacked_log
from nextpass.book.store import Book
from nextpass.book.tables import PassLogRow, PassRow, as_utc, now
from nextpass.errors import BookError, PassFileError, Where
from nextpass.files import PASS_FILE
from nextpass.words import phrase

# What keeping a pass did: it was new, its file was corrected, or it was there already.
KeptAs = Literal["new", "corrected", "known"]
_ROWS_AT_A_TIME = 64


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptPass:
    """A pass of the book.

    Parameters
    ----------
    sequence : int
        Counts the passes of its car in the order in which they were run; a pass that is brought in late takes its
        place among the others.
    started : datetime or None
        As the pass file says it.
    log_names : tuple of str
        Paths in the pass folder.
    log_size : int
        Bytes of the logs together.
    logs_sha256 : str
        Checksum of the logs, by which the pass is known.
    content_sha256 : str
        Checksum of all of it, which a corrected pass file changes.
    header : str
        Headers of its logs, as `Log.header_key`; empty until they were read.
    """

    id: str
    car_id: str
    sequence: int
    number: int | None
    started: datetime | None
    fuel: str
    strip: str
    lane: str
    notes: str
    log_names: tuple[str, ...]
    log_size: int
    logs_sha256: str
    content_sha256: str
    header: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PackedFile:
    """A file of a pass as it lies in the book: gzip, with the checksum of what is inside.

    `packed` is None where whoever reads it finds it in the book's folder.
    """

    name: str
    sha256: str
    packed: bytes | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PackedPass:
    """All that a pass is read from."""

    toml: str
    files: tuple[PackedFile, ...]


def keep_pass(book: Book, car: KeptCar, content: PassContent, answers: AnswerSet | None = None) -> KeptPass:
    """Keep a pass, logs first, with its answers where they are made already.

    Raises
    ------
    BookError
        The pass cannot be written; the book is as it was.
    """
    return keep_pass_told(book, car, content, answers)[0]


def keep_pass_told(
    book: Book, car: KeptCar, content: PassContent, answers: AnswerSet | None = None, created: datetime | None = None
) -> tuple[KeptPass, KeptAs]:
    """Keep a pass as `keep_pass` does, and say what that did; `created` is when another book kept it first."""
    files = keep_files(book, content)
    with book.writing() as session:
        row, kept_as = put_pass(session, car.id, content.toml, files, created)
        if answers is not None:
            put_answers(session, {row.id: answers})
        return _kept_pass(row), kept_as


def keep_files(book: Book, content: PassContent) -> list[PassLogRow]:
    """Write the files of a pass beside the database, before any row points to them."""
    rows = []
    for position, (file, is_log) in enumerate(
        [*((log, True) for log in content.logs), *((other, False) for other in content.beside)]
    ):
        checksum = keep_log(book.folder, file.content)
        rows.append(
            PassLogRow(position=position, file_name=file.name, sha256=checksum, size=len(file.content), is_log=is_log)
        )
    return rows


def put_pass(
    session: Session, car_id: str, toml: str, files: list[PassLogRow], created: datetime | None = None
) -> tuple[PassRow, KeptAs]:
    """Put a pass into the book inside a transaction of the caller's, and say what that did."""
    logs_sha256 = logs_checksum([file.sha256 for file in files if file.is_log])
    listed = [f"{file.file_name}\t{file.sha256}" for file in files]
    content_sha256 = sha256_of("\n".join([toml, *listed]).encode())
    row = session.scalar(
        select(PassRow)
        .where(PassRow.car_id == car_id, PassRow.logs_sha256 == logs_sha256)
        .options(selectinload(PassRow.logs))
    )
    if row is not None and row.content_sha256 == content_sha256:
        return row, "known"
    kept_as: KeptAs = "new" if row is None else "corrected"
    about = described(toml, PASS_FILE)
    if row is None:
        row = PassRow(car_id=car_id, logs_sha256=logs_sha256, sequence=0, created=created or now(), logs=files)
        session.add(row)
    elif row.toml == toml and all(file.is_log for file in files):
        # What lay beside the logs stays when the same pass comes again without it.
        return row, "known"
    else:
        _replace_files(session, row, files)
    row.toml, row.content_sha256 = toml, content_sha256
    row.number, row.fuel, row.notes, row.strip, row.lane = (
        about.number,
        about.fuel,
        about.notes,
        about.strip,
        about.lane,
    )
    row.started = "" if about.started is None else about.started.isoformat()
    row.ran = as_utc(about.started or row.created)
    session.flush()
    _put_in_order(session, row)
    return row, kept_as


def passes_of(book: Book, car: KeptCar) -> tuple[KeptPass, ...]:
    """The passes of a car in the order in which they were run."""
    with book.reading() as session:
        rows = session.scalars(
            select(PassRow)
            .where(PassRow.car_id == car.id)
            .order_by(PassRow.sequence)
            .options(selectinload(PassRow.logs))
        )
        return tuple(_kept_pass(row) for row in rows)


def pass_with_id(book: Book, pass_id: str) -> KeptPass:
    """One pass.

    Raises
    ------
    BookError
        The book has no such pass.
    """
    with book.reading() as session:
        return _kept_pass(_pass_row(book, session, pass_id))


def pass_numbered(book: Book, car: KeptCar, sequence: int) -> KeptPass:
    """The pass at that place in the order of the car's passes.

    Raises
    ------
    BookError
        The car has no such pass.
    """
    with book.reading() as session:
        row = session.scalar(select(PassRow).where(PassRow.car_id == car.id, PassRow.sequence == sequence))
        if row is None:
            raise BookError(
                phrase("refusal.book.no_pass", name=car.name, sequence=sequence),
                Where(file=book.place.shown),
                phrase("refusal.book.it_has", count=car.pass_count),
            )
        return _kept_pass(row)


def content_of(book: Book, pass_id: str) -> PassContent:
    """A pass as it was kept, to the letter.

    Raises
    ------
    BookError
        A file of it is missing or damaged.
    """
    with book.reading() as session:
        row = _pass_row(book, session, pass_id)
        toml = row.toml
        files = [(log.file_name, log.sha256, log.is_log) for log in row.logs]
    named = [
        (NamedFile(name=name, content=log_bytes(book.folder, checksum)), is_log) for name, checksum, is_log in files
    ]
    return PassContent(
        toml=toml,
        logs=tuple(file for file, is_log in named if is_log),
        beside=tuple(file for file, is_log in named if not is_log),
    )


def pass_toml(book: Book, pass_id: str) -> str:
    """The pass file of a pass, to the letter; nothing of its logs is read."""
    with book.reading() as session:
        return _pass_row(book, session, pass_id).toml


def passes_to_read(book: Book, pass_ids: Sequence[str]) -> Iterator[tuple[KeptPass, PackedPass]]:
    """Passes with all that they are read from but the bytes of their logs, in the order asked for.

    Raises
    ------
    BookError
        The book has no such pass.
    """
    for start in range(0, len(pass_ids), _ROWS_AT_A_TIME):
        some = pass_ids[start : start + _ROWS_AT_A_TIME]
        with book.reading() as session:
            rows = session.scalars(select(PassRow).where(PassRow.id.in_(some)).options(selectinload(PassRow.logs)))
            read = {row.id: (_kept_pass(row), _without_bytes(row)) for row in rows}
        for pass_id in some:
            if pass_id not in read:
                raise _no_pass(book, pass_id)
            yield read[pass_id]


def with_bytes(book: Book, packed: PackedPass) -> PackedPass:
    """The pass with the bytes of its files, to be read where the book's folder is not at hand.

    Raises
    ------
    BookError
        A file of it is missing.
    """
    return replace(
        packed,
        files=tuple(replace(file, packed=packed_log(book.folder, file.sha256)) for file in packed.files),
    )


def bytes_of(file: PackedFile, folder: Path | None) -> bytes:
    """The bytes of a file of a pass, proven against their checksum.

    Parameters
    ----------
    file : PackedFile
    folder : Path or None
        Of the book; needed where the file does not bring its bytes along.

    Raises
    ------
    BookError
        The file is missing or damaged.
    """
    place = folder or Path()
    return unpacked_log(place, file.sha256, packed_log(place, file.sha256) if file.packed is None else file.packed)


def export_pass(book: Book, pass_id: str, folder: Path) -> Path:
    """Write a pass as the folder that it came from, byte for byte, and give the folder."""
    write_content(folder, content_of(book, pass_id))
    return folder


def write_content(folder: Path, content: PassContent) -> None:
    """Write a pass folder.

    Raises
    ------
    PassFileError
        The folder cannot be written.
    """
    try:
        for file in (*content.logs, *content.beside):
            path = folder / file.name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(file.content)
        # The pass file comes last: a folder without it is no pass.
        (folder / PASS_FILE).write_bytes(content.toml.encode("utf-8"))
    except OSError as error:
        raise PassFileError(
            phrase("refusal.common.unwritten", reason=error.strerror),
            Where(file=folder),
            phrase("refusal.book.make_room"),
        ) from error


def _replace_files(session: Session, row: PassRow, files: list[PassLogRow]) -> None:
    known = {file.file_name for file in files}
    stays = [log for log in row.logs if not log.is_log and log.file_name not in known]
    for position, log in enumerate(stays, start=len(files)):
        files.append(
            PassLogRow(position=position, file_name=log.file_name, sha256=log.sha256, size=log.size, is_log=False)
        )
    row.logs.clear()
    session.flush()
    row.logs.extend(files)


def _put_in_order(session: Session, row: PassRow) -> None:
    """Count the passes of the car anew where this one does not simply come last."""
    newest = session.scalar(select(func.max(PassRow.ran)).where(PassRow.car_id == row.car_id, PassRow.id != row.id))
    if row.sequence == 0 and (newest is None or as_utc(newest) < row.ran):
        last = session.scalar(select(func.max(PassRow.sequence)).where(PassRow.car_id == row.car_id))
        row.sequence = (last or 0) + 1
        return
    order = select(PassRow.id, PassRow.sequence).where(PassRow.car_id == row.car_id)
    order = order.order_by(PassRow.ran, func.coalesce(PassRow.number, 0), PassRow.created, PassRow.id)
    for place, (pass_id, sequence) in enumerate(session.execute(order).all(), start=1):
        if sequence != place:
            session.execute(update(PassRow).where(PassRow.id == pass_id).values(sequence=place))
    session.refresh(row, ["sequence"])


def _pass_row(book: Book, session: Session, pass_id: str) -> PassRow:
    row = session.get(PassRow, pass_id)
    if row is None:
        raise _no_pass(book, pass_id)
    return row


def _no_pass(book: Book, pass_id: str) -> BookError:
    return BookError(
        phrase("refusal.book.no_pass_id", pass_id=pass_id),
        Where(file=book.place.shown),
        phrase("refusal.book.list_passes"),
    )


def _without_bytes(row: PassRow) -> PackedPass:
    files = (PackedFile(name=file.file_name, sha256=file.sha256, packed=None) for file in row.logs)
    return PackedPass(toml=row.toml, files=tuple(files))


def _kept_pass(row: PassRow) -> KeptPass:
    logs = [file for file in row.logs if file.is_log]
    return KeptPass(
        id=row.id,
        car_id=row.car_id,
        sequence=row.sequence,
        number=row.number,
        started=datetime.fromisoformat(row.started) if row.started else None,
        fuel=row.fuel,
        strip=row.strip,
        lane=row.lane,
        notes=row.notes,
        log_names=tuple(file.file_name for file in logs),
        log_size=sum(file.size for file in logs),
        logs_sha256=row.logs_sha256,
        content_sha256=row.content_sha256,
        header=row.header,
    )
