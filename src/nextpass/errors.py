"""Refusals that a person can act on: what is wrong, where, and what to do.

Each is shown as it stands, in one line, at status 2 on the command line and 4xx on the web. Anything else that is
raised is a fault of the program.

    NextpassError
    ├─ FileError
    │  ├─ CarFileError
    │  ├─ PassFileError
    │  ├─ LogError
    │  │  └─ UnknownFormatError     keeps the refusal of each reader that was tried
    │  └─ BundleError
    ├─ SettingError (ValueError)    a value off its step, out of range, or not an adjuster of this car
    ├─ UnitError (ValueError)       a unit not known, or not of this quantity
    ├─ NotEnoughData                a question that the data at hand cannot answer at all
    └─ BookError                    newer schema, locked, disk full, read-only
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class Where:
    """The place of a fault in what the user gave.

    Parameters
    ----------
    file : Path or str, optional
        The file, as the user named it.
    line, column : int, optional
        Counted from 1, as editors do.
    key : str, optional
        Dotted key of a setting, such as ``guards.injector_duty_pct``.
    channel : str, optional
        Name of a column or channel of a log.
    """

    file: Path | str | None = None
    line: int | None = None
    column: int | None = None
    key: str | None = None
    channel: str | None = None

    def __str__(self) -> str:
        place = "" if self.file is None else str(self.file)
        if self.line is not None:
            place += f":{self.line}" if place else f"line {self.line}"
            if self.column is not None:
                place += f":{self.column}"
        names = [name for name in (self.key, self.channel) if name]
        return ": ".join([place, *names] if place else names)


NOWHERE = Where()


# Control characters, and the separators that some terminals take for line ends.
_BREAKS = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029]+")


class NextpassError(Exception):
    """A refusal: one line of *where: what is wrong; what to do*.

    Parameters
    ----------
    what : str
        What is wrong, in the user's words.
    where : Where, optional
        The place of the fault.
    remedy : str, optional
        What to write or do instead.
    """

    def __init__(self, what: str, where: Where = NOWHERE, remedy: str = "") -> None:
        super().__init__(what, where, remedy)
        self.what = what
        self.where = where
        self.remedy = remedy

    def __str__(self) -> str:
        return self.told(str)

    def told(self, said: Callable[[str], str]) -> str:
        """The line as a person reads it.

        Parameters
        ----------
        said : callable
            Gives a text in the person's language.

        Returns
        -------
        str
            *where: what is wrong; what to do*.
        """
        place, what, remedy = str(self.where), said(self.what), said(self.remedy)
        message = f"{place}: {what}" if place else what
        whole = f"{message}; {remedy}" if remedy else message
        # A name or a text of the user's may break lines; their message does not.
        return _BREAKS.sub(" ", whole)


class FileError(NextpassError):
    """A file that cannot be read, understood or written."""


class CarFileError(FileError):
    """A car file that does not follow the contract."""


class PassFileError(FileError):
    """A pass file or pass folder that does not follow the contract."""


class LogError(FileError):
    """A log that cannot be read as a log."""


class UnknownFormatError(LogError):
    """No reader takes the file; `refusals` says why, reader by reader."""

    def __init__(
        self, what: str, where: Where = NOWHERE, remedy: str = "", refusals: Sequence[tuple[str, NextpassError]] = ()
    ) -> None:
        super().__init__(what, where, remedy)
        self.refusals = tuple(refusals)


class BundleError(FileError):
    """A bundle that is damaged, from a newer program, or not a bundle."""


class SettingError(NextpassError, ValueError):
    """A value off its step, out of its range, or for something that is not an adjuster of this car."""


class UnitError(NextpassError, ValueError):
    """A unit that is not known, or not one of this quantity."""


class NotEnoughData(NextpassError):  # noqa: N818 - it is the data that falls short, not the program
    """A question that the data at hand cannot answer at all."""


class BookError(NextpassError):
    """The book cannot be opened or written."""
