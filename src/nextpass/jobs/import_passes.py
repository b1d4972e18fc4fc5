"""Passes into a book: from plain folders, several at once, and from bundles.

A place may be a pass folder, a car's folder, a folder of cars, or a bundle. Every pass of a plain folder is read and
reviewed before it is kept, so that the book holds no pass that cannot be read; one that is refused does not stop the
others. What was exported from a book, or comes in a bundle, is brought in whole or not at all.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from nextpass.answers import ImportAnswer
from nextpass.book import (
    RECORD_FILE,
    Book,
    Bundle,
    CarParcel,
    KeptCar,
    NamedFile,
    Opened,
    PassContent,
    car_named,
    cars,
    described,
    keep_car,
    keep_pass_told,
    keep_said,
    open_parcels,
    opened_bundle,
    pass_content,
    read_record,
    said_in,
)
from nextpass.errors import BundleError, NextpassError, PassFileError, Where
from nextpass.files import PASS_FILE, read_pass
from nextpass.jobs.crew import in_order
from nextpass.jobs.hand_over import CAR_FILE
from nextpass.jobs.make_answers import Work, car_of_text, make_answers, packed_content
from nextpass.jobs.progress import ProgressReport, silent
from nextpass.log import answers_file, kept_headers
from nextpass.words import phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class Imported:
    """What an import did.

    Parameters
    ----------
    cars : tuple of str
        Whose passes came in.
    new, corrected, known : int
        Passes that the book did not have; whose pass file was another before; that were there already.
    refused : tuple of str
        One line for each pass that could not be read, saying why.
    left : tuple of str
        Files beside the logs that are too large for a book.
    """

    cars: tuple[str, ...]
    new: int
    corrected: int
    known: int
    refused: tuple[str, ...] = ()
    left: tuple[str, ...] = ()

    def answer(self) -> ImportAnswer:
        """By the contract."""
        return ImportAnswer(
            cars=list(self.cars),
            new=self.new,
            corrected=self.corrected,
            known=self.known,
            refused=list(self.refused),
            left=list(self.left),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """A pass folder with the file of its car, where one lies with it."""

    folder: Path
    car_file: Path | None


def import_places(
    book: Book,
    places: Sequence[Path],
    car_name: str | None = None,
    as_name: str | None = None,
    workers: int | None = None,
    report: ProgressReport = silent,
) -> Imported:
    """Bring in all passes of some places.

    Parameters
    ----------
    book : Book
    places : sequence of Path
        Folders and bundles.
    car_name : str, optional
        The car of the book whose passes they are, where no car file lies with them.
    as_name : str, optional
        Another name for the car of a bundle.
    workers : int, optional
        Processes; one a core where it is not given.
    report : ProgressReport

    Raises
    ------
    NextpassError
        A place holds no pass, its car is not known, or a bundle is damaged; what came in before stays.
    """
    parts: list[Imported] = []
    plain: list[_Found] = []
    for place in places:
        if not place.exists():
            raise PassFileError(
                phrase("refusal.jobs.no_such_place"), Where(file=place), phrase("refusal.jobs.give_place")
            )
        if place.is_file() and place.name != PASS_FILE:
            parts.append(_opened(book, place, as_name))
            continue
        folder = place.parent if place.name == PASS_FILE else place
        exported = _exported(folder)
        if exported:
            parts.append(_told(open_parcels(book, [_parcel_of_folder(one) for one in exported], as_name)))
        found = _passes_below(folder)
        if not found:
            raise PassFileError(
                phrase("refusal.files.holds_no", name=PASS_FILE),
                Where(file=folder),
                phrase("refusal.jobs.give_folder_above"),
            )
        plain += [one for one in found if one.folder.parent not in exported]
    if plain:
        parts.append(_import_plain(book, plain, car_name, workers, report))
    return Imported(
        cars=tuple(dict.fromkeys(name for one in parts for name in one.cars)),
        new=sum(one.new for one in parts),
        corrected=sum(one.corrected for one in parts),
        known=sum(one.known for one in parts),
        refused=tuple(line for one in parts for line in one.refused),
        left=tuple(name for one in parts for name in one.left),
    )


def _import_plain(
    book: Book, found: Sequence[_Found], car_name: str | None, workers: int | None, report: ProgressReport
) -> Imported:
    _take_over_said(book)
    by_file: dict[Path | None, KeptCar] = {}
    for one in found:
        if one.car_file not in by_file:
            by_file[one.car_file] = _car_of(book, one, car_name)
    refused: list[str] = []
    left: list[str] = []
    contents: list[tuple[_Found, PassContent]] = []
    count = {"new": 0, "corrected": 0, "known": 0}

    def work() -> Iterator[Work]:
        said = said_in(book)
        for one in found:
            car = by_file[one.car_file]
            try:
                read_pass(one.folder, car_of_text(car.file_text))
                content = pass_content(one.folder)
            except NextpassError as refusal:
                refused.append(str(refusal))
                continue
            contents.append((one, content))
            left.extend(f"{one.folder / name}" for name in content.left)
            yield _work(one, car, content, said, book)

    for done in in_order(make_answers, work(), len(found), workers):
        one, content = contents.pop(0)
        if done.answers is None:
            refused.append(done.refusal)
        else:
            _, kept_as = keep_pass_told(book, by_file[one.car_file], content, done.answers)
            count[kept_as] += 1
        ready = sum(count.values()) + len(refused)
        report(phrase("doing.importing", done=ready, total=len(found)), ready / len(found))
    return Imported(
        cars=tuple(dict.fromkeys(car.name for car in by_file.values())),
        new=count["new"],
        corrected=count["corrected"],
        known=count["known"],
        refused=tuple(refused),
        left=tuple(left),
    )


def _work(one: _Found, car: KeptCar, content: PassContent, said: dict[str, dict[str, str]], book: Book) -> Work:
    return Work(
        shown=str(one.folder),
        car_text=car.file_text,
        car_file_id=car.file_id,
        packed=packed_content(content),
        logs_sha256=content.logs_sha256,
        said=said,
        folder=book.folder,
    )


def _take_over_said(book: Book) -> None:
    """What this user said about columns on the command line holds for the book too, where the book does not say."""
    known = said_in(book)
    for header, answers in kept_headers(answers_file()).items():
        new = {column: answer for column, answer in answers.items() if column not in known.get(header, {})}
        if new:
            keep_said(book, header, new)


def _car_of(book: Book, found: _Found, car_name: str | None) -> KeptCar:
    if car_name is not None:
        return car_named(book, car_name)
    if found.car_file is not None:
        text = found.car_file.read_bytes().decode("utf-8", errors="replace")
        return keep_car(book, car_of_text(text).name, text)
    known = cars(book)
    if len(known) == 1:
        return known[0]
    remedy = (
        phrase("refusal.jobs.name_car", names=", ".join(car.name for car in known[:8]))
        if known
        else phrase("refusal.jobs.put_car_there", name=CAR_FILE)
    )
    raise PassFileError(phrase("refusal.jobs.no_car_file", name=CAR_FILE), Where(file=found.folder), remedy)


def _passes_below(folder: Path) -> list[_Found]:
    """Every pass folder of a place, in the order in which a person counts."""
    if (folder / PASS_FILE).is_file():
        return [_Found(folder=folder, car_file=_car_file(folder))]
    files = sorted(folder.rglob(PASS_FILE), key=lambda path: _natural(str(path)))
    return [_Found(folder=file.parent, car_file=_car_file(file.parent)) for file in files]


def _car_file(folder: Path) -> Path | None:
    """The car file in a folder or in one of the two above it."""
    for place in (folder, *folder.resolve().parents[:2]):
        if (place / CAR_FILE).is_file():
            return place / CAR_FILE
    return None


def _natural(text: str) -> list[tuple[int, str]]:
    return [(int(part), "") if part.isdecimal() else (-1, part) for part in re.split(r"(\d+)", text)]


def _exported(folder: Path) -> list[Path]:
    """The folders of cars in a place that were exported from a book."""
    return sorted(file.parent for file in (*folder.glob(RECORD_FILE), *folder.glob(f"*/{RECORD_FILE}")))


def _parcel_of_folder(folder: Path) -> CarParcel:
    record = read_record((folder / RECORD_FILE).read_bytes(), Where(file=folder / RECORD_FILE))
    there = {file.parent.name for file in folder.glob(f"*/{PASS_FILE}")}
    for one in record.passes:
        if one.folder not in there:
            raise BundleError(
                phrase("refusal.bundle.folder_missing", folder=one.folder),
                Where(file=folder),
                phrase("refusal.common.export_again"),
            )
    return CarParcel(record=record, content=lambda name: pass_content(folder / name))


def _opened(book: Book, path: Path, as_name: str | None) -> Imported:
    with opened_bundle(path) as bundle:
        tops = [name.removesuffix(f"/{RECORD_FILE}") for name in bundle.listed if name.endswith(f"/{RECORD_FILE}")]
        parcels = [_parcel_of_bundle(bundle, top) for top in tops]
        return _told(open_parcels(book, parcels, as_name))


def _parcel_of_bundle(bundle: Bundle, top: str) -> CarParcel:
    record = read_record(bundle.read(f"{top}/{RECORD_FILE}"), bundle.where)
    for file in record.files:
        car_of_text(file.text)
    return CarParcel(record=record, content=lambda folder: _content(bundle, f"{top}/{folder}/"))


def _content(bundle: Bundle, prefix: str) -> PassContent:
    toml = bundle.read(f"{prefix}{PASS_FILE}").decode("utf-8", errors="replace")
    names = described(toml, f"{bundle.where}: {prefix}{PASS_FILE}").log_names
    others = [path.removeprefix(prefix) for path in bundle.listed if path.startswith(prefix)]
    return PassContent(
        toml=toml,
        logs=tuple(NamedFile(name=name, content=bundle.read(prefix + name)) for name in names),
        beside=tuple(
            NamedFile(name=name, content=bundle.read(prefix + name))
            for name in others
            if name != PASS_FILE and name not in names
        ),
    )


def _told(opened: Opened) -> Imported:
    return Imported(cars=opened.cars, new=opened.new, corrected=opened.corrected, known=opened.known)
