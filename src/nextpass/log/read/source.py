"""A log file as bytes: plain, gzip or zip, within limits that keep memory bounded.

An archive is unpacked piece by piece and refused as soon as it grows past what a log can be; an archive within an
archive is refused unopened.
"""

import gzip
import zipfile
import zlib
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import IO

from nextpass.errors import LogError, Where
from nextpass.log.read.foreign import foreign_archive, foreign_file

# Two hours of 150 channels at 70 Hz as text are about 450 MB.
LARGEST_FILE_BYTES = 1 << 30
LARGEST_UNPACKED_BYTES = 1 << 29
# Text of a log packs 3 to 30 times; what packs more than this and is not small is made to fill memory.
LARGEST_RATIO = 120
SMALL_BYTES = 32 << 20
HEAD_BYTES = 1 << 18
_PIECE = 1 << 20

_GZIP = b"\x1f\x8b"
_ZIP = b"PK\x03\x04"
_OTHER_ARCHIVES = (b"7z\xbc\xaf", b"Rar!", b"BZh", b"\xfd7zXZ", b"\x28\xb5\x2f\xfd", b"PK\x05\x06")


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """One file to read.

    Parameters
    ----------
    path : Path
        As the user named it.
    name : str
        Name of the log itself, inside its archive where there is one.
    data : bytes or None
        Content where it had to be unpacked; None where the file lies plain on disk.
    head : bytes
        The first `HEAD_BYTES`.
    """

    path: Path
    name: str
    data: bytes | None
    head: bytes

    @property
    def suffix(self) -> str:
        """Lower-case ending of the name, with its dot."""
        return PurePosixPath(self.name).suffix.lower()

    def read(self) -> bytes:
        """The whole content."""
        return self.path.read_bytes() if self.data is None else self.data


def open_source(path: Path) -> Source:
    """The content of a log file, unpacked where it is packed.

    Raises
    ------
    LogError
        The file cannot be opened, is empty, too large, a damaged archive, or an archive of anything but one log.
    """
    where = Where(file=path)
    try:
        size = path.stat().st_size
        if path.is_dir():
            raise LogError("it is a folder, not a log", where, "name the file in it")
        if size > LARGEST_FILE_BYTES:
            raise LogError(
                f"it has {size >> 20} MB; a log of more than 1024 MB is not read", where, "cut it by attempt"
            )
        with path.open("rb") as file:
            head = file.read(HEAD_BYTES)
    except OSError as error:
        raise LogError(f"it cannot be opened ({error.strerror or error})", where, "check the path") from error
    if not head.strip(b"\x00\r\n\t "):
        raise LogError("it is empty", where, "export the log again")
    if head.startswith(_GZIP):
        return _unpacked(path, _gunzipped(path), path.stem)
    if head.startswith(_ZIP):
        return _unzipped(path)
    if head.startswith(_OTHER_ARCHIVES):
        raise LogError("it is an archive of a kind that is not read", where, "unpack it, or pack it as gzip or zip")
    foreign = foreign_file(head)
    if foreign is not None:
        raise LogError(f"it is {foreign.name}, not a log", where, foreign.remedy)
    return Source(path=path, name=path.name, data=None, head=head)


def _unpacked(path: Path, data: bytes, name: str) -> Source:
    if data.startswith((_GZIP, _ZIP, *_OTHER_ARCHIVES)):
        raise LogError(
            "it holds an archive within the archive", Where(file=path), "unpack it once and name the file inside"
        )
    if not data.strip(b"\x00\r\n\t "):
        raise LogError("the file in the archive is empty", Where(file=path), "export the log again")
    return Source(path=path, name=name, data=data, head=data[:HEAD_BYTES])


def _read_bounded(file: IO[bytes] | gzip.GzipFile, packed_bytes: int, path: Path) -> bytes:
    pieces: list[bytes] = []
    size = 0
    while piece := file.read(_PIECE):
        size += len(piece)
        pieces.append(piece)
        if size > LARGEST_UNPACKED_BYTES or (size > SMALL_BYTES and size > LARGEST_RATIO * max(packed_bytes, 1)):
            raise LogError(
                f"it unpacks to more than {size >> 20} MB from {packed_bytes / 1e6:.3g} MB, which no log does",
                Where(file=path),
                "unpack it yourself if you trust it",
            )
    return b"".join(pieces)


def _gunzipped(path: Path) -> bytes:
    try:
        with gzip.open(path, "rb") as file:
            return _read_bounded(file, path.stat().st_size, path)
    except (OSError, EOFError, zlib.error) as error:
        raise LogError(f"the gzip archive is damaged ({error})", Where(file=path), "copy it again") from error


def _unzipped(path: Path) -> Source:
    where = Where(file=path)
    try:
        with zipfile.ZipFile(path) as archive:
            entry = _only_log(archive, where)
            with archive.open(entry) as file:
                data = _read_bounded(file, entry.compress_size, path)
    # zipfile raises RuntimeError for a password and NotImplementedError for a method that it does not know.
    except (RuntimeError, NotImplementedError) as error:
        raise LogError(
            f"the zip archive cannot be read ({error})", where, "pack it again as plain zip without a password"
        ) from error
    except (zipfile.BadZipFile, OSError, EOFError, zlib.error, ValueError) as error:
        raise LogError(f"the zip archive is damaged or cut off ({error})", where, "copy it again") from error
    return _unpacked(path, data, entry.filename)


def _only_log(archive: zipfile.ZipFile, where: Where) -> zipfile.ZipInfo:
    foreign = foreign_archive(archive.namelist())
    if foreign is not None:
        raise LogError(f"it is {foreign.name}, not a log", where, foreign.remedy)
    files = [each for each in archive.infolist() if _is_content(each)]
    if len(files) != 1:
        names = ", ".join(each.filename for each in files[:5]) or "none"
        raise LogError(
            f"the archive holds {len(files)} files ({names}) where one log is wanted", where, "unpack it and name one"
        )
    return files[0]


def _is_content(entry: zipfile.ZipInfo) -> bool:
    name = PurePosixPath(entry.filename)
    return not entry.is_dir() and not name.name.startswith(".") and "__MACOSX" not in name.parts
