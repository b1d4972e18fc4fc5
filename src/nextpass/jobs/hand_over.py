"""Passes out of a book: as plain folders, or as one file for a colleague."""

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from nextpass.book import (
    RECORD_FILE,
    Book,
    CarRecord,
    KeptCar,
    NamedFile,
    car_named,
    car_record,
    cars,
    content_of,
    pass_numbered,
    said_in,
    write_bundle,
)
from nextpass.errors import BookError, FileError, Where
from nextpass.files import PASS_FILE
from nextpass.jobs.leave_out import Personal, car_without, left_out_words, pass_without
from nextpass.jobs.make_answers import work_on
from nextpass.jobs.progress import ProgressReport, silent
from nextpass.words import phrase

CAR_FILE = "car.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """Cars with those of their passes that are asked for; None stands for all."""

    car: KeptCar
    pass_ids: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HandedOver:
    """What was written: where, how many passes, and what was left out, in words."""

    path: Path
    cars: tuple[str, ...]
    passes: int
    left_out: tuple[str, ...]


def chosen(book: Book, car_names: Sequence[str], sequences: Sequence[int]) -> tuple[Chosen, ...]:
    """The passes that a person names: of one car by their count, of several cars all.

    Raises
    ------
    BookError
        There is no such car or pass, or passes are counted without one car being named.
    """
    named = [car_named(book, name) for name in car_names] or list(cars(book))
    if not named:
        raise BookError(
            phrase("refusal.book.empty"), Where(file=book.place.shown), phrase("refusal.book.import_passes")
        )
    if not sequences:
        return tuple(Chosen(car=car) for car in named)
    if len(named) != 1:
        raise BookError(phrase("refusal.jobs.counted_by_car"), Where(key="--pass"), phrase("refusal.jobs.name_one_car"))
    return (Chosen(car=named[0], pass_ids=tuple(pass_numbered(book, named[0], one).id for one in sequences)),)


def export_folders(book: Book, asked: Sequence[Chosen], folder: Path, report: ProgressReport = silent) -> HandedOver:
    """Write cars and passes as plain folders, byte for byte.

    Raises
    ------
    FileError
        Something of that name stands in the folder, or it cannot be written.
    """
    where = Where(file=folder)
    records = _records(book, asked)
    for slug in records:
        if (folder / slug).exists():
            raise FileError(
                phrase("refusal.common.there_already"),
                Where(file=folder / slug),
                phrase("refusal.jobs.name_empty_folder"),
            )
    try:
        for file in _files(book, records, frozenset(), report):
            path = folder / file.name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(file.content)
    except OSError as error:
        raise FileError(
            phrase("refusal.common.unwritten", reason=error.strerror), where, phrase("refusal.common.make_room")
        ) from error
    return _handed_over(folder, records, ())


def bundle(
    book: Book,
    asked: Sequence[Chosen],
    path: Path,
    without: Collection[Personal] = frozenset(),
    report: ProgressReport = silent,
) -> HandedOver:
    """Write cars and passes as one file that opens in another book with nothing lost but what was to be left out.

    Raises
    ------
    BundleError
        A file stands there, or it cannot be written.
    NextpassError
        Something is to be left out of a pass that cannot be read.
    """
    records = _records(book, asked)
    told = left_out_words(without)
    write_bundle(path, _files(book, records, without, report), told)
    return _handed_over(path, records, told)


def _records(book: Book, asked: Sequence[Chosen]) -> dict[str, tuple[KeptCar, CarRecord, dict[str, str]]]:
    """By the name of its folder, each car with its record and its passes by folder."""
    records: dict[str, tuple[KeptCar, CarRecord, dict[str, str]]] = {}
    for one in asked:
        slug = re.sub(r"[^\w-]+", "-", one.car.name.casefold()).strip("-") or "car"
        while slug in records:
            slug += "-2"
        records[slug] = (one.car, *car_record(book, one.car, one.pass_ids))
    return records


def _files(
    book: Book,
    records: dict[str, tuple[KeptCar, CarRecord, dict[str, str]]],
    without: Collection[Personal],
    report: ProgressReport,
) -> Iterator[NamedFile]:
    total = sum(len(passes) for _, _, passes in records.values())
    said = said_in(book)
    done = 0
    for count, (slug, (car, record, passes)) in enumerate(records.items(), start=1):
        # The folder bears the car's name: it goes with it.
        top = f"car-{count}" if "owner" in without else slug
        given = car_without(record, without)
        yield NamedFile(name=f"{top}/{CAR_FILE}", content=given.files[-1].text.encode("utf-8"))
        yield NamedFile(name=f"{top}/{RECORD_FILE}", content=given.model_dump_json(indent=1).encode("utf-8"))
        for folder, pass_id in passes.items():
            work = work_on(book, car, pass_id, said)
            content = pass_without(work, content_of(book, pass_id), without)
            yield NamedFile(name=f"{top}/{folder}/{PASS_FILE}", content=content.toml.encode("utf-8"))
            for file in (*content.logs, *content.beside):
                yield NamedFile(name=f"{top}/{folder}/{file.name}", content=file.content)
            done += 1
            report(phrase("doing.handing_over", done=done, total=total), done / total)


def _handed_over(
    path: Path, records: dict[str, tuple[KeptCar, CarRecord, dict[str, str]]], left_out: tuple[str, ...]
) -> HandedOver:
    return HandedOver(
        path=path,
        cars=tuple(car.name for car, _, _ in records.values()),
        passes=sum(len(passes) for _, _, passes in records.values()),
        left_out=left_out,
    )
