"""What a pass folder holds, to the letter: the pass file, its logs, and what lies beside them.

A log may need a file beside it, as a CAN trace needs its .dbc; and a photograph of the timeslip is part of the pass to
its driver. All of the folder is kept but hidden files, folders in it that the pass file names no log in, and what is
larger than any file of a pass has reason to be.
"""

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Any

from nextpass.book.files import sha256_of
from nextpass.errors import PassFileError, Where
from nextpass.files import PASS_FILE
from nextpass.words import phrase

# Of a file beside the logs: a photograph has a few MB, a film is not kept in a book.
LARGEST_BESIDE_BYTES = 64_000_000
# What the proving ground truly did, for people to compare with: no part of a pass.
_NOT_OF_A_PASS = frozenset({"truth.toml"})


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedFile:
    """A file of a pass; `name` is its path in the folder, with slashes."""

    name: str
    content: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class PassContent:
    """A pass folder.

    Parameters
    ----------
    toml : str
        The pass file to the letter.
    logs : tuple of NamedFile
        In the order of the pass file.
    beside : tuple of NamedFile
        What else lies in the folder.
    left : tuple of str
        Names of files that are too large to be taken along.
    """

    toml: str
    logs: tuple[NamedFile, ...]
    beside: tuple[NamedFile, ...] = ()
    left: tuple[str, ...] = ()

    @property
    def logs_sha256(self) -> str:
        """Checksum that tells the pass from others: of its logs."""
        return logs_checksum([sha256_of(log.content) for log in self.logs])


@dataclass(frozen=True, slots=True, kw_only=True)
class Described:
    """What a pass file says that a pass is found by; whether it suits the car is not asked."""

    number: int | None
    started: datetime | None
    fuel: str
    strip: str
    lane: str
    notes: str
    log_names: tuple[str, ...]


def logs_checksum(checksums: Sequence[str]) -> str:
    """Checksum of several files in order, from their own."""
    return sha256_of("\n".join(checksums).encode())


def pass_content(folder: Path) -> PassContent:
    """All that a pass folder holds.

    Parameters
    ----------
    folder : Path
        With a pass file that was read before.

    Raises
    ------
    PassFileError
        A file cannot be read.
    """
    file = folder / PASS_FILE
    try:
        toml = file.read_bytes().decode("utf-8")
        names = described(toml, file).log_names
        beside, left = _beside(folder, names)
        return PassContent(
            toml=toml,
            logs=tuple(NamedFile(name=name, content=(folder / name).read_bytes()) for name in names),
            beside=tuple(NamedFile(name=path.name, content=path.read_bytes()) for path in beside),
            left=tuple(path.name for path in left),
        )
    except OSError as error:
        where = Where(file=error.filename or folder)
        raise PassFileError(
            phrase("refusal.common.unread", reason=error.strerror), where, phrase("refusal.book.check_folder")
        ) from error


def described(toml: str, file: Path | str) -> Described:
    """What a pass file says that a pass is found by.

    Raises
    ------
    PassFileError
        It is no pass file.
    """
    where = Where(file=file)
    try:
        values = tomllib.loads(toml.replace("\r\n", "\n").removeprefix("\ufeff"))
    except tomllib.TOMLDecodeError as error:
        raise PassFileError(
            phrase("refusal.toml.invalid", what=str(error)), where, phrase("refusal.book.give_pass_file")
        ) from error
    about, setup = _table(values, "pass"), _table(values, "setup")
    started, number = about.get("started"), about.get("number")
    logs = about.get("log")
    names = [logs] if isinstance(logs, str) else logs if isinstance(logs, list) else []
    if not names or not all(isinstance(name, str) for name in names):
        raise PassFileError(phrase("refusal.book.names_no_log"), where, phrase("refusal.book.give_pass_file"))
    return Described(
        number=number if isinstance(number, int) else None,
        started=started if isinstance(started, datetime) else None,
        fuel=str(setup.get("fuel", "")),
        strip=str(about.get("strip", "")),
        lane=str(about.get("lane", "")),
        notes=str(about.get("notes", "")),
        log_names=tuple(safe_path(name, where) for name in names),
    )


def safe_path(name: str, where: Where) -> str:
    """A path inside a folder, with slashes.

    Raises
    ------
    PassFileError
        It leads out of the folder.
    """
    # Read as both families of systems do: a folder that is written on one is read on the other.
    as_windows = PureWindowsPath(name)
    parts = as_windows.parts
    if not parts or as_windows.drive or as_windows.root or ".." in parts or "\0" in name:
        raise PassFileError(
            phrase("refusal.files.leads_out_named", name=name), where, phrase("refusal.book.log_beside")
        )
    return PurePosixPath(*parts).as_posix()


def _table(values: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    table = values.get(name)
    return table if isinstance(table, dict) else {}


def _beside(folder: Path, logs: Sequence[str]) -> tuple[list[Path], list[Path]]:
    taken: list[Path] = []
    left: list[Path] = []
    for path in _others(folder, logs):
        (taken if path.stat().st_size <= LARGEST_BESIDE_BYTES else left).append(path)
    return taken, left


def _others(folder: Path, logs: Sequence[str]) -> Iterator[Path]:
    for path in sorted(folder.iterdir()):
        is_own = path.name == PASS_FILE or path.name in logs or path.name in _NOT_OF_A_PASS
        if path.is_file() and not is_own and not path.name.startswith("."):
            yield path
