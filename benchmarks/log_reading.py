"""How long, and how much memory, a log takes from the file to matched and checked channels.

The floor of each figure is what the same file costs a plain `polars.read_csv` in the same run: nothing that reads the
numbers can be faster. Times are the best of several, memory is that of a process of its own.
"""

import multiprocessing
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import polars as pl

from benchmarks.figure import Figure
from nextpass.log import open_log, write_log

ROWS, COLUMNS, RATE_HZ = 84_000, 150, 70.0
# A pass: a minute of sixty columns.
PASS_ROWS, PASS_COLUMNS = 4_200, 60


def run(quick: bool = False) -> list[Figure]:
    """Every figure of log reading; `quick` measures fewer times."""
    times = 2 if quick else 5
    with tempfile.TemporaryDirectory() as folder:
        long, short, out = Path(folder) / "long.csv", Path(folder) / "pass.csv", Path(folder) / "out.parquet"
        write_csv(long, ROWS, COLUMNS)
        write_csv(short, PASS_ROWS, PASS_COLUMNS)
        raw_s = best_of(times, lambda: pl.read_csv(long))
        open_s = best_of(times, lambda: open_log(long))
        both_s = best_of(times, lambda: write_log(open_log(long), out, replace=True))
        pass_s = best_of(times, lambda: open_log(short))
        raw_pass_s = best_of(times, lambda: pl.read_csv(short))
        numbers_mb = ROWS * COLUMNS * 8 / 1e6
        grown_mb = memory_of(long)
        size_mb = long.stat().st_size / 1e6
    floor = "polars.read_csv"
    what = f"{ROWS} x {COLUMNS} CSV of {size_mb:.0f} MB"
    return [
        Figure(name=f"{what}, raw read", value=raw_s, unit="s"),
        Figure(name="... matched and checked", value=open_s, unit="s", floor=raw_s, floor_name=floor),
        Figure(
            name="... against the raw read", value=open_s / raw_s, unit="x", floor=1.0, floor_name=floor, target="<= 2"
        ),
        Figure(
            name="... with the Parquet write, against the raw read",
            value=both_s / raw_s,
            unit="x",
            floor=1.0,
            floor_name=floor,
            target="<= 3.5",
        ),
        Figure(
            name="... peak memory, against the numbers as 64-bit floats",
            value=grown_mb / numbers_mb,
            unit="x",
            floor=1.0,
            floor_name="the numbers alone",
            target="<= 3",
        ),
        Figure(
            name="a pass of 60 s, 60 columns",
            value=pass_s,
            unit="s",
            floor=raw_pass_s,
            floor_name=floor,
            target="<= 0.3",
        ),
    ]


def write_csv(path: Path, rows: int, columns: int) -> None:
    """A log of invented pulls with that many columns; what is no channel of a car is a spare input."""
    rng = np.random.default_rng(1)
    time_s = np.arange(rows) / RATE_HZ
    cycle = time_s % 40.0
    pulls = (cycle > 20.0) & (cycle < 32.0)
    coasts = cycle >= 32.0
    speed = np.where(pulls, 16.0 * (cycle - 20.0), np.where(coasts, 192.0 - 24.0 * (cycle - 32.0), 0.0))
    rpm = np.where(pulls, 2500.0 + 4000.0 * ((cycle - 20.0) % 3.0) / 3.0, 850.0)
    known = {
        "Time (s)": (time_s, "%.3f"),
        "Engine RPM": (rpm + rng.normal(0, 8, rows), "%.0f"),
        "Vehicle Speed (km/h)": (speed + rng.normal(0, 0.2, rows) * (speed > 0), "%.1f"),
        "MAP (kPa)": (np.where(pulls, 210.0, 36.0) + rng.normal(0, 1, rows), "%.1f"),
        "Throttle (%)": (np.where(pulls, 100.0, 0.0), "%.1f"),
        "Lambda B1": (np.where(pulls, 0.82, 1.0) + rng.normal(0, 0.008, rows), "%.3f"),
        "GPS Speed (km/h)": (np.repeat(speed[::7], 7)[:rows], "%.1f"),
        "Coolant Temp (C)": (88.0 + 2.0 * np.sin(time_s / 100.0), "%.0f"),
        "Gear": (np.where(pulls, 1 + (cycle - 20.0) // 3.0, 1), "%.0f"),
        "Long Accel (g)": (np.gradient(speed / 3.6, time_s) / 9.80665 + rng.normal(0, 0.02, rows), "%.3f"),
        "Baro (kPa)": (np.full(rows, 100.4), "%.1f"),
    }
    spare = {}
    for number in range(columns - len(known)):
        walk = np.cumsum(rng.normal(0, 1, rows)) * 0.05 + rng.normal(0, 0.1, rows) + 100.0 * (number % 5)
        spare[f"Spare Input {number} (V)"] = (walk, f"%.{number % 4}f")
    every = {**known, **spare}
    table = np.column_stack([values for values, _ in every.values()])
    forms = [form for _, form in every.values()]
    np.savetxt(path, table, delimiter=",", fmt=forms, header=",".join(every), comments="")


def best_of(times: int, work: Callable[[], object]) -> float:
    """Shortest of several runs [s]: what else the machine does only ever adds."""
    shortest = float("inf")
    for _ in range(times):
        start = time.perf_counter()
        work()
        shortest = min(shortest, time.perf_counter() - start)
    return shortest


def memory_of(path: Path) -> float:
    """Growth of the greatest resident memory while a fresh process opens the log [MB]."""
    context = multiprocessing.get_context("spawn")
    with context.Pool(1) as pool:
        return float(pool.apply(_grown_mb, (path,)))


def _grown_mb(path: Path) -> float:
    # A small log first: libraries and vocabulary are loaded with the program, not with this log.
    with tempfile.TemporaryDirectory() as folder:
        small = Path(folder) / "small.csv"
        write_csv(small, 500, 20)
        open_log(small)
    # Linux keeps the greatest resident memory, and starts it anew when 5 is written here.
    Path("/proc/self/clear_refs").write_text("5")
    before = _resident_kb("VmRSS")
    open_log(path)
    return (_resident_kb("VmHWM") - before) * 1024 / 1e6


def _resident_kb(key: str) -> int:
    status = Path("/proc/self/status").read_text()
    return int(next(line.split()[1] for line in status.splitlines() if line.startswith(key)))
