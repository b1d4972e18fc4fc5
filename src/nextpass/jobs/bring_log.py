"""From logs that were dropped on a page to passes in the book.

A dropped log has no pass file: setup and conditions come from the person, filled in from the setup that was taken or
from the newest pass. The log is read before anything is kept, so that its questions are asked at once, and a log that
cannot be read leaves the book as it was.
"""

import json
import shutil
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from nextpass.book import KeptCar, KeptPass
from nextpass.car import Car, Conditions, PassRecord, Setup, StripClocks, checked_setup
from nextpass.files import pass_text, write_pass
from nextpass.jobs.desk import Desk
from nextpass.jobs.read_passes import read_log
from nextpass.log import Log

# What a page remembers for a car under this name: the setup that was taken for the next pass.
TAKEN_SETUP = "taken-setup"


@dataclass(frozen=True, slots=True, kw_only=True)
class Brought:
    """A log with what its driver says about the pass.

    Parameters
    ----------
    log : Path
        Where it lies now.
    name : str
        What the file was called.
    setup : Setup
        As it was dialled in.
    conditions : Conditions
        Of the pass.
    answers : Mapping[str, str]
        What doubtful columns are, as ``channel:unit``.
    """

    log: Path
    name: str
    setup: Setup
    conditions: Conditions
    number: int | None = None
    started: datetime | None = None
    notes: str = ""
    clocks: StripClocks | None = None
    answers: Mapping[str, str] = field(default_factory=dict)


def look_at(desk: Desk, kept: KeptCar, brought: Brought) -> Log:
    """Read a brought log without keeping anything: for its questions and its quality.

    Parameters
    ----------
    desk : Desk
        With the book open.
    kept : KeptCar
        Whose pass it is.
    brought : Brought
        The log.

    Returns
    -------
    Log
        With its questions.

    Raises
    ------
    LogError
        The file cannot be read as a log.
    SettingError
        The setup cannot be dialled in on this car.
    """
    car = desk.car(kept)
    record = _record(car, brought, brought.log.parent, brought.log)
    with tempfile.TemporaryDirectory(prefix="nextpass-") as place:
        said_file = Path(place) / "said.json"
        said_file.write_text(json.dumps(desk.said()), encoding="utf-8")
        return read_log(car, record, brought.answers, said_file)


def keep_brought(desk: Desk, kept: KeptCar, brought: Brought) -> KeptPass:
    """Keep a brought log as a pass of the car, and review it.

    Parameters
    ----------
    desk : Desk
        With the book open.
    kept : KeptCar
        Whose pass it is.
    brought : Brought
        The log.

    Returns
    -------
    KeptPass
        As the book has it.

    Raises
    ------
    LogError
        The file cannot be read as a log; nothing was kept.
    SettingError
        The setup cannot be dialled in on this car; nothing was kept.
    """
    car = desk.car(kept)
    header = look_at(desk, kept, brought).header_key
    if brought.answers:
        desk.keep_said(header, brought.answers)
    with tempfile.TemporaryDirectory(prefix="nextpass-") as place:
        folder = Path(place)
        log = folder / safe_name(brought.name)
        shutil.copyfile(brought.log, log)
        write_pass(folder, _record(car, brought, folder, log))
        return desk.add_pass(kept, folder)


def usual_start(desk: Desk, kept: KeptCar) -> tuple[Setup, Conditions] | None:
    """Setup and conditions that the next dropped log most likely has: those taken from a plan, else the newest pass's.

    Parameters
    ----------
    desk : Desk
        With the book open.
    kept : KeptCar
        Whose pass it will be.

    Returns
    -------
    tuple of Setup and Conditions, or None
        None where the car has no pass yet.
    """
    passes = desk.passes(kept)
    if not passes:
        return None
    newest = desk.record(kept, passes[-1])
    taken = desk.remembered(kept, TAKEN_SETUP)
    if isinstance(taken, dict) and taken.get("after") == passes[-1].id:
        values = {name: tuple(value) if isinstance(value, list) else value for name, value in taken["values"].items()}
        return checked_setup(desk.car(kept), values), newest.conditions
    return newest.setup, newest.conditions


def take_setup(desk: Desk, kept: KeptCar, setup: Setup) -> None:
    """Note that a setup is dialled in for the pass after the newest one.

    Parameters
    ----------
    desk : Desk
        With the book open.
    kept : KeptCar
        Whose setup it is.
    setup : Setup
        On the car's steps.

    Raises
    ------
    SettingError
        The setup cannot be dialled in on this car.
    """
    checked = checked_setup(desk.car(kept), setup.values)
    passes = desk.passes(kept)
    values = {name: list(value) if isinstance(value, tuple) else value for name, value in checked.values.items()}
    desk.remember(kept, TAKEN_SETUP, {"after": passes[-1].id if passes else None, "values": values})


def next_pass_text(desk: Desk, kept: KeptCar, setup: Setup, conditions: Conditions) -> str:
    """The pass file of the pass to come, to which only the log has to be added.

    Parameters
    ----------
    desk : Desk
        With the book open.
    kept : KeptCar
        Whose pass it is.
    setup : Setup
        As it is dialled in.
    conditions : Conditions
        As they are expected.

    Returns
    -------
    str
        TOML.
    """
    passes = desk.passes(kept)
    numbers = [one.number for one in passes if one.number is not None]
    brought = Brought(
        log=Path("log.csv"),
        name="log.csv",
        setup=setup,
        conditions=conditions,
        number=max(numbers, default=len(passes)) + 1,
    )
    return pass_text(_record(desk.car(kept), brought, Path(), Path("log.csv")))


def safe_name(name: str) -> str:
    """Name of a file as a browser sent it, without anything that a path could use.

    Parameters
    ----------
    name : str
        Anything.

    Returns
    -------
    str
        At most 120 characters; ``log`` where nothing is left.
    """
    bare = name.replace("\\", "/").rpartition("/")[2]
    kept = "".join(character if character.isalnum() or character in "._- " else "_" for character in bare)
    return kept.strip(". ")[-120:] or "log"


def _record(car: Car, brought: Brought, folder: Path, log: Path) -> PassRecord:
    return PassRecord(
        folder=folder,
        number=brought.number,
        started=brought.started,
        logs=(log,),
        notes=brought.notes,
        conditions=brought.conditions,
        setup=checked_setup(car, brought.setup.values),
        clocks=brought.clocks,
    )
