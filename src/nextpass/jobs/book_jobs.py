"""What a person asks of a book by its place: opened, asked, and closed again."""

from collections.abc import Sequence
from contextlib import closing
from datetime import datetime
from pathlib import Path

from nextpass.answers import FindAnswer
from nextpass.book import Book, Search, car_named, open_book
from nextpass.jobs.find_passes import found_passes
from nextpass.jobs.hand_over import HandedOver, bundle, chosen, export_folders
from nextpass.jobs.import_passes import Imported, import_places
from nextpass.jobs.leave_out import personal
from nextpass.jobs.progress import ProgressReport, silent
from nextpass.jobs.recheck import Rechecked, recheck

Place = Path | str


def import_passes(
    place: Place,
    sources: Sequence[Path],
    car_name: str | None = None,
    as_name: str | None = None,
    workers: int | None = None,
    report: ProgressReport = silent,
) -> Imported:
    """Bring passes into a book; see `import_places`."""
    with closing(open_book(place)) as book:
        return import_places(book, sources, car_name, as_name, workers, report)


def export_passes(
    place: Place, folder: Path, car_names: Sequence[str], sequences: Sequence[int], report: ProgressReport = silent
) -> HandedOver:
    """Write passes of a book as plain folders; see `export_folders`."""
    with _kept(place) as book:
        return export_folders(book, chosen(book, car_names, sequences), folder, report)


def bundle_passes(
    place: Place,
    path: Path,
    car_names: Sequence[str],
    sequences: Sequence[int],
    without: Sequence[str] = (),
    report: ProgressReport = silent,
) -> HandedOver:
    """Write passes of a book as one file; see `bundle`."""
    left_out = personal(without)
    with _kept(place) as book:
        return bundle(book, chosen(book, car_names, sequences), path, left_out, report)


def recheck_book(
    place: Place,
    car_names: Sequence[str] = (),
    every: bool = False,
    workers: int | None = None,
    scheduler: str | None = None,
    report: ProgressReport = silent,
) -> Rechecked:
    """Make the answers of a book anew; see `recheck`."""
    with _kept(place) as book:
        asked = [car_named(book, name) for name in car_names] or None
        return recheck(book, asked, every=every, workers=workers, scheduler=scheduler, report=report)


def find_passes(
    place: Place,
    car: str = "",
    fuel: str = "",
    strip: str = "",
    findings: Sequence[str] = (),
    severity: str = "",
    where: str = "",
    since: datetime | None = None,
    until: datetime | None = None,
) -> FindAnswer:
    """The passes of a book that a search asks for; see `Search`."""
    with _kept(place) as book:
        if car:
            car_named(book, car)
        return found_passes(
            book,
            Search(
                car=car,
                fuel=fuel,
                strip=strip,
                findings=tuple(findings),
                severity=severity,
                where=where,
                since=since,
                until=until,
            ),
        )


def _kept(place: Place) -> closing[Book]:
    return closing(open_book(place, is_kept=True))
