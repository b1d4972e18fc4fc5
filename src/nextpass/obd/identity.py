"""Who is this car, and which calibration does it run?

Service 09: vehicle identification number, calibration identifications and their verification numbers. A verification
number that changes between two passes says that the calibration was changed, whatever its name says.
"""

import re
from typing import Final

from nextpass.obd.service import IDENTITY

VEHICLE_NUMBER: Final = 0x02
CALIBRATION: Final = 0x04
VERIFICATION: Final = 0x06
UNIT_NAME: Final = 0x0A
"""Information types of service 09."""

_VEHICLE_NUMBER_FORM = re.compile(r"[A-HJ-NPR-Z0-9]{17}")
_CALIBRATION_BYTES, _VERIFICATION_BYTES = 16, 4

# Values of letters and weights of places: ISO 3779 with the check digit of 49 CFR 565.
_LETTER_VALUES = dict(zip("ABCDEFGHJKLMNPRSTUVWXYZ", (*range(1, 9), *range(1, 6), 7, 9, *range(2, 10)), strict=True))
_WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)


def identity_request(information_type: int) -> bytes:
    """Request of service 09.

    Parameters
    ----------
    information_type : int
        `VEHICLE_NUMBER`, `CALIBRATION`, `VERIFICATION` or `UNIT_NAME`.

    Returns
    -------
    bytes

    References
    ----------
    SAE J1979 / ISO 15031-5.
    """
    return bytes([IDENTITY, information_type])


def decode_vehicle_number(data: bytes) -> str:
    """Vehicle identification number of a reply on CAN.

    Parameters
    ----------
    data : bytes
        Behind service and information type: the number of items, then the text, filled up with zeros.

    Returns
    -------
    str
        17 letters and digits.

    Raises
    ------
    ValueError
        On a text that is no vehicle identification number.

    References
    ----------
    ISO 3779: letters without I, O and Q.
    """
    text = _text(data[1:])
    if _VEHICLE_NUMBER_FORM.fullmatch(text) is None:
        raise ValueError(f"{text!r} is not a vehicle identification number of 17 letters and digits")
    return text


def has_check_digit(vehicle_number: str) -> bool:
    """Whether the ninth place is the check digit of the others, as North America asks and others need not.

    Parameters
    ----------
    vehicle_number : str
        17 letters and digits.

    Returns
    -------
    bool

    References
    ----------
    49 CFR 565.15.
    """
    values = (int(sign) if sign.isdigit() else _LETTER_VALUES[sign] for sign in vehicle_number)
    remainder = sum(value * weight for value, weight in zip(values, _WEIGHTS, strict=True)) % 11
    return vehicle_number[8] == "0123456789X"[remainder]


def decode_calibrations(data: bytes) -> tuple[str, ...]:
    """Calibration identifications of a reply on CAN.

    Parameters
    ----------
    data : bytes
        Behind service and information type: the number of items, then 16 characters each.

    Returns
    -------
    tuple of str

    Raises
    ------
    ValueError
        On fewer bytes than the number of items promises.

    References
    ----------
    SAE J1979, information type 04 (memory).
    """
    return tuple(_text(item) for item in _items(data, _CALIBRATION_BYTES))


def decode_verifications(data: bytes) -> tuple[str, ...]:
    """Calibration verification numbers of a reply on CAN.

    Parameters
    ----------
    data : bytes
        Behind service and information type: the number of items, then four bytes each.

    Returns
    -------
    tuple of str
        Eight hex digits each, in the order of the calibrations.

    Raises
    ------
    ValueError
        On fewer bytes than the number of items promises.

    References
    ----------
    SAE J1979, information type 06 (memory).
    """
    return tuple(item.hex().upper() for item in _items(data, _VERIFICATION_BYTES))


def decode_unit_name(data: bytes) -> str:
    """Name of a control unit of a reply on CAN.

    Parameters
    ----------
    data : bytes
        Behind service and information type: the number of items, then the text, filled up with zeros.

    Returns
    -------
    str

    References
    ----------
    SAE J1979, information type 0A (memory).
    """
    return _text(data[1:])


def _items(data: bytes, size: int) -> list[bytes]:
    count = data[0] if data else 0
    if len(data) < 1 + count * size:
        raise ValueError(f"{count} items of {size} bytes are promised, but {max(len(data) - 1, 0)} bytes came")
    return [data[1 + place * size : 1 + (place + 1) * size] for place in range(count)]


def _text(data: bytes) -> str:
    """Printable characters only: units fill up with zeros, before or behind."""
    return "".join(chr(sign) for sign in data if 0x20 <= sign < 0x7F).strip()
