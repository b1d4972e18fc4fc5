"""Manners with the libraries of formats: the answer when one is not installed, and its chatter kept from the user."""

import gc
import logging
import sys
import traceback
from collections.abc import Iterator
from contextlib import contextmanager

from nextpass.errors import LogError, Where
from nextpass.words import phrase


def missing_library(where: Where, format_name: str, extra: str) -> LogError:
    """Refusal that says what to install."""
    return LogError(
        phrase("refusal.log.no_library", name=format_name), where, phrase("refusal.common.install", extra=extra)
    )


@contextmanager
def quiet(logger: str) -> Iterator[None]:
    """Nothing on standard error from a library that logs each line it cannot read; the refusal says it once."""
    chatter = logging.getLogger(logger)
    level = chatter.level
    chatter.setLevel(logging.CRITICAL + 1)
    try:
        yield
    finally:
        chatter.setLevel(level)


def let_go(error: BaseException) -> None:
    """Drop what a failed library call still holds, so that a half-made object complains to nobody when it goes.

    A file object whose constructor failed is kept alive by the traceback's frames; asammdf's raises once more when it
    is collected, which Python would print.
    """
    hook = sys.unraisablehook
    sys.unraisablehook = lambda _: None
    try:
        traceback.clear_frames(error.__traceback__)
        # The object stands in a circle of references: only the collector takes it away.
        gc.collect()
    finally:
        sys.unraisablehook = hook
