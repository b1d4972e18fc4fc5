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

# A task gets the book's place and tells what it has acknowledged, a line each.
Task = Callable[[Path, Callable[[str], None]], None]


def killed(task: Task, place: Path, after_s: float) -> tuple[list[str], bool]:
    """What a task had acknowledged when it was killed, and whether it was still at work."""
    reads, writes = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reads)
        try:
            task(place, lambda said: os.write(writes, f"{said}\n".encode()))
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
    """How long a task takes here and now when nobody kills it; refuses one that fails."""
    start = time.perf_counter()
    child = os.fork()
    if child == 0:
        failed = 1
        try:
            task(place, lambda _said: None)
            failed = 0
        finally:
            os._exit(failed)
    _, status = os.waitpid(child, 0)
    assert os.waitstatus_to_exitcode(status) == 0, task.__name__
    return time.perf_counter() - start


def moment(seed: int, longest_s: float) -> float:
    """When to kill: any time from the first instant on."""
    return random.Random(seed).uniform(0.0, longest_s)
