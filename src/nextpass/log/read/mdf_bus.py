"""CAN frames that an MDF file records as they went over the bus, beside channels or instead of them.

References
----------
ASAM MDF 4.1, associated standard on bus logging: a group of bus events has one structured channel ``CAN_DataFrame``
with the parts ``ID``, ``IDE``, ``DLC``, ``DataLength`` and ``DataBytes`` (memory); held against files by python-can.
"""

from typing import Any

import numpy as np

from nextpass.errors import LogError, Where
from nextpass.log.read.can_frames import EXTENDED, MOST_FRAMES, Frames
from nextpass.words import phrase

_FRAME = "CAN_DataFrame"
# Bit of a channel group's flags: its records are bus events (CG block, cg_flags, memory).
_BUS_EVENT = 2
_IDENTIFIER_BITS = 0x1FFFFFFF


def is_bus_group(group: Any) -> bool:
    """Whether a group of an MDF file holds frames of a bus instead of channels."""
    return bool(group.channel_group.flags & _BUS_EVENT) or _has_frames(group)


def bus_frames(file: Any, path: Any) -> dict[int, Frames]:
    """Data frames of every CAN bus in the file by identifier, extended ones with `EXTENDED` set; times as in the file.

    Raises
    ------
    LogError
        There are more frames than are read.
    """
    parts = [
        _group_frames(file.get(_FRAME, group=number))
        for number, group in enumerate(file.groups)
        if _has_frames(group) and group.channel_group.cycles_nr > 0
    ]
    if not parts:
        return {}
    if sum(part[0].size for part in parts) > MOST_FRAMES:
        raise LogError(
            phrase("refusal.log.many_frames", most=MOST_FRAMES), Where(file=path), phrase("refusal.log.cut_by_attempt")
        )
    width = max(part[2].shape[1] for part in parts)
    keys = np.concatenate([part[0] for part in parts])
    times = np.concatenate([part[1] for part in parts])
    data = np.concatenate([np.pad(part[2], ((0, 0), (0, width - part[2].shape[1]))) for part in parts])
    lengths = np.concatenate([part[3] for part in parts])
    found: dict[int, Frames] = {}
    for key in np.unique(keys).tolist():
        rows = np.flatnonzero(keys == key)
        longest = int(lengths[rows].max(initial=0))
        found[key] = Frames(time_s=times[rows], data=data[rows, :longest], lengths=lengths[rows])
    return found


def _has_frames(group: Any) -> bool:
    return any(channel.name == _FRAME for channel in group.channels)


def _group_frames(signal: Any) -> tuple[Any, Any, Any, Any]:
    """Identifiers, times, bytes and lengths of one group's frames."""
    fields = {name.removeprefix(f"{_FRAME}."): signal.samples[name] for name in signal.samples.dtype.names}
    identifiers = fields["ID"].astype(np.int64)
    # Some loggers mark a long identifier in its own top bit instead of a part of its own.
    is_extended = (identifiers & EXTENDED) != 0
    if "IDE" in fields:
        is_extended |= fields["IDE"].astype(bool)
    data = np.atleast_2d(np.asarray(fields["DataBytes"], dtype=np.uint8))
    lengths = np.asarray(fields.get("DataLength", fields.get("DLC")), dtype=np.int64)
    keys = (identifiers & _IDENTIFIER_BITS) | np.where(is_extended, EXTENDED, 0)
    return keys, np.asarray(signal.timestamps, dtype=np.float64), data, np.minimum(lengths, data.shape[1])
