"""Patterns of bits against the independent decoder of the `obd` package (used in tests only)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from obd import commands
from obd.protocols.protocol import Message

from nextpass.obd import status

# Names of the other decoder for ours.
SPARK_NAMES = {
    "misfire": "MISFIRE_MONITORING",
    "fuel system": "FUEL_SYSTEM_MONITORING",
    "components": "COMPONENT_MONITORING",
    "catalyst": "CATALYST_MONITORING",
    "heated catalyst": "HEATED_CATALYST_MONITORING",
    "evaporative system": "EVAPORATIVE_SYSTEM_MONITORING",
    "secondary air": "SECONDARY_AIR_SYSTEM_MONITORING",
    "oxygen sensor": "OXYGEN_SENSOR_MONITORING",
    "oxygen sensor heater": "OXYGEN_SENSOR_HEATER_MONITORING",
    "exhaust recirculation or valve timing": "EGR_VVT_SYSTEM_MONITORING",
}


def independent(identifier, data):
    message = Message([])
    message.data = bytearray([0x41, identifier]) + bytearray(data)
    return commands[1][identifier].decode([message])


def test_readiness_of_a_worked_answer():
    """83 07 65 00: lamp on, three codes, spark; seven monitors supported, all complete (SAE J1979)."""
    answer = status.decode_monitor_status(bytes.fromhex("83 07 65 00"))
    assert answer.is_lamp_on
    assert answer.code_count == 3
    assert not answer.is_compression_ignition
    assert set(answer.is_complete) == {
        "misfire",
        "fuel system",
        "components",
        "catalyst",
        "evaporative system",
        "oxygen sensor",
        "oxygen sensor heater",
    }
    assert answer.is_ready


@given(st.binary(min_size=4, max_size=4))
def test_readiness_agrees_with_an_independent_decoder(data):
    data = bytes([data[0], data[1] & 0xF7, data[2], data[3]])
    ours, theirs = status.decode_monitor_status(data), independent(0x01, data)
    assert (ours.is_lamp_on, ours.code_count) == (theirs.MIL, theirs.DTC_count)
    for name, theirs_name in SPARK_NAMES.items():
        test = getattr(theirs, theirs_name)
        assert (name in ours.is_complete) == test.available
        if test.available:
            assert ours.is_complete[name] == test.complete


def test_a_diesel_has_its_own_monitors():
    """Bit 3 of the second byte; particulate filter is bit 6 (SAE J1979, memory)."""
    answer = status.decode_monitor_status(bytes.fromhex("00 08 40 40"))
    assert answer.is_compression_ignition
    assert dict(answer.is_complete) == {"particulate filter": False}
    assert not answer.is_ready


def test_loop_of_a_worked_answer():
    """02 00: bank 1 in closed loop, no second system (SAE J1979)."""
    assert status.decode_fuel_loops(b"\x02\x00") == (status.FuelLoop.CLOSED, status.FuelLoop.NONE)


@pytest.mark.parametrize("pattern", [0x01, 0x02, 0x04, 0x08, 0x10])
def test_loops_are_those_of_an_independent_decoder(pattern):
    theirs, _ = independent(0x03, bytes([pattern, 0x00]))
    ours, _ = status.decode_fuel_loops(bytes([pattern, 0x00]))
    assert ours.value.split(" ")[0].lower() in theirs.lower()


def test_several_loops_at_once_are_none():
    assert status.decode_fuel_loops(b"\x06\x00")[0] is status.FuelLoop.INVALID


def test_support_map_counts_from_its_base():
    """BE 1F A8 13: a common answer to 00; the highest bit is parameter 01 (SAE J1979)."""
    supported = status.decode_supported(0x00, bytes.fromhex("BE 1F A8 13"))
    assert {0x01, 0x03, 0x0C, 0x0D, 0x20} <= supported
    assert 0x02 not in supported
    assert status.decode_supported(0x20, bytes.fromhex("80 00 00 01")) == {0x21, 0x40}


@given(st.binary(min_size=4, max_size=4))
def test_support_map_agrees_with_an_independent_decoder(data):
    bits = independent(0x00, data)
    assert status.decode_supported(0x00, data) == {1 + place for place in range(32) if bits[place]}


def test_fuel_types_are_those_of_an_independent_decoder():
    """Gasoline, and ethanol."""
    assert (status.FUEL_TYPES[1], independent(0x51, b"\x01")) == ("gasoline", "Gasoline")
    assert (status.FUEL_TYPES[3], independent(0x51, b"\x03")) == ("ethanol", "Ethanol")


def test_a_short_answer_is_refused():
    with pytest.raises(ValueError, match=r"^4 data bytes are needed, not 3$"):
        status.decode_monitor_status(b"\x00\x00\x00")
