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
from nextpass.words import phrase

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
            raise LogError(phrase("refusal.log.is_folder"), where, phrase("refusal.log.name_file_in_it"))
        if size > LARGEST_FILE_BYTES:
            raise LogError(
                phrase("refusal.log.too_large", megabytes=size >> 20), where, phrase("refusal.log.cut_by_attempt")
            )
        with path.open("rb") as file:
            head = file.read(HEAD_BYTES)
    except OSError as error:
        raise LogError(
            phrase("refusal.log.unopened", why=error.strerror or str(error)), where, phrase("refusal.common.check_path")
        ) from error
    if not head.strip(b"\x00\r\n\t "):
        raise LogError(phrase("refusal.log.empty"), where, phrase("refusal.log.export_again"))
    if head.startswith(_GZIP):
        return _unpacked(path, _gunzipped(path), path.stem)
    if head.startswith(_ZIP):
        return _unzipped(path)
    if head.startswith(_OTHER_ARCHIVES):
        raise LogError(phrase("refusal.log.other_archive"), where, phrase("refusal.log.pack_plain"))
    foreign = foreign_file(head)
    if foreign is not None:
        raise LogError(phrase("refusal.log.foreign", kind=foreign.name), where, foreign.remedy)
    return Source(path=path, name=path.name, data=None, head=head)


def _unpacked(path: Path, data: bytes, name: str) -> Source:
    if data.startswith((_GZIP, _ZIP, *_OTHER_ARCHIVES)):
        raise LogError(phrase("refusal.log.nested_archive"), Where(file=path), phrase("refusal.log.unpack_once"))
    if not data.strip(b"\x00\r\n\t "):
        raise LogError(phrase("refusal.log.empty_in_archive"), Where(file=path), phrase("refusal.log.export_again"))
    return Source(path=path, name=name, data=data, head=data[:HEAD_BYTES])


def _read_bounded(file: IO[bytes] | gzip.GzipFile, packed_bytes: int, path: Path) -> bytes:
    pieces: list[bytes] = []
    size = 0
    while piece := file.read(_PIECE):
        size += len(piece)
        pieces.append(piece)
        if size > LARGEST_UNPACKED_BYTES or (size > SMALL_BYTES and size > LARGEST_RATIO * max(packed_bytes, 1)):
            raise LogError(
                phrase("refusal.log.unpacks_to", megabytes=size >> 20, packed=packed_bytes / 1e6),
                Where(file=path),
                phrase("refusal.log.unpack_yourself"),
            )
    return b"".join(pieces)


def _gunzipped(path: Path) -> bytes:
    try:
        with gzip.open(path, "rb") as file:
            return _read_bounded(file, path.stat().st_size, path)
    except (OSError, EOFError, zlib.error) as error:
        raise LogError(
            phrase("refusal.log.gzip_damaged", why=str(error)), Where(file=path), phrase("refusal.log.copy_again")
        ) from error


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
            phrase("refusal.log.zip_unread", why=str(error)), where, phrase("refusal.log.pack_again")
        ) from error
    except (zipfile.BadZipFile, OSError, EOFError, zlib.error, ValueError) as error:
        raise LogError(
            phrase("refusal.log.zip_damaged", why=str(error)), where, phrase("refusal.log.copy_again")
        ) from error
    return _unpacked(path, data, entry.filename)


def _only_log(archive: zipfile.ZipFile, where: Where) -> zipfile.ZipInfo:
    foreign = foreign_archive(archive.namelist())
    if foreign is not None:
        raise LogError(phrase("refusal.log.foreign", kind=foreign.name), where, foreign.remedy)
    files = [each for each in archive.infolist() if _is_content(each)]
    if len(files) != 1:
        names = ", ".join(each.filename for each in files[:5]) or phrase("refusal.log.none")
        raise LogError(
            phrase("refusal.log.many_in_archive", count=len(files), names=names),
            where,
            phrase("refusal.log.unpack_one"),
        )
    return files[0]


def _is_content(entry: zipfile.ZipInfo) -> bool:
    name = PurePosixPath(entry.filename)
    return not entry.is_dir() and not name.name.startswith(".") and "__MACOSX" not in name.parts
