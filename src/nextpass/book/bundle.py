"""One file that carries a part of a book: a zip of plain folders with a manifest of every file, its size and checksum.

It comes from a stranger: nothing in it is believed before it agrees with the manifest, no name may lead anywhere, and
no more is unpacked than was said.
"""

import hashlib
import json
import struct
import zipfile
import zlib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from nextpass import __version__
from nextpass.book.content import NamedFile
from nextpass.errors import BundleError, NextpassError, Where
from nextpass.words import phrase

MANIFEST = "manifest.json"
KIND = "nextpass bundle"
VERSION = 1
MOST_FILES = 50_000
MOST_BYTES = 8_000_000_000
LARGEST_FILE_BYTES = 1_000_000_000
_LARGEST_MANIFEST_BYTES = 20_000_000
_PIECE = 1 << 20
_ENCRYPTED = 0x1
_SYMLINK = 0o120000
_MODE_MASK = 0o170000


class ManifestFile(BaseModel):
    """One file of a bundle."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    path: str = Field(max_length=400)
    size: int = Field(ge=0, le=LARGEST_FILE_BYTES)
    sha256: str = Field(pattern="^[0-9a-f]{64}$")


class Manifest(BaseModel):
    """What a bundle says of itself."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    kind: str
    version: int
    program: str
    made: datetime
    left_out: list[str]
    files: list[ManifestFile] = Field(max_length=MOST_FILES)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bundle:
    """A bundle whose every file was proven; open with `opened_bundle`."""

    file: zipfile.ZipFile
    listed: Mapping[str, ManifestFile]
    left_out: tuple[str, ...]
    where: Where

    def read(self, path: str) -> bytes:
        """The bytes of a file.

        Raises
        ------
        BundleError
            It is not in the bundle.
        """
        one = self.listed.get(path)
        if one is None:
            raise BundleError(
                phrase("refusal.bundle.not_in_it", path=path), self.where, phrase("refusal.bundle.ask_for_bundle")
            )
        return b"".join(_pieces(self.file, one, self.where))


def write_bundle(path: Path, files: Iterator[NamedFile], left_out: Sequence[str] = ()) -> Path:
    """Write a bundle: the whole of it under its name, or nothing.

    Parameters
    ----------
    path : Path
        Where; nothing may stand there.
    files : iterator of NamedFile
        Taken one after the other.
    left_out : sequence of str
        What was left out on request, in words.

    Raises
    ------
    BundleError
        A file stands there, or it cannot be written.
    """
    where = Where(file=path)
    if path.exists():
        raise BundleError(phrase("refusal.common.there_already"), where, phrase("refusal.common.another_name"))
    beside = path.with_name(f".{path.name}.unfinished")
    listed: list[dict[str, Any]] = []
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with zipfile.ZipFile(beside, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as packed:
            for file in files:
                packed.writestr(zipfile.ZipInfo(file.name), file.content, zipfile.ZIP_DEFLATED)
                checksum = hashlib.sha256(file.content).hexdigest()
                listed.append({"path": file.name, "size": len(file.content), "sha256": checksum})
            manifest = {
                "kind": KIND,
                "version": VERSION,
                "program": __version__,
                "made": datetime.now(UTC).isoformat(),
                "left_out": list(left_out),
                "files": listed,
            }
            packed.writestr(zipfile.ZipInfo(MANIFEST), json.dumps(manifest, indent=1), zipfile.ZIP_DEFLATED)
        beside.replace(path)
    except OSError as error:
        raise BundleError(
            phrase("refusal.common.unwritten", reason=error.strerror), where, phrase("refusal.common.make_room")
        ) from error
    finally:
        beside.unlink(missing_ok=True)
    return path


@contextmanager
def opened_bundle(path: Path) -> Iterator[Bundle]:
    """A bundle to be read, proven from end to end.

    Raises
    ------
    BundleError
        It is no bundle, damaged, from a newer program, too large, or names a path that leads out.
    """
    where = Where(file=path)
    with _damage_refused(where):
        packed = zipfile.ZipFile(path)
    with packed:
        with _damage_refused(where):
            manifest = _manifest(packed, where)
            _check_names(packed, manifest, where)
            for one in manifest.files:
                for _ in _pieces(packed, one, where):
                    pass
        yield Bundle(
            file=packed,
            listed={one.path: one for one in manifest.files},
            left_out=tuple(manifest.left_out),
            where=where,
        )


@contextmanager
def _damage_refused(where: Where) -> Iterator[None]:
    """Let whatever the library for zip files raises on a damaged one be a refusal."""
    try:
        yield
    except OSError as error:
        raise BundleError(
            phrase("refusal.common.unread", reason=error.strerror or str(error)),
            where,
            phrase("refusal.common.check_path"),
        ) from error
    except (zipfile.BadZipFile, zlib.error, struct.error, EOFError, RuntimeError, ValueError, KeyError) as error:
        if isinstance(error, NextpassError):
            raise
        raise BundleError(
            phrase("refusal.bundle.none_or_damaged"), where, phrase("refusal.bundle.ask_again")
        ) from error


def _manifest(packed: zipfile.ZipFile, where: Where) -> Manifest:
    names = [info for info in packed.infolist() if info.filename == MANIFEST]
    if len(names) != 1 or names[0].file_size > _LARGEST_MANIFEST_BYTES:
        raise BundleError(phrase("refusal.bundle.no_manifest"), where, phrase("refusal.bundle.give_bundle"))
    with packed.open(names[0]) as stream:
        content = stream.read(_LARGEST_MANIFEST_BYTES + 1)
    try:
        said = json.loads(content)
    except (ValueError, RecursionError) as error:
        raise BundleError(
            phrase("refusal.bundle.manifest_damaged"), where, phrase("refusal.bundle.ask_again")
        ) from error
    if isinstance(said, dict) and said.get("kind") == KIND and isinstance(said.get("version"), int):
        if said["version"] > VERSION:
            raise BundleError(phrase("refusal.bundle.newer"), where, phrase("refusal.common.update"))
    else:
        raise BundleError(phrase("refusal.bundle.other_kind"), where, phrase("refusal.bundle.give_written"))
    try:
        return Manifest.model_validate_json(content)
    except ValidationError as error:
        first = error.errors()[0]
        place = ".".join(str(part) for part in first["loc"])
        raise BundleError(
            phrase("refusal.bundle.manifest_says", place=place, why=first["msg"]),
            where,
            phrase("refusal.bundle.ask_again"),
        ) from error


def _check_names(packed: zipfile.ZipFile, manifest: Manifest, where: Where) -> None:
    infos = {info.filename: info for info in packed.infolist()}
    listed = {one.path: one for one in manifest.files}
    if len(packed.infolist()) != len(infos) or set(infos) != {*listed, MANIFEST}:
        raise BundleError(phrase("refusal.bundle.other_files"), where, phrase("refusal.bundle.ask_again"))
    if len({name.casefold() for name in infos}) != len(infos):
        raise BundleError(phrase("refusal.bundle.same_name"), where, phrase("refusal.bundle.ask_again"))
    if sum(one.size for one in manifest.files) > MOST_BYTES:
        raise BundleError(
            phrase("refusal.bundle.unpacks_to", gigabytes=MOST_BYTES // 10**9),
            where,
            phrase("refusal.bundle.fewer_passes"),
        )
    for name, info in infos.items():
        if not _is_inside(name):
            raise BundleError(
                phrase("refusal.bundle.leads_out", name=name[:80]), where, phrase("refusal.bundle.no_trust")
            )
        if info.flag_bits & _ENCRYPTED or (info.external_attr >> 16) & _MODE_MASK == _SYMLINK:
            raise BundleError(
                phrase("refusal.bundle.no_plain_file", name=name[:80]), where, phrase("refusal.bundle.no_trust")
            )
        if name != MANIFEST and info.file_size != listed[name].size:
            raise BundleError(
                phrase("refusal.bundle.other_size", name=name[:80]), where, phrase("refusal.bundle.ask_again")
            )


def _is_inside(name: str) -> bool:
    parts = name.split("/")
    is_plain = all(part not in ("", ".", "..") for part in parts)
    return is_plain and not any(character in '\\:*?"<>|' or ord(character) < 32 for character in name)


def _pieces(packed: zipfile.ZipFile, one: ManifestFile, where: Where) -> Iterator[bytes]:
    """The bytes of a file, no more than were said, and proven at their end."""
    checksum, size = hashlib.sha256(), 0
    try:
        with packed.open(one.path) as stream:
            while piece := stream.read(_PIECE):
                size += len(piece)
                if size > one.size:
                    break
                checksum.update(piece)
                yield piece
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, RuntimeError, ValueError) as error:
        raise BundleError(
            phrase("refusal.bundle.file_damaged", path=one.path), where, phrase("refusal.bundle.ask_again")
        ) from error
    if size != one.size or checksum.hexdigest() != one.sha256:
        raise BundleError(
            phrase("refusal.bundle.file_damaged", path=one.path), where, phrase("refusal.bundle.ask_again")
        )
