"""From pass folders and an entries file to the ledger of a car."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from nextpass.car import Car, LedgerEntry
from nextpass.errors import PassFileError, Where
from nextpass.files import read_car, read_entries, read_pass
from nextpass.health import Ledger, PassFigures, figures_of, ledger_of
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
                f"the entry about {entry.item} names a log that is not there",
                Where(file=entry.log),
                "put it beside the ledger file, or leave log out",
            )
        logs[place] = open_log(entry.log)
    return logs
