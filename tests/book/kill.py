"""Programs that are killed at random moments, and what must be true afterwards.

The programs are forked from one that has everything loaded, so that a kill costs milliseconds and not the seconds that
a start takes. What a killed program had acknowledged it had written to a pipe.
"""

import os
import random
import signal
import time
from collections.abc import Callable
from pathlib import Path

from nextpass.book import car_named, cars, content_of, open_book, passes_of

# A task gets the book's place and tells each pass that was acknowledged.
Task = Callable[[Path, Callable[[str], None]], None]


def killed(task: Task, place: Path, after_s: float) -> tuple[list[str], bool]:
    """What a task had acknowledged when it was killed, and whether it was still at work."""
    reads, writes = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reads)
        try:
            task(place, lambda pass_id: os.write(writes, f"{pass_id}\n".encode()))
        finally:
            os._exit(0)
    os.close(writes)
    time.sleep(after_s)
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    with os.fdopen(reads) as pipe:
        told = pipe.read().split("\n")
    # The last line may be cut: then nobody read it, and nothing was acknowledged.
    return told[:-1], os.WIFSIGNALED(status)


def seconds_of(task: Task, place: Path) -> float:
    """How long a task takes here and now when nobody kills it."""
    start = time.perf_counter()
    child = os.fork()
    if child == 0:
        try:
            task(place, lambda _pass_id: None)
        finally:
            os._exit(0)
    os.waitpid(child, 0)
    return time.perf_counter() - start


def faults(place: Path, acknowledged: set[str], logs: dict[str, bytes]) -> list[str]:
    """What is wrong with a book after kills: lost, half there, or not to be opened. `logs` by pass file."""
    found = []
    book = open_book(place)
    there = set()
    for car in cars(book):
        kept = passes_of(book, car_named(book, car.name))
        if [one.sequence for one in kept] != list(range(1, len(kept) + 1)):
            found.append(f"{car.name}: the passes are not counted through")
        for one in kept:
            there.add(one.id)
            content = content_of(book, one.id)
            if [log.content for log in content.logs] != [logs[content.toml]]:
                found.append(f"pass {one.sequence} is not whole")
    found += [f"{pass_id} was acknowledged and is lost" for pass_id in acknowledged - there]
    book.close()
    return found


def moment(seed: int, longest_s: float) -> float:
    """When to kill: any time from the first instant on."""
    return random.Random(seed).uniform(0.0, longest_s)
