"""Requests and replies of the diagnostic services that only read.

SAE J1979 services 01 to 0A and ISO 14229 read-by-identifier (22). Nothing here can write, clear or control: the program
asks and listens.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from nextpass.obd.parameter import PARAMETERS

CURRENT_DATA: Final = 0x01
FREEZE_FRAME: Final = 0x02
STORED_CODES: Final = 0x03
PENDING_CODES: Final = 0x07
IDENTITY: Final = 0x09
PERMANENT_CODES: Final = 0x0A
READ_BY_IDENTIFIER: Final = 0x22
"""The services that are asked."""

REPLY_OFFSET: Final = 0x40
NEGATIVE: Final = 0x7F
PENDING: Final = 0x78
"""A reply is its service plus 0x40, or 7F, the service and why not; 78 means that the answer is still to come."""

PARAMETERS_A_REQUEST: Final = 6
"""Most parameters of service 01 in one request on CAN."""

_REASONS: Final[Mapping[int, str]] = {
    0x10: "refused",
    0x11: "service not supported",
    0x12: "not supported",
    0x13: "wrong length of the request",
    0x21: "busy, ask again",
    0x22: "conditions not met",
    0x31: "out of range",
    0x33: "locked",
    PENDING: "answer follows",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """A unit's answer that it will not, or not yet, give the data.

    Parameters
    ----------
    service : int
        What was asked.
    reason : int
        Code of ISO 14229.
    """

    service: int
    reason: int

    @property
    def is_pending(self) -> bool:
        """Whether the true answer is still to come."""
        return self.reason == PENDING

    def __str__(self) -> str:
        return f"service {self.service:02X}: {_REASONS.get(self.reason, f'refused for reason {self.reason:02X}')}"


def parameter_request(identifiers: Sequence[int]) -> bytes:
    """Request of service 01 for up to six parameters.

    Parameters
    ----------
    identifiers : sequence of int
        0x00..0xFF each.

    Returns
    -------
    bytes

    Raises
    ------
    ValueError
        On none, or more than six.

    References
    ----------
    SAE J1979 / ISO 15031-5 on CAN.
    """
    if not 0 < len(identifiers) <= PARAMETERS_A_REQUEST:
        raise ValueError(f"one request takes 1 to {PARAMETERS_A_REQUEST} parameters, not {len(identifiers)}")
    return bytes([CURRENT_DATA, *identifiers])


def identifier_request(identifiers: Sequence[int]) -> bytes:
    """Request of service 22 for the maker's own data.

    Parameters
    ----------
    identifiers : sequence of int
        0x0000..0xFFFF each.

    Returns
    -------
    bytes

    Raises
    ------
    ValueError
        On none.

    References
    ----------
    ISO 14229-1, ReadDataByIdentifier.
    """
    if not identifiers:
        raise ValueError("one request takes 1 identifier or more, not 0")
    return bytes([READ_BY_IDENTIFIER]) + b"".join(one.to_bytes(2, "big") for one in identifiers)


def parse_reply(message: bytes, service: int) -> bytes | Refusal:
    """Data of a reply, or the unit's refusal.

    Parameters
    ----------
    message : bytes
        As reassembled.
    service : int
        What was asked.

    Returns
    -------
    bytes or Refusal
        What stands behind the service byte.

    Raises
    ------
    ValueError
        On a reply to something else.

    References
    ----------
    ISO 14229-1; ISO 15031-5.
    """
    if message[:1] == bytes([service + REPLY_OFFSET]):
        return message[1:]
    if len(message) >= 3 and message[:2] == bytes([NEGATIVE, service]):
        return Refusal(service=service, reason=message[2])
    raise ValueError(f"{message.hex(' ').upper() or 'nothing'} is no reply to service {service:02X}")


def split_parameters(data: bytes) -> dict[int, bytes]:
    """Data bytes of each parameter of one reply to service 01.

    Parameters
    ----------
    data : bytes
        Behind the service byte: identifier and data, one after the other.

    Returns
    -------
    dict of int to bytes
        By identifier.

    Raises
    ------
    ValueError
        On a parameter that is not known, behind which no other can be found, or one cut short.

    References
    ----------
    SAE J1979 / ISO 15031-5 on CAN.
    """
    found: dict[int, bytes] = {}
    place = 0
    while place < len(data):
        parameter = PARAMETERS.get(data[place])
        if parameter is None:
            raise ValueError(f"parameter {data[place]:02X} is not known, nor what stands behind it")
        end = place + 1 + parameter.size
        if end > len(data):
            raise ValueError(f"parameter {data[place]:02X} is cut short")
        found[data[place]] = data[place + 1 : end]
        place = end
    return found


def split_identifiers(data: bytes, sizes: Mapping[int, int]) -> dict[int, bytes]:
    """Data bytes of each identifier of one reply to service 22.

    Parameters
    ----------
    data : bytes
        Behind the service byte: identifier and data, one after the other.
    sizes : Mapping of int to int
        Data bytes of each identifier that was asked for; only the car's description knows them.

    Returns
    -------
    dict of int to bytes
        By identifier.

    Raises
    ------
    ValueError
        On an identifier that was not asked for, or one cut short.

    References
    ----------
    ISO 14229-1, ReadDataByIdentifier.
    """
    found: dict[int, bytes] = {}
    place = 0
    while place < len(data):
        identifier = int.from_bytes(data[place : place + 2], "big")
        if identifier not in sizes:
            raise ValueError(f"identifier {identifier:04X} was not asked for")
        end = place + 2 + sizes[identifier]
        if end > len(data):
            raise ValueError(f"identifier {identifier:04X} is cut short")
        found[identifier] = data[place + 2 : end]
        place = end
    return found
