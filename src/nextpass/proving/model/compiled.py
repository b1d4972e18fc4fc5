"""One decorator for every compiled part, typed so that the strict checker still sees the signatures.

Numba judges whether what it kept on disk is stale by the file of the outermost function alone, so that an edit of a
part would go unnoticed: results would silently be those of the day before. Here the place on disk is named for the
text of all parts together.
"""

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

import numba

P = ParamSpec("P")
R = TypeVar("R")
_SETTINGS: Any = numba.config


def _kept_for_these_sources() -> str:
    sources = sorted(Path(__file__).parent.glob("*.py"))
    digest = hashlib.sha256(b"".join(source.read_bytes() for source in sources)).hexdigest()[:12]
    usual = _SETTINGS.CACHE_DIR
    return str((Path(usual) if usual else Path(__file__).parent / "__pycache__") / f"compiled-{digest}")


_KEPT = _kept_for_these_sources()


def compiled(function: Callable[P, R]) -> Callable[P, R]:
    """The function in machine code, kept on disk and free to run beside others in threads.

    Division follows numpy, so that a zero gives inf, not an exception.
    """
    usual = _SETTINGS.CACHE_DIR
    _SETTINGS.CACHE_DIR = _KEPT
    try:
        machine_code: Callable[P, R] = numba.njit(cache=True, nogil=True, error_model="numpy")(function)
    finally:
        _SETTINGS.CACHE_DIR = usual
    return machine_code
