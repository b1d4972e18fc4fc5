"""The answers of one pass from its files: a piece of work that can be done in another process or on another machine.

What goes in and what comes out is small: the one who works opens no database, and reads the logs from the book's folder
where that is at hand.
"""

import gzip
import json
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

from nextpass import __version__
from nextpass.book import (
    AnswerSet,
    Book,
    ColumnAnswers,
    KeptCar,
    PackedFile,
    PackedPass,
    PassContent,
    bytes_of,
    keep_channels,
    kept_channels,
    passes_to_read,
    reading_key,
    said_checksum,
    sha256_of,
    with_bytes,
)
from nextpass.car import Car, PassRecord
from nextpass.errors import BookError, NextpassError
from nextpass.files import PASS_FILE, read_car, read_pass
from nextpass.jobs.answer_kinds import made_answers
from nextpass.log import Log, hints_for, open_logs
from nextpass.review import ReviewedPass, review_pass
from nextpass.review.findings import USUAL
from nextpass.words import Phrase, phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """A pass to be read and reviewed.

    Parameters
    ----------
    shown : str
        What a message calls it: the folder that it came from, or the car and the count.
    car_text : str
        The car's file.
    car_file_id : str
        Under which the book keeps that file.
    packed : PackedPass
    logs_sha256 : str
        By which the pass is known.
    said : ColumnAnswers
        What was said about columns.
    header : str
        Of its logs, where they were read before.
    folder : Path or None
        Of the book, where channels are read from and kept; None on another machine.
    refusal : str
        Why the pass cannot be read, where that is known before.
    """

    shown: str
    car_text: str
    car_file_id: str
    packed: PackedPass
    logs_sha256: str
    said: ColumnAnswers
    header: str = ""
    folder: Path | None = None
    refusal: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """What came of it: answers, or the refusal of the pass."""

    answers: AnswerSet | None
    refusal: str = ""


def work_on(book: Book, car: KeptCar, pass_id: str, said: ColumnAnswers) -> Work:
    """The work on a pass of a book, done where the book's folder is at hand.

    Parameters
    ----------
    book : Book
    car : KeptCar
        Whose pass it is.
    pass_id : str
    said : ColumnAnswers
        What was said about columns.

    Raises
    ------
    BookError
        The book has no such pass.
    """
    return next(works_on(book, [(car, pass_id)], said))


def works_on(book: Book, passes: Sequence[tuple[KeptCar, str]], said: ColumnAnswers) -> Iterator[Work]:
    """The work on many passes, each with its car; as `work_on`, in their order."""
    read = passes_to_read(book, [pass_id for _, pass_id in passes])
    for (car, _), (kept_pass, packed) in zip(passes, read, strict=True):
        yield Work(
            shown=f"{car.name}, pass {kept_pass.sequence}",
            car_text=car.file_text,
            car_file_id=car.file_id,
            packed=packed,
            logs_sha256=kept_pass.logs_sha256,
            said=said,
            header=kept_pass.header,
            folder=book.folder,
        )


def work_elsewhere(book: Book, work: Work) -> Work:
    """The same work for another machine, which has no access to the book's folder: the logs go with it."""
    try:
        return replace(work, folder=None, packed=with_bytes(book, work.packed))
    except BookError as refusal:
        return replace(work, folder=None, refusal=str(refusal))


def packed_content(content: PassContent) -> PackedPass:
    """A pass packed as a book would keep it."""
    files = tuple(
        PackedFile(
            name=file.name,
            sha256=sha256_of(file.content),
            packed=gzip.compress(file.content, compresslevel=1, mtime=0),
        )
        for file in (*content.logs, *content.beside)
    )
    return PackedPass(toml=content.toml, files=files)


def make_answers(work: Work) -> Done:
    """Read and review a pass.

    Parameters
    ----------
    work : Work

    Returns
    -------
    Done
        With the refusal where the pass cannot be read: one damaged pass does not stop the others.
    """
    if work.refusal:
        return Done(answers=None, refusal=work.refusal)
    try:
        car, reviewed = reviewed_work(work)
    except NextpassError as refusal:
        return Done(answers=None, refusal=str(refusal))
    except Exception as fault:
        # One damaged file among many: the rest goes on, and the person is told that it is not their fault.
        return Done(answers=None, refusal=f"{work.shown}: a fault of the program: {type(fault).__name__}: {fault}")
    return Done(answers=answer_set(work, car, reviewed))


def answer_set(work: Work, car: Car, reviewed: ReviewedPass) -> AnswerSet:
    """Every answer of a reviewed pass, with what made it."""
    header = reviewed.log.header_key
    return AnswerSet(
        program=__version__,
        car_file_id=work.car_file_id,
        header=header,
        said=said_checksum(work.said, header),
        answers=made_answers(car, reviewed),
    )


def reviewed_work(work: Work) -> tuple[Car, ReviewedPass]:
    """The car, and the pass with its log and review.

    Raises
    ------
    NextpassError
        The car file, the pass file or a log cannot be read.
    """
    car, record, log = read_work(work)
    return car, ReviewedPass(record=record, log=log, review=review_pass(car, record, log))


def read_work(work: Work) -> tuple[Car, PassRecord, Log]:
    """The car, the pass file and the log, without a review.

    Raises
    ------
    NextpassError
        The car file, the pass file or a log cannot be read.
    """
    car = car_of_text(work.car_text)
    with _unpacked(work) as (folder, said_file), _named(folder, work.shown):
        record = read_pass(folder, car)
        return car, record, _log(work, car, record, said_file)


def record_of(car_text: str, toml: str, log_names: tuple[str, ...], shown: str) -> PassRecord:
    """The record of a pass without its logs, which are not read."""
    with tempfile.TemporaryDirectory(prefix="nextpass-") as place:
        folder = Path(place)
        for name in log_names:
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            (folder / name).touch()
        (folder / PASS_FILE).write_bytes(toml.encode("utf-8"))
        with _named(folder, shown):
            return read_pass(folder, car_of_text(car_text))


@lru_cache(maxsize=32)
def car_of_text(file_text: str) -> Car:
    """Read a car file that is held as text, as strictly as one on disk."""
    with tempfile.TemporaryDirectory(prefix="nextpass-") as place:
        file = Path(place) / "car.toml"
        file.write_bytes(file_text.encode("utf-8"))
        with _named(file.parent, ""):
            return read_car(file, threshold_names=USUAL)


@contextmanager
def _unpacked(work: Work) -> Iterator[tuple[Path, Path]]:
    """The pass as a folder, and the file of what was said; both go when the block ends: a log is read whole in it."""
    with tempfile.TemporaryDirectory(prefix="nextpass-") as place:
        folder = Path(place) / "pass"
        folder.mkdir()
        for file in work.packed.files:
            path = folder / file.name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(bytes_of(file, work.folder))
        (folder / PASS_FILE).write_bytes(work.packed.toml.encode("utf-8"))
        said_file = Path(place) / "said.json"
        said_file.write_text(json.dumps(work.said), encoding="utf-8")
        yield folder, said_file


def _log(work: Work, car: Car, record: PassRecord, said_file: Path) -> Log:
    """The log, from the channels that an earlier reading kept where nothing has changed since."""
    hints = hints_for(car, record)
    if work.folder is None:
        return open_logs(record.logs, hints, kept=said_file)

    def key(header: str) -> str:
        return reading_key(__version__, hints, said_checksum(work.said, header))

    if work.header:
        kept = kept_channels(work.folder, work.logs_sha256, key(work.header))
        if kept is not None:
            return kept
    log = open_logs(record.logs, hints, kept=said_file)
    try:
        keep_channels(work.folder, work.logs_sha256, key(log.header_key), log)
    except BookError:
        # The channels are a convenience: the pass and its log are kept without them.
        return log
    return log


@contextmanager
def _named(folder: Path, shown: str) -> Iterator[None]:
    """Let refusals that name a temporary folder name what the person knows instead."""
    try:
        yield
    except NextpassError as refusal:
        inside = str(refusal.where.file or "").removeprefix(str(folder)).lstrip("/\\")
        file = "/".join(part for part in (shown, inside) if part)
        refusal.where = replace(refusal.where, file=file or None)
        refusal.what = _renamed(refusal.what, str(folder), shown or phrase("refusal.book.the_book"))
        raise


def _renamed(said: str, folder: str, name: str) -> str:
    """A text with a folder's name exchanged, which stays a phrase where it is one."""
    if isinstance(said, Phrase):
        values = {
            key: _renamed(value, folder, name) if isinstance(value, str) else value
            for key, value in said.values.items()
        }
        return Phrase(said.key, values)
    return name if said == folder else said.replace(folder, name)
