"""Car and pass files written whole or not at all, and never over another without being told."""

import os
import secrets
from contextlib import suppress
from pathlib import Path

from nextpass.car import Car, Conditions, PassRecord, Setup, checked_setup
from nextpass.errors import CarFileError, FileError, PassFileError, Where
from nextpass.files.car_text import car_text
from nextpass.files.pass_file import PASS_FILE
from nextpass.files.pass_text import pass_text
from nextpass.words import phrase


def write_car(path: Path | str, car: Car, *, replace: bool = False) -> Path:
    """Write a car file.

    Parameters
    ----------
    path : Path or str
        Where; its folder is made where it is missing.
    car : Car
        What to write.
    replace : bool
        Whether a file that stands there may be replaced.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    CarFileError
        A file stands there, or it cannot be written.
    """
    return write_whole(Path(path), car_text(car), replace=replace, refusal=CarFileError)


def write_pass(folder: Path | str, record: PassRecord, *, replace: bool = False) -> Path:
    """Write the pass file of a folder; the logs are the caller's to put there.

    Parameters
    ----------
    folder : Path or str
        The pass folder; it is made where it is missing.
    record : PassRecord
        Its logs are named as they lie in the record's own folder.
    replace : bool
        Whether a pass file that stands there may be replaced.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    PassFileError
        A file stands there, or it cannot be written.
    """
    return write_whole(Path(folder) / PASS_FILE, pass_text(record), replace=replace, refusal=PassFileError)


def write_setup(
    folder: Path | str,
    car: Car,
    setup: Setup,
    conditions: Conditions,
    *,
    number: int | None = None,
    log_name: str = "log.csv",
    replace: bool = False,
) -> Path:
    """Write the pass file of a pass to come, to which only the log has to be added.

    Parameters
    ----------
    folder : Path or str
        The folder of the pass to come; it is made where it is missing.
    car : Car
        Whose adjusters the setup holds.
    setup : Setup
        As it will be dialled in.
    conditions : Conditions
        As far as they are known: the pass corrects them.
    number : int, optional
        The driver's count on the day.
    log_name : str
        What the log will be called.
    replace : bool
        Whether a pass file that stands there may be replaced.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    SettingError
        The setup cannot be dialled in on this car.
    PassFileError
        A file stands there, or it cannot be written.
    """
    place = Path(folder)
    record = PassRecord(
        folder=place,
        number=number,
        started=None,
        logs=(place / log_name,),
        notes="",
        conditions=conditions,
        setup=checked_setup(car, setup.values),
        clocks=None,
    )
    return write_pass(place, record, replace=replace)


def write_whole(path: Path, content: str | bytes, *, replace: bool, refusal: type[FileError]) -> Path:
    """Write a file so that at any moment there is the old file or the new one, never a part.

    Parameters
    ----------
    path : Path
        Where; its folder is made where it is missing.
    content : str or bytes
        The whole of it; text as UTF-8.
    replace : bool
        Whether a file that stands there may be replaced.
    refusal : type of FileError
        What to raise.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    FileError
        Of the type `refusal`: a file stands there, or it cannot be written.
    """
    if not replace:
        refuse_standing(path, refusal)
    beside = path.parent / f".{path.name}.{secrets.token_hex(4)}"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with beside.open("xb") as file:
            file.write(content.encode("utf-8") if isinstance(content, str) else content)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    except (OSError, ValueError) as error:  # ValueError: a NUL in the path, half a character in a text
        with suppress(OSError, ValueError):
            beside.unlink(missing_ok=True)
        reason = error.strerror if isinstance(error, OSError) else str(error)
        what = phrase("refusal.common.unwritten", reason=reason)
        raise refusal(what, Where(file=path), phrase("refusal.files.check_place")) from error
    return path


def refuse_standing(path: Path, refusal: type[FileError]) -> None:
    """Raise where a file stands already, as before a row of questions whose answers would then be lost."""
    if os.path.exists(path):
        remedy = phrase("refusal.files.give_another_name")
        raise refusal(phrase("refusal.common.there_already"), Where(file=path), remedy)
