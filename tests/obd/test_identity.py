"""Identity of car and calibration against worked replies and the `obd` package (used in tests only)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from obd import commands
from obd.protocols.protocol import Message

from nextpass.obd import identity

MADE_UP = "HARRWWAGN2026TESZ"

# Ones only are their own check digit: the weights of 49 CFR 565 sum to 89, which is 1 modulo 11.
ONES = "1" * 17


def test_vehicle_number_of_a_reply():
    """49 02, one item, 17 characters (SAE J1979)."""
    assert identity.decode_vehicle_number(b"\x01" + MADE_UP.encode()) == MADE_UP
    assert identity.decode_vehicle_number(b"\x01\x00\x00" + MADE_UP.encode()) == MADE_UP


def test_vehicle_number_agrees_with_an_independent_decoder():
    """It strips the number of items, and ones and noughts at the ends, as if they were padding."""
    message = Message([])
    message.data = bytearray(b"\x49\x02\x01" + MADE_UP.encode())
    theirs = bytes(commands[9][2].decode([message])).decode()
    assert theirs == identity.decode_vehicle_number(b"\x01" + MADE_UP.encode())


def test_check_digit_of_ones():
    assert identity.has_check_digit(ONES)
    assert not identity.has_check_digit(ONES[:-1] + "2")


@given(st.text("ABCDEFGHJKLMNPRSTUVWXYZ0123456789", min_size=17, max_size=17))
def test_just_one_sign_in_the_ninth_place_is_the_check_digit(number):
    fitting = [sign for sign in "0123456789X" if identity.has_check_digit(number[:8] + sign + number[9:])]
    assert len(fitting) == 1


def test_calibrations_and_their_verification_numbers():
    """49 04: items of 16 characters filled with zeros; 49 06: items of four bytes (SAE J1979, memory)."""
    names = b"\x02" + b"STAGE-A".ljust(16, b"\x00") + b"GEARBOX-7".ljust(16, b"\x00")
    assert identity.decode_calibrations(names) == ("STAGE-A", "GEARBOX-7")
    assert identity.decode_verifications(bytes.fromhex("02 1A2B3C4D 00000001")) == ("1A2B3C4D", "00000001")


def test_name_of_a_unit():
    assert identity.decode_unit_name(b"\x01ECM\x00-EngineControl\x00\x00") == "ECM-EngineControl"


def test_requests():
    assert identity.identity_request(identity.VEHICLE_NUMBER) == b"\x09\x02"


def test_a_number_with_forbidden_letters_is_refused():
    with pytest.raises(ValueError, match=r"^'OOOOOOOOOOOOOOOOO' is not a vehicle identification number of 17 letters"):
        identity.decode_vehicle_number(b"\x01" + b"O" * 17)


def test_items_that_did_not_come_are_refused():
    with pytest.raises(ValueError, match=r"^2 items of 4 bytes are promised, but 4 bytes came$"):
        identity.decode_verifications(bytes.fromhex("02 1A2B3C4D"))
    with pytest.raises(ValueError, match=r"^'' is not a vehicle identification number of 17 letters and digits$"):
        identity.decode_vehicle_number(b"")
