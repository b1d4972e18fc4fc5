"""From pass folders or a book, and entries by hand, to the ledger of a car."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from nextpass.answers import PassFiguresAnswer, figures_of_answer
from nextpass.book import KeptCar
from nextpass.car import Car, LedgerEntry
from nextpass.errors import PassFileError, Where
from nextpass.files import read_car, read_entries, read_pass
from nextpass.health import Ledger, PassFigures, figures_of, ledger_of
from nextpass.jobs.answer_kinds import FIGURES
from nextpass.jobs.desk import Desk, open_desk
from nextpass.jobs.kept_passes import chosen_passes, pass_name
from nextpass.jobs.ledger_entries import ledger_entries
from nextpass.jobs.progress import ProgressReport, silent
from nextpass.jobs.read_passes import pass_folder, review_one
from nextpass.log import Log, open_log
from nextpass.review.findings import USUAL
from nextpass.words import phrase


def ledger_of_folders(
    car_file: Path, folders: Sequence[Path], entries_file: Path | None = None, report: ProgressReport = silent
) -> tuple[Car, Ledger]:
    """The ledger of a car from its passes, in the order in which they were run.

    Parameters
    ----------
    entries_file : Path, optional
        What was done by hand, as `files.read_entries` reads it.
    """
    car = read_car(car_file, threshold_names=USUAL)
    entries = () if entries_file is None else read_entries(entries_file)
    figures: list[PassFigures] = []
    for count, folder in enumerate(folders):
        report(phrase("ledger.doing", name=str(folder)), count / len(folders))
        # One log at a time: a season of them would not fit into memory.
        figures.append(figures_of(car, review_one(car, read_pass(pass_folder(folder), car))))
    return car, ledger_of(car, figures, entries, learning_logs(entries))


def ledger_of_car(
    desk: Desk,
    kept: KeptCar,
    sequences: Sequence[int] = (),
    more: Sequence[LedgerEntry] = (),
    report: ProgressReport = silent,
) -> Ledger:
    """The ledger of a car of a book, from the figures that the book keeps of each pass.

    Parameters
    ----------
    desk : Desk
        With the book open.
    kept : KeptCar
        Whose ledger it is.
    sequences : sequence of int, optional
        Counts of the passes; all of them where none is given.
    more : sequence of LedgerEntry, optional
        What was done besides what the book says.

    Raises
    ------
    BookError
        There is no such pass.
    """
    passes = chosen_passes(desk, kept, sequences) if sequences else desk.passes(kept)
    answers = desk.answers(kept, FIGURES, report)
    figures = [figures_of_answer(PassFiguresAnswer.model_validate(answers[one.id]), pass_name(one)) for one in passes]
    known = ledger_entries(desk, kept)
    entries = sorted((*known, *more), key=lambda entry: entry.when.timestamp())
    return ledger_of(desk.car(kept), figures, entries, learning_logs(entries))


def ledger_in_book(
    place: Path | str,
    car_name: str,
    sequences: Sequence[int] = (),
    entries_file: Path | None = None,
    report: ProgressReport = silent,
) -> Ledger:
    """The ledger of a car of the book at a place; see `ledger_of_car`."""
    more = () if entries_file is None else read_entries(entries_file)
    desk = open_desk(place, is_kept=True)
    try:
        return ledger_of_car(desk, desk.kept_car(car_name), sequences, more, report)
    finally:
        desk.close()


def learning_logs(entries: Sequence[LedgerEntry]) -> Mapping[int, Log]:
    """Logs of learning runs by the index of their entry.

    Raises
    ------
    PassFileError
        An entry names a log that is not there.
    """
    logs = {}
    for place, entry in enumerate(entries):
        if entry.log is None:
            continue
        if not entry.log.is_file():
            raise PassFileError(
                phrase("refusal.jobs.entry_log", item=entry.item),
                Where(file=entry.log),
                phrase("refusal.jobs.entry_log_beside"),
            )
        logs[place] = open_log(entry.log)
    return logs
