"""How long a review takes, from the file to the findings: a pass of a minute, and a day's log with many tries.

The floor is a plain `polars.read_csv` of the same file in the same run. Times are the best of several, compiled before.
"""

import tempfile
from collections.abc import Sequence
from pathlib import Path

import polars as pl

from benchmarks.figure import Figure
from benchmarks.log_reading import COLUMNS, RATE_HZ, ROWS, best_of, write_csv
from nextpass.car import Car, PassRecord
from nextpass.files import read_pass
from nextpass.jobs import tries_of
from nextpass.log import hints_for, open_log
from nextpass.proving import Driver, Logger, drive_pass, fleet, write_pass_folder
from nextpass.review import ReviewedPass, Timeslip, review_pass

# A minute of log: the car waits at the line for the part of it that a pass does not take.
WAITS_S = 40.0
EXTRA_COLUMNS = 22


def run(quick: bool = False) -> list[Figure]:
    """Every figure; `quick` measures fewer times."""
    times = 2 if quick else 5
    entry = fleet(1, 3)[0]
    car = entry.car.believed
    driver = Driver(waits_s=WAITS_S)
    outcome = drive_pass(entry.car, entry.strip, entry.conditions, entry.baseline, seed=1, driver=driver)
    with tempfile.TemporaryDirectory(prefix="review-speed-") as place:
        logger = Logger(rate_hz=RATE_HZ, extra_columns=EXTRA_COLUMNS)
        record = read_pass(write_pass_folder(outcome, logger, Path(place) / "pass"), car)
        long = Path(place) / "long.csv"
        write_csv(long, ROWS, COLUMNS)
        log = open_log(record.logs[0], hints_for(car, record))
        lasts_s, columns = _length_s(record.logs[0]), len(log.matches)
        pass_s = best_of(times, lambda: _reviewed(car, record, record.logs[0]))
        raw_pass_s = best_of(times, lambda: pl.read_csv(record.logs[0]))
        raw_s = best_of(times, lambda: pl.read_csv(long))
        long_s = best_of(times, lambda: _reviewed(car, record, long))
        tries = _tries(car, record, long)
        tries_s = best_of(times, lambda: _tries(car, record, long))
    floor = "polars.read_csv"
    what = f"review of a log of {ROWS / RATE_HZ / 60.0:.0f} min, {COLUMNS} columns"
    return [
        Figure(
            name=f"review of a pass of {lasts_s:.0f} s, {columns} columns at {RATE_HZ:.0f} Hz",
            value=pass_s,
            unit="s",
            floor=raw_pass_s,
            floor_name=floor,
            target="<= 1",
        ),
        Figure(name=what, value=long_s, unit="s", floor=raw_s, floor_name=floor),
        Figure(
            name="... against the raw read", value=long_s / raw_s, unit="x", floor=1.0, floor_name=floor, target="<= 10"
        ),
        Figure(
            name=f"... with the clocks of each of its {len(tries)} tries, against the raw read",
            value=tries_s / raw_s,
            unit="x",
            floor=1.0,
            floor_name=floor,
            target="<= 10",
        ),
    ]


def _reviewed(car: Car, record: PassRecord, path: Path) -> ReviewedPass:
    log = open_log(path, hints_for(car, record))
    return ReviewedPass(record=record, log=log, review=review_pass(car, record, log))


def _tries(car: Car, record: PassRecord, path: Path) -> Sequence[tuple[object, Timeslip]]:
    return tries_of(car, _reviewed(car, record, path))


def _length_s(path: Path) -> float:
    times = pl.read_csv(path).to_series(0)
    return float(times[-1] - times[0])
