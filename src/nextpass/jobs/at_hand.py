"""What was made once and stays at hand while there is room: made once even when several ask at the same time."""

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

T = TypeVar("T")


class AtHand(Generic[T]):
    """Things by key, the ones used longest ago given up first.

    Parameters
    ----------
    room : int
        Weights that fit, in whatever unit they are given.
    """

    def __init__(self, room: int) -> None:
        self._room = room
        self._kept: OrderedDict[Hashable, tuple[T, int]] = OrderedDict()
        self._lock = threading.Lock()
        self._busy: dict[Hashable, threading.Lock] = {}

    def get(self, key: Hashable, make: Callable[[], T], weight: int = 1) -> T:
        """What is kept under a key, made where there is nothing.

        Parameters
        ----------
        key : Hashable
            Of all that the thing depends on.
        make : Callable
            Makes it; what it raises comes through, and nothing is kept.
        weight : int
            Of the thing.
        """
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key][0]
            busy = self._busy.setdefault(key, threading.Lock())
        with busy:
            with self._lock:
                if key in self._kept:
                    return self._kept[key][0]
            try:
                made = make()
            finally:
                with self._lock:
                    self._busy.pop(key, None)
            with self._lock:
                self._kept[key] = (made, weight)
                self._make_room(key)
            return made

    def _make_room(self, newest: Hashable) -> None:
        """Give up the oldest; the newest stays even when it alone is too heavy."""
        while sum(weight for _, weight in self._kept.values()) > self._room:
            oldest = next(iter(self._kept))
            if oldest == newest:
                return
            del self._kept[oldest]
