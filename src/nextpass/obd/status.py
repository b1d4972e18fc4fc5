"""What do the parameters say that are patterns of bits and not numbers?

Supported parameters, the lamp with its monitors (readiness), the fuel system's loop, and the fuel type; SAE J1979 /
ISO 15031-5, bit meanings from memory and held against an independent decoder in the tests.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final


class FuelLoop(StrEnum):
    """How one fuel system is controlled at the moment."""

    NONE = "none"
    OPEN_COLD = "open loop, not warm yet"
    CLOSED = "closed loop"
    OPEN_LOAD = "open loop for load or overrun"
    OPEN_FAULT = "open loop for a fault"
    CLOSED_FAULT = "closed loop with a sensor at fault"
    INVALID = "several at once"


_LOOPS = (
    FuelLoop.OPEN_COLD,
    FuelLoop.CLOSED,
    FuelLoop.OPEN_LOAD,
    FuelLoop.OPEN_FAULT,
    FuelLoop.CLOSED_FAULT,
)

_CONTINUOUS = ("misfire", "fuel system", "components")

# Bit 4 was the refrigerant of the air conditioning and is kept as such.
_SPARK = (
    "catalyst",
    "heated catalyst",
    "evaporative system",
    "secondary air",
    "air conditioning refrigerant",
    "oxygen sensor",
    "oxygen sensor heater",
    "exhaust recirculation or valve timing",
)

_COMPRESSION = (
    "hydrocarbon catalyst",
    "nitrogen oxide aftertreatment",
    "",
    "boost pressure",
    "",
    "exhaust gas sensor",
    "particulate filter",
    "exhaust recirculation or valve timing",
)

FUEL_TYPES: Final[Mapping[int, str]] = MappingProxyType(
    {
        1: "gasoline",
        2: "methanol",
        3: "ethanol",
        4: "diesel",
        5: "liquefied petroleum gas",
        6: "compressed natural gas",
        7: "propane",
        8: "electric",
        9: "two fuels, running on gasoline",
        10: "two fuels, running on methanol",
        11: "two fuels, running on ethanol",
    }
)
"""Values of parameter 51 that an engine of this trade may show."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MonitorStatus:
    """Lamp, count of codes, and which monitors have run.

    Parameters
    ----------
    is_lamp_on : bool
        The malfunction lamp is commanded on.
    code_count : int
        Emission-related codes that are confirmed.
    is_compression_ignition : bool
        A diesel's set of monitors.
    is_complete : Mapping[str, bool]
        By name, for each monitor that the car supports: whether it has run since clearing.
    """

    is_lamp_on: bool
    code_count: int
    is_compression_ignition: bool
    is_complete: Mapping[str, bool]

    @property
    def is_ready(self) -> bool:
        """Whether every supported monitor has run, as an emission test asks."""
        return all(self.is_complete.values())


def decode_monitor_status(data: bytes) -> MonitorStatus:
    """Readiness from parameter 01 (since clearing) or 41 (this drive).

    Parameters
    ----------
    data : bytes
        Four data bytes.

    Returns
    -------
    MonitorStatus

    Raises
    ------
    ValueError
        On fewer than four bytes.

    References
    ----------
    SAE J1979, parameter 01 (memory).
    """
    lamp, continuous, supported, incomplete = _exactly(data, 4)
    is_diesel = bool(continuous & 0x08)
    is_complete = {
        name: not continuous & (0x10 << bit) for bit, name in enumerate(_CONTINUOUS) if continuous & (1 << bit)
    }
    monitors = _COMPRESSION if is_diesel else _SPARK
    is_complete |= {
        name: not incomplete & (1 << bit) for bit, name in enumerate(monitors) if name and supported & (1 << bit)
    }
    return MonitorStatus(
        is_lamp_on=bool(lamp & 0x80),
        code_count=lamp & 0x7F,
        is_compression_ignition=is_diesel,
        is_complete=MappingProxyType(is_complete),
    )


def decode_fuel_loops(data: bytes) -> tuple[FuelLoop, FuelLoop]:
    """State of both fuel systems from parameter 03.

    Parameters
    ----------
    data : bytes
        Two data bytes.

    Returns
    -------
    tuple of FuelLoop
        Fuel system 1 and 2.

    Raises
    ------
    ValueError
        On fewer than two bytes.

    References
    ----------
    SAE J1979, parameter 03 (memory): one bit set at a time.
    """
    first, second = _exactly(data, 2)
    return _loop(first), _loop(second)


def decode_supported(base: int, data: bytes) -> frozenset[int]:
    """Parameters that the car supports, from parameter 00, 20, 40 .. C0.

    Parameters
    ----------
    base : int
        That parameter's identifier.
    data : bytes
        Four data bytes; the highest bit stands for `base` + 1.

    Returns
    -------
    frozenset of int
        Identifiers.

    Raises
    ------
    ValueError
        On fewer than four bytes.

    References
    ----------
    SAE J1979 (memory).
    """
    bits = int.from_bytes(bytes(_exactly(data, 4)), "big")
    return frozenset(base + 1 + place for place in range(32) if bits & (1 << (31 - place)))


def _loop(pattern: int) -> FuelLoop:
    if pattern == 0:
        return FuelLoop.NONE
    named = {1 << bit: loop for bit, loop in enumerate(_LOOPS)}
    return named.get(pattern, FuelLoop.INVALID)


def _exactly(data: bytes, size: int) -> bytes:
    if len(data) < size:
        raise ValueError(f"{size} data bytes are needed, not {len(data)}")
    return data[:size]
