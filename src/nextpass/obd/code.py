"""Trouble codes as bytes and as people write them.

SAE J2012 / ISO 15031-6: two bytes hold the letter of the system, a digit that says who defined the code, and three hex
digits. What a code means for a car stands in `nextpass.health`; here is its structure only.
"""

import re
from dataclasses import dataclass
from typing import Final

SYSTEMS: Final = {"P": "powertrain", "C": "chassis", "B": "body", "U": "network"}
"""Letters in the order of their two bits."""

_LETTERS = "".join(SYSTEMS)
_FORM = re.compile(r"([PCBU])([0-3])([0-9A-F]{3})", re.IGNORECASE)

# Fills a reply up; no code.
_PADDING = b"\x00\x00"


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class TroubleCode:
    """One code, such as P0299.

    Parameters
    ----------
    number : int
        Its two bytes, 0x0001..0xFFFF.
    """

    number: int

    def __post_init__(self) -> None:
        if not 0 < self.number <= 0xFFFF:
            raise ValueError(f"a trouble code is a number of 1 to 65535, not {self.number}")

    def __str__(self) -> str:
        return f"{self.system}{(self.number >> 12) & 3}{self.number & 0xFFF:03X}"

    @property
    def system(self) -> str:
        """Letter of the system: P, C, B or U."""
        return _LETTERS[self.number >> 14]

    @property
    def is_standardised(self) -> bool:
        """Whether the standard gives its meaning (memory): digit 0, P2, P34 and above, U3; else the maker does."""
        digit, rest = (self.number >> 12) & 3, self.number & 0xFFF
        if digit == 0:
            return True
        if self.system == "P":
            return digit == 2 or (digit == 3 and rest >= 0x400)
        return self.system == "U" and digit == 3

    @property
    def data(self) -> bytes:
        """The two bytes of the code, as a car sends them."""
        return self.number.to_bytes(2, "big")


def trouble_code(text: str) -> TroubleCode:
    """Code as people write it.

    Parameters
    ----------
    text : str
        Such as ``P0299``; small letters and blanks about it are taken.

    Returns
    -------
    TroubleCode

    Raises
    ------
    ValueError
        On a text that is no code.

    References
    ----------
    SAE J2012 / ISO 15031-6.
    """
    match = _FORM.fullmatch(text.strip())
    number = 0
    if match is not None:
        letter, digit, rest = match.groups()
        number = _LETTERS.index(letter.upper()) << 14 | int(digit) << 12 | int(rest, 16)
    if number == 0:
        raise ValueError(f"{text!r} is not a trouble code such as P0299")
    return TroubleCode(number=number)


def trouble_codes_in(text: str) -> tuple[TroubleCode, ...]:
    """Codes that a longer text names, each once, in its order.

    Parameters
    ----------
    text : str
        A message, a scan's printout, or notes.

    Returns
    -------
    tuple of TroubleCode

    References
    ----------
    SAE J2012 / ISO 15031-6.
    """
    found = re.findall(rf"\b{_FORM.pattern}\b", text, re.IGNORECASE)
    codes = ["".join(parts) for parts in found if "".join(parts).upper() != "P0000"]
    return tuple(dict.fromkeys(trouble_code(code) for code in codes))


def decode_codes(data: bytes, has_count: bool) -> tuple[TroubleCode, ...]:
    """Codes of a reply to service 03 (stored), 07 (pending) or 0A (permanent).

    Parameters
    ----------
    data : bytes
        Behind the service byte of the reply.
    has_count : bool
        Whether the first byte is the number of codes, as on CAN; earlier protocols have none.

    Returns
    -------
    tuple of TroubleCode
        In the car's order, padding left out.

    Raises
    ------
    ValueError
        On fewer bytes than the count promises, or an odd number of them.

    References
    ----------
    SAE J1979 / ISO 15031-5 (memory).
    """
    body = data
    if has_count:
        if not data:
            raise ValueError("a reply with codes begins with their number, but it is empty")
        body = data[1 : 1 + 2 * data[0]]
        if len(body) < 2 * data[0]:
            raise ValueError(f"{data[0]} codes are promised, but {len(body) // 2} came")
    if len(body) % 2:
        raise ValueError(f"codes have two bytes each, but {len(body)} came")
    pairs = (body[place : place + 2] for place in range(0, len(body), 2))
    return tuple(TroubleCode(number=int.from_bytes(pair, "big")) for pair in pairs if pair != _PADDING)
