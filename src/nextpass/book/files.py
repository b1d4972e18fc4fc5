"""Files beside the database, named by their checksum: written whole or not at all, never changed."""

import gzip
import hashlib
import os
import tempfile
from pathlib import Path

from nextpass.errors import BookError, Where

LOG_FOLDER = "logs"


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
        _write_whole(target, gzip.compress(content, compresslevel=6, mtime=0))
    return checksum


def log_bytes(folder: Path, checksum: str) -> bytes:
    """Bytes of a kept log, proven against their checksum.

    Raises
    ------
    BookError
        The file is missing or damaged.
    """
    path = _path(folder, checksum)
    try:
        content = gzip.decompress(path.read_bytes())
    except (OSError, EOFError) as error:
        raise BookError("a log of the book cannot be read", Where(file=path), "bring it back from a copy") from error
    if sha256_of(content) != checksum:
        raise BookError("a log of the book is damaged", Where(file=path), "bring it back from a copy")
    return content


def _path(folder: Path, checksum: str) -> Path:
    return folder / LOG_FOLDER / checksum[:2] / f"{checksum}.gz"


def _write_whole(target: Path, content: bytes) -> None:
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=target.parent, prefix=".new-")
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(content)
                stream.flush()
                os.fsync(stream.fileno())
            os.replace(name, target)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
        # The name itself must survive a power cut before the pass is acknowledged.
        directory = os.open(target.parent, os.O_RDONLY)
        try:
            os.fsync(directory)
        finally:
            os.close(directory)
    except OSError as error:
        raise BookError(
            f"a log cannot be kept ({error.strerror})",
            Where(file=target),
            "make room or check the rights of the folder",
        ) from error
