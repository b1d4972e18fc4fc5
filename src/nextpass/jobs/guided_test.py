"""From the log of a guided test to its answer."""

from pathlib import Path
from typing import Literal

from nextpass.car import Car
from nextpass.errors import NotEnoughData, Where
from nextpass.files import read_car
from nextpass.health.guided import IdleBalance, LeakDown, PumpTest, idle_balance, leak_down, pump_test
from nextpass.log import Log, answers_file, hints_for, open_log
from nextpass.measure import Absent
from nextpass.review.findings import USUAL

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
    log = open_log(log_file, hints_for(car), kept=answers_file())
    found = _read(kind, car, log)
    if isinstance(found, Absent):
        remedy = "log the test again"
        if log.questions:
            columns = ", ".join(match.column for match in log.questions)
            remedy = f"it may be in a column that waits for an answer ({columns}): see nextpass log"
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
