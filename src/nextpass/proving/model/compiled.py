"""One decorator for every compiled part, typed so that the strict checker still sees the signatures."""

from collections.abc import Callable
from typing import ParamSpec, TypeVar

from numba import njit

P = ParamSpec("P")
R = TypeVar("R")


def compiled(function: Callable[P, R]) -> Callable[P, R]:
    """The function in machine code, kept on disk; division follows numpy, so that a zero gives inf, not an exception.

    Numba judges whether its cache is stale by the file of the *outer* function alone: after an edit of one part,
    `run.py` has to be touched.
    """
    machine_code: Callable[P, R] = njit(cache=True, error_model="numpy")(function)
    return machine_code
