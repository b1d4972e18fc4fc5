"""From a car file and pass folders to reviewed passes."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from nextpass.car import Car, PassRecord
from nextpass.files import read_car, read_pass
from nextpass.jobs.progress import ProgressReport, part, silent
from nextpass.log import Log, answers_file, hints_for, open_logs
from nextpass.measure import Absent
from nextpass.review import (
    USUAL,
    Attempt,
    ReviewedPass,
    Timeslip,
    WindowTime,
    find_attempts,
    read_window,
    review_pass,
    try_timeslip,
    window_time,
)
from nextpass.words import phrase


def read_log(car: Car, record: PassRecord, answers: Mapping[str, str] | None = None, kept: Path | None = None) -> Log:
    """The log of a pass, from all its files, its columns matched with what car and day tell about them.

    Parameters
    ----------
    answers : Mapping[str, str], optional
        By column, ``channel:unit``: what a person said about doubtful columns.
    kept : Path, optional
        File of answers that were given for earlier logs with the same header.
    """
    return open_logs(record.logs, hints_for(car, record), answers or {}, kept)


def review_one(
    car: Car, record: PassRecord, answers: Mapping[str, str] | None = None, kept: Path | None = None
) -> ReviewedPass:
    """A pass of the car with its log and review; arguments as for `read_log`."""
    log = read_log(car, record, answers, kept)
    return ReviewedPass(record=record, log=log, review=review_pass(car, record, log))


def review_folder(car_file: Path, folder: Path, answers: Mapping[str, str] | None = None) -> tuple[Car, ReviewedPass]:
    """The car, and one pass of it reviewed; `folder` may name the pass file in it as well."""
    car = read_car(car_file, threshold_names=USUAL)
    return car, review_one(car, read_pass(pass_folder(folder), car), answers, answers_file())


def review_folders(
    car_file: Path, folders: Sequence[Path], report: ProgressReport = silent
) -> tuple[Car, tuple[ReviewedPass, ...]]:
    """The car, and its passes reviewed in the order given, which is the order in which they were run."""
    car = read_car(car_file, threshold_names=USUAL)
    reviewed = []
    for count, folder in enumerate(folders):
        inner = part(report, count / len(folders), (count + 1) / len(folders))
        inner(f"reading {folder}", 0.0)
        reviewed.append(review_one(car, read_pass(pass_folder(folder), car), kept=answers_file()))
        inner(f"reviewed {folder}", 1.0)
    return car, tuple(reviewed)


def windows_of(reviewed: ReviewedPass, asked: Sequence[str]) -> tuple[WindowTime, ...]:
    """Time of a pass for each window that the user named, such as ``80-120 km/h`` or ``0-150 m``.

    Raises
    ------
    SettingError
        A text that names no window.
    """
    windows = [read_window(text) for text in asked]
    motion = reviewed.review.ground_speed
    if motion is None:
        return tuple(WindowTime(window=one, time_s=Absent(reason=phrase("absent.no_speed"))) for one in windows)
    return tuple(window_time(motion, one) for one in windows)


def tries_of(car: Car, reviewed: ReviewedPass) -> tuple[tuple[Attempt, Timeslip], ...]:
    """Every try of a log with its timeslip, in time order; empty where there is one alone."""
    attempts = find_attempts(reviewed.log)
    if len(attempts) < 2:
        return ()
    return tuple((attempt, try_timeslip(car, reviewed.record, reviewed.log, attempt)) for attempt in attempts)


def pass_folder(place: Path) -> Path:
    """The folder of a pass, from the folder itself or the pass file in it."""
    return place.parent if place.name == "pass.toml" else place
