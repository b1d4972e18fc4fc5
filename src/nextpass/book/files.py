"""Files beside the database, named by their checksum: written whole or not at all, never changed."""

import gzip
import hashlib
import os
import secrets
import time
import zlib
from collections.abc import Callable
from pathlib import Path

from nextpass.errors import BookError, Where
from nextpass.words import phrase

LOG_FOLDER = "logs"
UNFINISHED_FOLDER = "unfinished"
# A file that is being written for longer than this was left behind by a program that died.
_LONGEST_WRITE_S = 3600.0
# Logs are text: a low level packs them nearly as well as the highest, several times faster.
_LEVEL = 3


def sha256_of(content: bytes) -> str:
    """Checksum of the bytes as lower-case hexadecimal."""
    return hashlib.sha256(content).hexdigest()


def keep_log(folder: Path, content: bytes) -> str:
    """Keep the bytes of a log, compressed, and give their checksum; the same bytes are kept once.

    Raises
    ------
    BookError
        Disk full or folder not writable; nothing is left behind.
    """
    checksum = sha256_of(content)
    target = _path(folder, checksum)
    if not target.exists():
        # No time stamp inside, so that the same bytes always give the same file.
        packed = gzip.compress(content, compresslevel=_LEVEL, mtime=0)
        write_kept(folder, target, lambda path: _write(path, packed))
    return checksum


def packed_log(folder: Path, checksum: str) -> bytes:
    """A kept log as it lies on disk: gzip.

    Raises
    ------
    BookError
        The file is missing.
    """
    path = _path(folder, checksum)
    try:
        return path.read_bytes()
    except OSError as error:
        raise BookError(
            phrase("refusal.book.log_unread"), Where(file=path), phrase("refusal.book.from_copy")
        ) from error


def unpacked_log(folder: Path, checksum: str, packed: bytes) -> bytes:
    """The bytes of a kept log, proven against their checksum.

    Raises
    ------
    BookError
        The file is damaged.
    """
    try:
        content = gzip.decompress(packed)
    except (OSError, EOFError, zlib.error):
        content = None
    if content is None or sha256_of(content) != checksum:
        raise BookError(
            phrase("refusal.book.log_damaged"), Where(file=_path(folder, checksum)), phrase("refusal.book.from_copy")
        )
    return content


def log_bytes(folder: Path, checksum: str) -> bytes:
    """Bytes of a kept log, proven against their checksum.

    Raises
    ------
    BookError
        The file is missing or damaged.
    """
    return unpacked_log(folder, checksum, packed_log(folder, checksum))


def sweep(folder: Path) -> None:
    """Clear away what programs that died left half written."""
    unfinished = folder / UNFINISHED_FOLDER
    if not unfinished.is_dir():
        return
    for left in unfinished.iterdir():
        if time.time() - left.stat().st_mtime > _LONGEST_WRITE_S:
            left.unlink(missing_ok=True)


def write_kept(folder: Path, target: Path, write: Callable[[Path], None]) -> None:
    """Write a file of the book so that under its name there is the whole of it or nothing.

    Parameters
    ----------
    folder : Path
        Of the book.
    target : Path
        In that folder.
    write : Callable[[Path], None]
        Writes to the path that it is given.

    Raises
    ------
    BookError
        Disk full or folder not writable; nothing is left behind.
    """
    unfinished = folder / UNFINISHED_FOLDER / secrets.token_hex(16)
    try:
        unfinished.parent.mkdir(parents=True, exist_ok=True)
        target.parent.mkdir(parents=True, exist_ok=True)
        try:
            write(unfinished)
            _to_disk(unfinished)
            unfinished.replace(target)
        except BaseException:
            unfinished.unlink(missing_ok=True)
            raise
        # The name itself must survive a power cut before the pass is acknowledged.
        _to_disk(target.parent)
    except OSError as error:
        raise BookError(
            phrase("refusal.book.log_unkept", why=error.strerror or str(error)),
            Where(file=target),
            phrase("refusal.book.make_room"),
        ) from error


def _write(path: Path, content: bytes) -> None:
    with path.open("xb") as stream:
        stream.write(content)


def _to_disk(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _path(folder: Path, checksum: str) -> Path:
    return folder / LOG_FOLDER / checksum[:2] / f"{checksum}.gz"
