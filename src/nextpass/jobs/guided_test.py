"""From the log of a guided test to its answer."""

import json
import tempfile
from pathlib import Path
from typing import Literal

from nextpass.book import KeptCar
from nextpass.car import Car
from nextpass.errors import NotEnoughData, Where
from nextpass.files import read_car
from nextpass.health.guided import IdleBalance, LeakDown, PumpTest, idle_balance, leak_down, pump_test
from nextpass.jobs.desk import Desk
from nextpass.log import Log, answers_file, hints_for, open_log
from nextpass.measure import Absent
from nextpass.review.findings import USUAL
from nextpass.words import phrase

GuidedKind = Literal["idle", "pumps", "leakdown"]


def guided_test(kind: GuidedKind, car_file: Path, log_file: Path) -> IdleBalance | PumpTest | LeakDown:
    """What the log of a guided test shows.

    Parameters
    ----------
    kind : {"idle", "pumps", "leakdown"}
        Warm idle; each fuel pump run alone; charge system filled and closed off.

    Raises
    ------
    NotEnoughData
        The log does not hold the test.
    """
    car = read_car(car_file, threshold_names=USUAL)
    return _answered(kind, car, open_log(log_file, hints_for(car), kept=answers_file()), log_file)


def guided_kept(
    desk: Desk, kept: KeptCar, kind: GuidedKind, log_file: Path, name: str
) -> IdleBalance | PumpTest | LeakDown:
    """The same for a car of a book, with what its owner said about columns; refusals as for `guided_test`.

    Parameters
    ----------
    desk : Desk
        With the book open.
    kept : KeptCar
        That was tested.
    kind : {"idle", "pumps", "leakdown"}
    log_file : Path
        Of the test; it is read and not kept.
    name : str
        What a refusal calls it.
    """
    car = desk.car(kept)
    with tempfile.TemporaryDirectory(prefix="nextpass-") as place:
        said_file = Path(place) / "said.json"
        said_file.write_text(json.dumps(desk.said()), encoding="utf-8")
        log = open_log(log_file, hints_for(car), kept=said_file)
    return _answered(kind, car, log, Path(name))


def _answered(kind: GuidedKind, car: Car, log: Log, log_file: Path) -> IdleBalance | PumpTest | LeakDown:
    found = _read(kind, car, log)
    if isinstance(found, Absent):
        remedy = phrase("refusal.jobs.log_test_again")
        if log.questions:
            columns = ", ".join(match.column for match in log.questions)
            remedy = phrase("refusal.jobs.column_waits", columns=columns)
        raise NotEnoughData(found.reason, Where(file=log_file), remedy)
    return found


def _read(kind: GuidedKind, car: Car, log: Log) -> IdleBalance | PumpTest | LeakDown | Absent:
    match kind:
        case "idle":
            return idle_balance(car, log)
        case "pumps":
            return pump_test(car, log)
        case "leakdown":
            return leak_down(log)
