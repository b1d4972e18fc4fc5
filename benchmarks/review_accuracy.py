"""Is the review right: its clocks with the ± that it states, and its findings on faults that were put in?

Passes of the proving ground, which shares no code with the review, logged by loggers of every sort. Writes the two
tables of `docs/review-table.md` when all cases ran.
"""

import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from benchmarks.figure import Figure
from benchmarks.judged_review.clocks import Judged, clocks_table, coverage, judged_clocks, share_within
from benchmarks.judged_review.faults import Found, false_in_twenty, faults_table, judged_findings, recall
from nextpass.files import read_pass
from nextpass.log import hints_for, open_log
from nextpass.proving import Logger, drive_pass, fleet, write_pass_folder
from nextpass.review import review_pass

CARS, FEW_CARS = 40, 5
FAULT_CARS, FEW_FAULT_CARS = 5, 1
TABLE = Path(__file__).parents[1] / "docs" / "review-table.md"
HEAD = """# How right the review is

Made by `make bench` on passes of the proving ground, which knows the truth; do not edit.

## Clocks by what tells speed

Cars with front, rear and all wheels driven, some with the wheels spinning; rates of 10 to 100 Hz; every logger drawn
anew. Errors are log less truth; "90 %" is what nine passes in ten stay within.

"""
MIDDLE = """

## Findings by fault

Each fault at three strengths on five cars. A fault has to be found where it cost over 0.03 s or put the car in danger.

"""


def run(quick: bool = False) -> list[Figure]:
    """Figures of clocks, findings and time.

    Parameters
    ----------
    quick : bool
        Few cars; no table is written.
    """
    with tempfile.TemporaryDirectory(prefix="review-accuracy-") as place:
        clocks = judged_clocks(FEW_CARS if quick else CARS, Path(place))
        found = judged_findings(FEW_FAULT_CARS if quick else FAULT_CARS, Path(place))
        seconds = _seconds_a_pass(Path(place))
    tables = clocks_table(clocks), faults_table(found)
    print("\n\n".join(tables))
    if not quick:
        TABLE.write_text(HEAD + tables[0] + MIDDLE + tables[1] + "\n", encoding="utf-8")
    return [*_clock_figures(clocks), *_finding_figures(found), seconds]


def _clock_figures(judged: Sequence[Judged]) -> list[Figure]:
    best = [one for one in judged if {"accelerometer", "gps"} <= _parts(one) and one.rate_hz > 22.0]
    wheels = [one for one in judged if "accelerometer" in _parts(one) and "gps" not in _parts(one)]
    wheels = [one for one in wheels if _parts(one) & {"wheels", "undriven wheels"}]
    known = [one for one in wheels if one.radius_known]
    believed = [one for one in judged if not one.radius_known]
    return [
        Figure(name="passes judged", value=len(believed), unit="", target=""),
        Figure(
            name="60 ft within 0.03 s, accelerometer and GPS, 24 Hz or more",
            value=share_within(best, "t60ft_s", 0.03),
            unit="of passes",
            target=">= 0.9",
        ),
        Figure(
            name="ET within 0.03 s, accelerometer and GPS, 24 Hz or more",
            value=share_within(best, "et_s", 0.03),
            unit="of passes",
            target=">= 0.9",
        ),
        Figure(
            name="trap speed within 0.5 %, accelerometer and GPS, 24 Hz or more",
            value=share_within(best, "trap_mps", 0.005),
            unit="of passes",
            target=">= 0.9",
        ),
        Figure(
            name="ET within 0.05 s, accelerometer and wheels, true rolling radius in the car file",
            value=share_within(known, "et_s", 0.05),
            unit="of passes",
            floor=share_within([one for one in wheels if not one.radius_known], "et_s", 0.05),
            floor_name="radius wrong by up to 1 %",
            target=">= 0.9",
        ),
        Figure(name="stated ± that holds the truth", value=coverage(believed), unit="of clocks", target=">= 0.85"),
        Figure(name="and no wider than it need be", value=coverage(believed), unit="of clocks", target="<= 0.97"),
    ]


def _parts(one: Judged) -> set[str]:
    return set(one.sensors.split(", "))


def _finding_figures(found: Sequence[Found]) -> list[Figure]:
    return [
        Figure(
            name="recall of faults that cost over 0.03 s or can break the car",
            value=recall(found),
            unit="of faults",
            target=">= 0.9",
        ),
        Figure(name="clean passes with a false act or stop", value=false_in_twenty(found), unit="in 20", target="<= 1"),
    ]


def _seconds_a_pass(place: Path) -> Figure:
    """Reading and reviewing one pass of some forty channels at 100 Hz, compiled before; the least of five times."""
    entry = fleet(1, 3)[0]
    outcome = drive_pass(entry.car, entry.strip, entry.conditions, entry.baseline, seed=1)
    folder = write_pass_folder(outcome, Logger(rate_hz=100.0), place / "timed")
    times = []
    for _ in range(5):
        started = time.perf_counter()
        record = read_pass(folder, entry.car.believed)
        review_pass(entry.car.believed, record, open_log(record.logs[0], hints_for(entry.car.believed, record)))
        times.append(time.perf_counter() - started)
    return Figure(
        name="reading and reviewing a pass of 27 s, 40 channels at 100 Hz",
        value=min(times),
        unit="s",
        target="<= 1",
    )
