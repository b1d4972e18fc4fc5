"""A walk through the blocks of an MDF 4 file before its library sees it.

A damaged link can lead a list of blocks back into itself, or announce more records than the file has room for. Both are
found here, in the few header blocks, without touching the data.

References
----------
ASAM MDF 4.1, block layout: id (4), reserved (4), length (8), number of links (8), links (8 each), data (memory).
"""

import struct
from collections.abc import Iterator

from nextpass.log.read.source import LARGEST_RATIO, LARGEST_UNPACKED_BYTES, SMALL_BYTES
from nextpass.log.unread import Unread
from nextpass.words import phrase

MOST_BLOCKS = 200_000
_HEADER = struct.Struct("<4sIQQ")
_HD_AT = 64


class DamagedBlocks(Unread):
    """The blocks of the file do not hang together; says how."""


def check_blocks(data: bytes) -> None:
    """Walk every list of data groups, channel groups and channels.

    Raises
    ------
    DamagedBlocks
        A list leads back into itself or out of the file, or more records are announced than can be.
    """
    seen: set[int] = set()
    records = 0
    header = _links(data, _HD_AT, b"##HD")
    for kind, at in ((b"##FH", header[1]), (b"##AT", header[3]), (b"##EV", header[4])):
        for _ in _listed(data, at, kind, seen):
            pass
    for group in _listed(data, header[0], b"##DG", seen):
        _check_data(data, _links(data, group, b"##DG")[2], seen)
        for channel_group in _listed(data, _links(data, group, b"##DG")[1], b"##CG", seen):
            records += _record_bytes(data, channel_group)
            for channel in _listed(data, _links(data, channel_group, b"##CG")[1], b"##CN", seen):
                # Composed channels hang below as lists of their own kind.
                child = _links(data, channel, b"##CN")[1]
                if child and data[child : child + 4] == b"##CN":
                    for _ in _listed(data, child, b"##CN", seen):
                        pass
    if records > LARGEST_UNPACKED_BYTES or (records > SMALL_BYTES and records > LARGEST_RATIO * len(data)):
        raise DamagedBlocks(phrase("refusal.log.blocks.announces", megabytes=records >> 20, held=len(data) / 1e6))


def _links(data: bytes, at: int, kind: bytes) -> tuple[int, ...]:
    if at + _HEADER.size > len(data):
        raise DamagedBlocks(phrase("refusal.log.blocks.out"))
    found, _, _, count = _HEADER.unpack_from(data, at)
    if found != kind or count > 4096 or at + _HEADER.size + 8 * count > len(data):
        raise DamagedBlocks(phrase("refusal.log.blocks.damaged", kind=kind.decode()))
    return (*struct.unpack_from(f"<{count}Q", data, at + _HEADER.size), *(0,) * 6)


def _check_data(data: bytes, at: int, seen: set[int]) -> None:
    """The list of data blocks of a group, where its data come in pieces."""
    if data[at : at + 4] == b"##HL":
        at = _links(data, at, b"##HL")[0]
    if at and data[at : at + 4] == b"##DL":
        for _ in _listed(data, at, b"##DL", seen):
            pass


def _listed(data: bytes, at: int, kind: bytes, seen: set[int]) -> Iterator[int]:
    """Addresses of the blocks of a list; the first link of each leads to the next."""
    while at:
        if at in seen:
            raise DamagedBlocks(phrase("refusal.log.blocks.circle"))
        if len(seen) >= MOST_BLOCKS:
            raise DamagedBlocks(phrase("refusal.log.blocks.many", most=MOST_BLOCKS))
        seen.add(at)
        yield at
        at = _links(data, at, kind)[0]


def _record_bytes(data: bytes, channel_group: int) -> int:
    _, _, _, links = _HEADER.unpack_from(data, channel_group)
    at = channel_group + _HEADER.size + 8 * links
    if at + 32 > len(data):
        raise DamagedBlocks(phrase("refusal.log.blocks.cut"))
    # record id (8), cycle count (8), flags (2), separator (2), reserved (4), data bytes (4), invalidation bytes (4)
    _, cycles, _, _, _, data_bytes, invalid_bytes = struct.unpack_from("<QQHHIII", data, at)
    return int(cycles) * (int(data_bytes) + int(invalid_bytes))
