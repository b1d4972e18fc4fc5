"""The book: recheck on more processes and on a cluster, memory while it runs, and programs killed while they write.

    python -m benchmarks.book kills 500

A thousand small passes of one invented car are made from a few driven ones: every log differs in its last digits, so
that none is read for another.
"""

import os
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psutil

from benchmarks.figure import Figure
from nextpass.book import NamedFile, PassContent, keep_car, keep_pass, open_book, pass_content
from nextpass.jobs import recheck_book
from nextpass.proving import Logger, Mounting, demo_day, drive_demo_pass, write_car_file, write_pass_folder

PASSES = 1000
QUICK_PASSES = 24
# Of the suite's own kills, which go through the same program.
KILLS = 500
QUICK_KILLS = 24


def run(quick: bool = False) -> list[Figure]:
    """Every figure of the book.

    Parameters
    ----------
    quick : bool
        A small book and few kills.
    """
    passes = QUICK_PASSES if quick else PASSES
    with tempfile.TemporaryDirectory(prefix="nextpass-bench-") as place:
        book = Path(place) / "book"
        fill(book, passes)
        one_s, one_growth = rechecked(book, workers=1)
        two_s, two_growth = rechecked(book, workers=2)
        cluster_s = rechecked_on_cluster(book)
    return [
        Figure(
            name=f"recheck of {passes} passes, two processes against one",
            value=one_s / two_s,
            unit="times as fast",
            floor=1.0,
            floor_name="one process",
            target="" if quick else ">= 1.8",
        ),
        Figure(
            name=f"recheck of {passes} passes on a cluster of two on loopback, against one process",
            value=one_s / cluster_s,
            unit="times as fast",
            floor=1.0,
            floor_name="one process",
            target="" if quick else ">= 1.8",
        ),
        Figure(name="a pass rechecked, one process", value=one_s / passes, unit="s"),
        Figure(
            name="memory at the end against a quarter of the way, two processes",
            value=two_growth,
            unit="times",
            floor=one_growth,
            floor_name="one process",
            target="" if quick else "<= 1.1",
        ),
        killed(QUICK_KILLS if quick else KILLS),
    ]


def fill(place: Path, passes: int) -> None:
    """Make a book of one car with that many passes."""
    book = open_book(place)
    day = demo_day()
    logger = Logger(dialect="pocket", rate_hz=12.0, sensors="accelerometer and gps", mounting=Mounting())
    with tempfile.TemporaryDirectory(prefix="nextpass-bench-") as source:
        car_text = write_car_file(day.car, Path(source) / "car.toml").read_text(encoding="utf-8")
        car = keep_car(book, "Oake wagon", car_text)
        driven = []
        for one in day.passes:
            outcome = drive_demo_pass(day, one.setup, one.conditions, one.number)
            folder = write_pass_folder(outcome, logger, Path(source) / f"pass{one.number}", number=one.number)
            driven.append(pass_content(folder))
        for number in range(passes):
            keep_pass(book, car, varied(driven[number % len(driven)], number))
    book.close()


def varied(content: PassContent, number: int) -> PassContent:
    """The same pass with a blank row more or less at the end of its log, and another count."""
    log = content.logs[0]
    tail = b"\n" * (1 + number)
    toml = content.toml.replace("[pass]\n", f'[pass]\nlane = "{number}"\n', 1)
    return PassContent(toml=toml, logs=(NamedFile(name=log.name, content=log.content.rstrip() + tail),))


def rechecked(place: Path, workers: int) -> tuple[float, float]:
    """Seconds of a recheck, and memory of all its processes at its end over that after a quarter of it."""
    forget_channels(place)
    with memory_watched() as watched:
        start = time.perf_counter()
        recheck_book(place, every=True, workers=workers, report=lambda _doing, _done: None)
        seconds = time.perf_counter() - start
    used = watched[len(watched) // 4 :]
    middle = max(len(used) // 4, 1)
    return seconds, max(used[-middle:]) / max(used[:middle])


def forget_channels(place: Path) -> None:
    """Every recheck reads the logs anew, as it does after a change of the program: else the second is the quicker."""
    shutil.rmtree(place / "channels", ignore_errors=True)


def rechecked_on_cluster(place: Path) -> float:
    """Seconds of a recheck through a scheduler on loopback with two workers."""
    from distributed import LocalCluster

    forget_channels(place)
    with LocalCluster(
        n_workers=2, threads_per_worker=1, host="127.0.0.1", dashboard_address=None, memory_limit=0
    ) as cluster:
        start = time.perf_counter()
        recheck_book(place, every=True, scheduler=cluster.scheduler_address)
        return time.perf_counter() - start


@contextmanager
def memory_watched() -> Iterator[list[float]]:
    """Memory of this process and its children, twice a second, while the block runs."""
    watched: list[float] = []
    is_over = threading.Event()

    def watch() -> None:
        this = psutil.Process(os.getpid())
        while not is_over.wait(0.5):
            total = 0.0
            for process in (this, *this.children(recursive=True)):
                try:
                    total += process.memory_info().rss
                except psutil.NoSuchProcess:
                    continue
            watched.append(total)

    thread = threading.Thread(target=watch)
    thread.start()
    try:
        yield watched
    finally:
        is_over.set()
        thread.join()


def killed(kills: int) -> Figure:
    """Kills after which something was lost, half there, or the book did not open."""
    program = Path(__file__).parents[1] / "tests" / "book" / "kills.py"
    with tempfile.TemporaryDirectory(prefix="nextpass-bench-") as place:
        words = [sys.executable, str(program), place, str(kills)]
        done = subprocess.run(words, capture_output=True, text=True, check=False)
    if done.returncode:
        sys.stderr.write(done.stderr)
    at_work = int(done.stdout.split()[0]) if done.stdout else 0
    return Figure(
        name=f"kills of {kills} ({at_work} in the middle of the work) after which anything was lost",
        value=float(done.returncode != 0),
        unit="",
        target="<= 0",
    )


if __name__ == "__main__":
    if sys.argv[1:2] == ["kills"]:
        print(killed(int(sys.argv[2])))
    else:
        for figure in run(quick="--quick" in sys.argv):
            print(figure)
