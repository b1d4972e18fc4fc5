"""Work on many passes at once: here, in several processes, or on a Dask cluster.

Results come in the order of the work. Only a few pieces are under way at a time, so that memory does not grow with the
book. Processes are started fresh: a plain fork is unsafe beside the threads of the libraries in use.
"""

import multiprocessing
import os
import threading
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from itertools import chain, islice
from typing import Any, Protocol, TypeVar

from nextpass.errors import NextpassError, Where
from nextpass.words import phrase

W = TypeVar("W")
R = TypeVar("R")
# Pieces under way for each worker: one that is worked on, and some that wait, so that a slow one stops nobody.
_AHEAD = 4
# A cluster is handed so many pieces together: to send one and have its answer back takes it as long whatever is in it.
_HEAP, _HEAPS_AHEAD = 4, 2
# To start a process takes about as long as these pieces do.
_FEWEST_FOR_PROCESSES = 6
_CONNECT_SECONDS = 10


class CrewError(NextpassError):
    """The processes or the cluster that should do the work do not."""


class _Later(Protocol):
    """A piece under way, in a process or on a cluster."""

    def result(self) -> Any:
        """What came of it, waited for."""

    def cancel(self) -> object:
        """Give it up, where it has not begun."""


def in_order(
    do: Callable[[W], R], pieces: Iterable[W], count: int, workers: int | None = None, scheduler: str | None = None
) -> Iterator[R]:
    """What `do` makes of each piece, in order.

    Parameters
    ----------
    do : Callable
        A function of a module; what goes in and out can be sent to another process.
    pieces : iterable
        Taken as they are needed.
    count : int
        How many there are.
    workers : int, optional
        Processes; as many as there are cores where it is not given. With one, or with few pieces and none given, the
        work is done here.
    scheduler : str, optional
        Address of a Dask scheduler, such as ``tcp://workshop:8786``: the work is done there.

    Raises
    ------
    CrewError
        No scheduler answers, or a worker died.
    """
    if scheduler is not None:
        yield from _on_cluster(do, pieces, scheduler)
        return
    asked = workers if workers is not None else (os.cpu_count() or 1) if count >= _FEWEST_FOR_PROCESSES else 1
    if asked == 1 or count <= 1:
        yield from map(do, pieces)
        return
    yield from _in_processes(do, pieces, min(asked, count))


def _in_processes(do: Callable[[W], R], pieces: Iterable[W], workers: int) -> Iterator[R]:
    start = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(workers, mp_context=start, initializer=_end_with_parent) as pool:
        try:
            yield from _few_at_a_time(lambda piece: pool.submit(do, piece), pieces, _AHEAD * workers)
        except BrokenProcessPool as error:
            raise CrewError(
                phrase("refusal.jobs.crew_ended"),
                remedy=phrase("refusal.jobs.fewer_workers"),
            ) from error
        finally:
            pool.shutdown(wait=False, cancel_futures=True)


def _end_with_parent() -> None:
    """Let a worker end when the program that started it was killed: nobody would ever give it work again."""
    parent = multiprocessing.parent_process()
    if parent is None:
        return

    def watch() -> None:
        parent.join()
        os._exit(1)

    threading.Thread(target=watch, daemon=True).start()


def _on_cluster(do: Callable[[W], R], pieces: Iterable[W], scheduler: str) -> Iterator[R]:
    where = Where(file=scheduler)
    try:
        import distributed
    except ImportError as error:
        raise CrewError(
            phrase("refusal.jobs.no_cluster_library"), where, phrase("refusal.common.install", extra="cluster")
        ) from error
    try:
        client = _client(distributed, scheduler)
    except (OSError, ValueError, TimeoutError) as error:
        raise CrewError(phrase("refusal.jobs.no_scheduler"), where, phrase("refusal.jobs.start_scheduler")) from error
    with client:
        threads = sum(client.nthreads().values())
        if threads == 0:
            raise CrewError(
                phrase("refusal.jobs.no_workers"), where, phrase("refusal.jobs.start_workers", scheduler=scheduler)
            )
        # Every piece is worked on, also where two look alike: nothing is taken from an earlier run.
        heaps = _few_at_a_time(
            lambda heap: client.submit(_each, do, heap, pure=False), _heaps(pieces), _HEAPS_AHEAD * threads
        )
        yield from chain.from_iterable(heaps)


def _heaps(pieces: Iterable[W]) -> Iterator[list[W]]:
    waiting = iter(pieces)
    while heap := list(islice(waiting, _HEAP)):
        yield heap


def _each(do: Callable[[W], R], heap: list[W]) -> list[R]:
    return [do(piece) for piece in heap]


def _client(library: Any, scheduler: str) -> Any:
    return library.Client(scheduler, timeout=_CONNECT_SECONDS, set_as_default=False)


def _few_at_a_time(submit: Callable[[W], Any], pieces: Iterable[W], most: int) -> Iterator[Any]:
    under_way: deque[_Later] = deque()
    try:
        for piece in pieces:
            under_way.append(submit(piece))
            if len(under_way) >= most:
                yield under_way.popleft().result()
        while under_way:
            yield under_way.popleft().result()
    finally:
        for later in under_way:
            with suppress(Exception):
                later.cancel()
