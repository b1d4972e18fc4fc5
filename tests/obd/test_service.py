"""Requests and replies against the examples of ISO 15031-5 and ISO 14229-1."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nextpass.obd import parameter, service


def test_six_parameters_fit_one_request():
    assert service.parameter_request([0x0C, 0x0D, 0x0B, 0x11, 0x44, 0x0F]).hex() == "010c0d0b11440f"


@pytest.mark.parametrize("count", [0, 7])
def test_none_or_seven_do_not(count):
    with pytest.raises(ValueError, match=rf"^one request takes 1 to 6 parameters, not {count}$"):
        service.parameter_request([0x0C] * count)


def test_a_reply_of_several_parameters_is_split():
    """41 0C 1A F8 0D 64: engine speed and vehicle speed in one answer."""
    data = service.parse_reply(bytes.fromhex("41 0C 1A F8 0D 64"), service.CURRENT_DATA)
    assert isinstance(data, bytes)
    assert service.split_parameters(data) == {0x0C: b"\x1a\xf8", 0x0D: b"\x64"}


@given(st.lists(st.sampled_from(sorted(parameter.PARAMETERS)), unique=True, min_size=1, max_size=6), st.randoms())
def test_what_was_joined_is_split(identifiers, random):
    asked = {one: random.randbytes(parameter.PARAMETERS[one].size) for one in identifiers}
    joined = b"".join(bytes([one]) + data for one, data in asked.items())
    assert service.split_parameters(joined) == asked


def test_a_reply_with_an_unknown_parameter_is_refused():
    with pytest.raises(ValueError, match=r"^parameter F7 is not known, nor what stands behind it$"):
        service.split_parameters(bytes.fromhex("0D 64 F7 00"))


def test_a_reply_cut_short_is_refused():
    with pytest.raises(ValueError, match=r"^parameter 0C is cut short$"):
        service.split_parameters(bytes.fromhex("0C 1A"))


def test_the_makers_own_data_are_split_by_the_sizes_of_the_car():
    """ISO 14229-1: 62, then identifier and data in turn."""
    assert service.identifier_request([0xF40C, 0x1234]).hex() == "22f40c1234"
    data = service.parse_reply(bytes.fromhex("62 F4 0C 1A F8 12 34 07"), service.READ_BY_IDENTIFIER)
    assert isinstance(data, bytes)
    assert service.split_identifiers(data, {0xF40C: 2, 0x1234: 1}) == {0xF40C: b"\x1a\xf8", 0x1234: b"\x07"}
    with pytest.raises(ValueError, match=r"^identifier F40C was not asked for$"):
        service.split_identifiers(data, {0x1234: 1})
    with pytest.raises(ValueError, match=r"^identifier 1234 is cut short$"):
        service.split_identifiers(data, {0xF40C: 2, 0x1234: 2})


@pytest.mark.parametrize(
    ("reason", "text", "is_pending"),
    [
        (0x78, "service 01: answer follows", True),
        (0x11, "service 01: service not supported", False),
        (0x12, "service 01: not supported", False),
        (0x22, "service 01: conditions not met", False),
        (0x99, "service 01: refused for reason 99", False),
    ],
)
def test_a_refusal_says_why(reason, text, is_pending):
    """ISO 14229-1: 7F, service, reason."""
    refusal = service.parse_reply(bytes([0x7F, 0x01, reason]), service.CURRENT_DATA)
    assert refusal == service.Refusal(service=0x01, reason=reason)
    assert str(refusal) == text
    assert refusal.is_pending is is_pending


@pytest.mark.parametrize("message", ["", "43 01 02 99", "7F 03 11", "7F 01"])
def test_a_reply_to_something_else_is_refused(message):
    with pytest.raises(ValueError, match=r"is no reply to service 01$"):
        service.parse_reply(bytes.fromhex(message), service.CURRENT_DATA)


def test_nothing_to_ask_is_refused():
    with pytest.raises(ValueError, match=r"^one request takes 1 identifier or more, not 0$"):
        service.identifier_request([])
