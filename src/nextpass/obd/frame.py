"""A message of up to 4095 bytes as frames of eight, and back.

ISO 15765-2 with normal addressing on classic CAN, as pure functions: what goes out is a list of data fields, what comes
in changes an immutable `Assembly`. Time-outs, repeats and the bus itself are the caller's. The message's own first byte
is the service; the frame's first half-byte says what the frame is: 0 single, 1 first, 2 consecutive, 3 flow control.
"""

from dataclasses import dataclass
from enum import IntEnum
from typing import Final

FRAME_BYTES: Final = 8
SINGLE_MOST: Final = 7
FIRST_PART: Final = 6
CONSECUTIVE_PART: Final = 7
"""Bytes of a classic CAN frame, and of the message in a single, first and consecutive frame."""

MESSAGE_MOST: Final = 4095
"""Longest message that a first frame of two length bytes announces."""

PADDING: Final = 0xCC
"""Fills a frame up: a byte of as many edges as can be, so that no stuff bits are needed."""

FUNCTIONAL_REQUEST: Final = 0x7DF
PHYSICAL_REQUESTS: Final = range(0x7E0, 0x7E8)
REPLIES: Final = range(0x7E8, 0x7F0)
"""11-bit addresses of ISO 15765-4: every unit, one unit, and a unit's answers (its request plus 8)."""


class FlowStatus(IntEnum):
    """What a receiver asks of the sender."""

    GO = 0
    WAIT = 1
    OVERFLOW = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class SingleFrame:
    """A whole message."""

    payload: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstFrame:
    """The begin of a message of `length` bytes."""

    length: int
    payload: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class ConsecutiveFrame:
    """A further part, `sequence` counting 1..15, 0, 1..; padding included, for only the message knows its length."""

    sequence: int
    payload: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowControl:
    """How the sender may go on.

    Parameters
    ----------
    status : FlowStatus
    block_size : int
        Frames until the next flow control; 0 for all the rest.
    separation_s : float
        Least time between two frames [s].
    """

    status: FlowStatus
    block_size: int
    separation_s: float


Frame = SingleFrame | FirstFrame | ConsecutiveFrame | FlowControl


@dataclass(frozen=True, slots=True, kw_only=True)
class Assembly:
    """A message on its way in.

    Parameters
    ----------
    length : int
        Bytes that its first frame announced.
    received : bytes
        What has come so far.
    next_sequence : int
        The sequence number that must come next.
    """

    length: int
    received: bytes
    next_sequence: int

    @property
    def message(self) -> bytes | None:
        """The whole message, or None while parts are missing."""
        return self.received if len(self.received) == self.length else None


def parse_frame(data: bytes) -> Frame:
    """What a CAN data field says.

    Parameters
    ----------
    data : bytes
        One to eight bytes.

    Returns
    -------
    SingleFrame, FirstFrame, ConsecutiveFrame or FlowControl

    Raises
    ------
    ValueError
        On a data field that is none of them.

    References
    ----------
    ISO 15765-2:2016, section 9.6.
    """
    kind = data[0] >> 4 if data else None
    low = data[0] & 0x0F if data else 0
    if kind == 0 and 0 < low < len(data):
        return SingleFrame(payload=data[1 : 1 + low])
    if kind == 1 and len(data) == FRAME_BYTES and (low << 8 | data[1]) > SINGLE_MOST:
        return FirstFrame(length=low << 8 | data[1], payload=data[2:])
    if kind == 2 and len(data) > 1:
        return ConsecutiveFrame(sequence=low, payload=data[1:])
    if kind == 3 and len(data) > 2 and low <= FlowStatus.OVERFLOW:
        return FlowControl(status=FlowStatus(low), block_size=data[1], separation_s=separation_s(data[2]))
    raise ValueError(f"{data.hex(' ').upper() or 'nothing'} is not a frame of ISO 15765-2")


def begin(frame: SingleFrame | FirstFrame) -> Assembly:
    """Begin of a message from its first frame.

    Parameters
    ----------
    frame : SingleFrame or FirstFrame
        What came.

    Returns
    -------
    Assembly
        Complete after a single frame; else a flow control is due to the sender.

    References
    ----------
    ISO 15765-2:2016, section 9.
    """
    if isinstance(frame, SingleFrame):
        return Assembly(length=len(frame.payload), received=frame.payload, next_sequence=1)
    return Assembly(length=frame.length, received=frame.payload, next_sequence=1)


def extend(assembly: Assembly, frame: ConsecutiveFrame) -> Assembly:
    """A message with one more part.

    Parameters
    ----------
    assembly : Assembly
        What has come so far.
    frame : ConsecutiveFrame
        What came now.

    Returns
    -------
    Assembly

    Raises
    ------
    ValueError
        On a part out of sequence, which means a lost frame, or one more than the message has.

    References
    ----------
    ISO 15765-2:2016, 9.6.4: the sequence wraps from 15 to 0.
    """
    if assembly.message is not None:
        raise ValueError("the message was complete before this frame")
    if frame.sequence != assembly.next_sequence:
        raise ValueError(f"frame {frame.sequence} came where {assembly.next_sequence} was due: a frame is lost")
    missing = assembly.length - len(assembly.received)
    part = frame.payload[:missing]
    if len(part) < min(missing, CONSECUTIVE_PART):
        raise ValueError(f"a frame of {len(part)} bytes came where {min(missing, CONSECUTIVE_PART)} were due")
    return Assembly(
        length=assembly.length,
        received=assembly.received + part,
        next_sequence=(frame.sequence + 1) % 16,
    )


def segment(message: bytes, padding: int = PADDING) -> tuple[bytes, ...]:
    """Data fields that carry a message.

    Parameters
    ----------
    message : bytes
        One to 4095 bytes, the service first.
    padding : int
        Byte that fills the last frame up.

    Returns
    -------
    tuple of bytes
        Eight bytes each; after the first of several the receiver's flow control must be awaited.

    Raises
    ------
    ValueError
        On an empty message, or one too long.

    References
    ----------
    ISO 15765-2:2016, section 9.6.
    """
    if not 0 < len(message) <= MESSAGE_MOST:
        raise ValueError(f"a message has 1 to {MESSAGE_MOST} bytes, not {len(message)}")
    if len(message) <= SINGLE_MOST:
        return (_filled(bytes([len(message)]) + message, padding),)
    first = (0x1000 | len(message)).to_bytes(2, "big") + message[:FIRST_PART]
    rest = range(FIRST_PART, len(message), CONSECUTIVE_PART)
    return (
        first,
        *(
            _filled(bytes([0x20 | (count % 16)]) + message[place : place + CONSECUTIVE_PART], padding)
            for count, place in enumerate(rest, start=1)
        ),
    )


def flow_control(
    status: FlowStatus = FlowStatus.GO, block_size: int = 0, separation_byte: int = 0, padding: int = PADDING
) -> bytes:
    """Data field that tells the sender how to go on.

    Parameters
    ----------
    status : FlowStatus
    block_size : int
        Frames until the next flow control, 0..255; 0 for all the rest.
    separation_byte : int
        Least time between frames as the standard codes it, see `separation_s`.
    padding : int
        Byte that fills the frame up.

    Returns
    -------
    bytes
        Eight bytes.

    References
    ----------
    ISO 15765-2:2016, 9.6.5.
    """
    return _filled(bytes([0x30 | status, block_size, separation_byte]), padding)


def separation_s(coded: int) -> float:
    """Least time between two consecutive frames.

    Parameters
    ----------
    coded : int
        Third byte of a flow control: 0..0x7F milliseconds, 0xF1..0xF9 hundreds of microseconds.

    Returns
    -------
    float
        Time [s]; the longest, 0.127, for a reserved value, as the standard asks.

    References
    ----------
    ISO 15765-2:2016, 9.6.5.4.
    """
    if 0xF1 <= coded <= 0xF9:
        return (coded - 0xF0) * 1e-4
    return min(coded, 0x7F) * 1e-3


def _filled(data: bytes, padding: int) -> bytes:
    return data + bytes([padding]) * (FRAME_BYTES - len(data))
