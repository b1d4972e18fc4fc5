"""Trouble codes against worked bytes and the independent decoder of the `obd` package (used in tests only)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from obd.codes import DTC
from obd.decoders import parse_dtc

from nextpass.obd import TroubleCode, code, trouble_code, trouble_codes_in

# SAE J2012: two bytes and how the code is written.
WORKED = [
    ("01 33", "P0133"),
    ("04 20", "P0420"),
    ("03 01", "P0301"),
    ("02 99", "P0299"),
    ("41 23", "C0123"),
    ("92 34", "B1234"),
    ("D1 58", "U1158"),
    ("C1 23", "U0123"),
    ("D0 16", "U1016"),
    ("4A 01", "C0A01"),
    ("8A 45", "B0A45"),
]

numbers = st.integers(1, 0xFFFF)


@pytest.mark.parametrize(("data", "text"), WORKED)
def test_code_of_two_bytes(data, text):
    assert code.decode_codes(bytes.fromhex(data), has_count=False) == (trouble_code(text),)
    assert trouble_code(text).data == bytes.fromhex(data)
    assert str(trouble_code(text)) == text


@given(numbers)
def test_every_code_is_written_as_an_independent_decoder_writes_it(number):
    """It prints hex digits small."""
    one = TroubleCode(number=number)
    theirs, _ = parse_dtc(tuple(one.data))
    assert str(one).lower() == theirs.lower()


@given(numbers)
def test_a_written_code_comes_back(number):
    one = TroubleCode(number=number)
    assert trouble_code(f"  {str(one).lower()} ") == one


def test_every_code_of_an_independent_table_has_our_form():
    assert len(DTC) > 2000
    assert all(str(trouble_code(text)) == text.upper() for text in DTC)


@pytest.mark.parametrize(
    ("text", "is_standardised"),
    [
        ("P0299", True),
        ("P2263", True),
        ("P3401", True),
        ("P3399", False),
        ("P1234", False),
        ("U0100", True),
        ("U3001", True),
        ("U1016", False),
        ("C1234", False),
        ("B2345", False),
    ],
)
def test_who_gives_a_code_its_meaning(text, is_standardised):
    """SAE J2012 (memory): digit 0, P2, P34 and above, and U3."""
    assert trouble_code(text).is_standardised is is_standardised


def test_reply_on_can_begins_with_a_count():
    """43 01 02 99 and padding: one stored code (ISO 15031-5)."""
    assert code.decode_codes(bytes.fromhex("01 02 99 00 00"), has_count=True) == (trouble_code("P0299"),)


def test_padding_is_no_code():
    assert code.decode_codes(bytes.fromhex("02 99 00 00 00 00"), has_count=False) == (trouble_code("P0299"),)
    assert code.decode_codes(b"\x00", has_count=True) == ()


def test_codes_are_found_in_notes():
    notes = "Came home with p0299, then P0299 again and U0101; oil P0 fine, part P02990, lamp P0000."
    assert trouble_codes_in(notes) == (trouble_code("P0299"), trouble_code("U0101"))


def test_a_reply_shorter_than_its_count_is_refused():
    with pytest.raises(ValueError, match=r"^2 codes are promised, but 1 came$"):
        code.decode_codes(bytes.fromhex("02 02 99"), has_count=True)
    with pytest.raises(ValueError, match=r"^a reply with codes begins with their number, but it is empty$"):
        code.decode_codes(b"", has_count=True)


def test_half_a_code_is_refused():
    with pytest.raises(ValueError, match=r"^codes have two bytes each, but 3 came$"):
        code.decode_codes(bytes.fromhex("02 99 01"), has_count=False)


@pytest.mark.parametrize("text", ["", "P029", "P02999", "X0299", "P4299", "P02G9", "P0000"])
def test_what_is_no_code_is_refused(text):
    with pytest.raises(ValueError, match=r"is not a trouble code such as P0299$"):
        trouble_code(text)


def test_a_number_beyond_two_bytes_is_refused():
    with pytest.raises(ValueError, match=r"^a trouble code is a number of 1 to 65535, not 0$"):
        TroubleCode(number=0)
