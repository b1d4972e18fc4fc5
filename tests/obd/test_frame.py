"""Messages as frames against the transport layer of `can-isotp`, run without a bus."""

from collections import deque
from contextlib import suppress

import isotp
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nextpass.obd import frame

REQUEST, REPLY = 0x7E0, 0x7E8


class Peer:
    """A unit of can-isotp whose frames go through two queues."""

    def __init__(self, **params):
        self.inbox, self.outbox = deque(), deque()
        address = isotp.Address(isotp.AddressingMode.Normal_11bits, txid=REPLY, rxid=REQUEST)
        self.layer = isotp.TransportLayerLogic(
            rxfn=lambda timeout: self.inbox.popleft() if self.inbox else None,
            txfn=self.outbox.append,
            address=address,
            params={"tx_padding": frame.PADDING, **params},
        )

    def hear(self, data):
        self.inbox.append(isotp.CanMessage(arbitration_id=REQUEST, dlc=len(data), data=data))
        self.layer.process()

    def say(self):
        self.layer.process()
        spoken = [bytes(message.data) for message in self.outbox]
        self.outbox.clear()
        return spoken


messages = st.binary(min_size=1, max_size=400)


@settings(max_examples=40, deadline=None)
@given(messages)
def test_our_frames_are_understood_by_can_isotp(message):
    peer = Peer()
    first, *rest = frame.segment(message)
    peer.hear(first)
    if rest:
        (control,) = (frame.parse_frame(data) for data in peer.say())
        assert isinstance(control, frame.FlowControl)
        assert control.status is frame.FlowStatus.GO
    for count, data in enumerate(rest, start=1):
        peer.hear(data)
        if count % 8 == 0:
            peer.say()  # its next flow control, due after its block size of eight
    assert bytes(peer.layer.recv()) == message


@settings(max_examples=40, deadline=None)
@given(messages)
def test_frames_of_can_isotp_are_understood_by_us(message):
    peer = Peer()
    peer.layer.send(message)
    first, *_ = (frame.parse_frame(data) for data in peer.say())
    assert isinstance(first, frame.SingleFrame | frame.FirstFrame)
    assembly = frame.begin(first)
    if assembly.message is None:
        peer.hear(frame.flow_control())
    while assembly.message is None:
        for data in peer.say():
            part = frame.parse_frame(data)
            assert isinstance(part, frame.ConsecutiveFrame)
            assembly = frame.extend(assembly, part)
    assert assembly.message == message


@settings(max_examples=40, deadline=None)
@given(messages)
def test_our_frames_are_those_of_can_isotp_byte_for_byte(message):
    peer = Peer()
    peer.layer.send(message)
    theirs = peer.say()
    if len(message) > frame.SINGLE_MOST:
        peer.hear(frame.flow_control())
        while len(theirs) < len(frame.segment(message)):
            theirs += peer.say()
    assert tuple(theirs) == frame.segment(message)


@settings(deadline=None)
@given(st.binary(min_size=1, max_size=frame.MESSAGE_MOST))
def test_a_message_comes_back_from_its_frames(message):
    first, *rest = (frame.parse_frame(data) for data in frame.segment(message))
    assert isinstance(first, frame.SingleFrame | frame.FirstFrame)
    assembly = frame.begin(first)
    for part in rest:
        assert assembly.message is None
        assert isinstance(part, frame.ConsecutiveFrame)
        assembly = frame.extend(assembly, part)
    assert assembly.message == message


def test_a_vehicle_number_in_frames():
    """ISO 15765-2: twenty bytes: first frame 10 14, then 21 and 22; the request is 02 09 02 and padding."""
    assert frame.segment(b"\x09\x02") == (bytes.fromhex("02 09 02 CC CC CC CC CC"),)
    frames = frame.segment(b"\x49\x02\x01" + b"AAAAAAAAAAAAAAAAA")
    assert [data[:2].hex() for data in frames] == ["1014", "2141", "2241"]
    assert frames[0][2:5] == b"\x49\x02\x01"
    assert frame.flow_control() == bytes.fromhex("30 00 00 CC CC CC CC CC")


def test_the_sequence_wraps_from_fifteen_to_zero():
    """The first frame counts as 0: 2F is followed by 20."""
    starts = [data[0] for data in frame.segment(bytes(150))]
    assert starts[:1] + starts[15:18] == [0x10, 0x2F, 0x20, 0x21]


@pytest.mark.parametrize(
    ("coded", "seconds"), [(0x00, 0.0), (0x14, 0.020), (0x7F, 0.127), (0xF1, 1e-4), (0xF9, 9e-4), (0x90, 0.127)]
)
def test_separation_time_of_the_standard(coded, seconds):
    """ISO 15765-2: milliseconds, hundreds of microseconds, reserved values as the longest."""
    assert frame.separation_s(coded) == pytest.approx(seconds, rel=1e-12)
    control = frame.parse_frame(frame.flow_control(frame.FlowStatus.WAIT, 8, coded))
    assert control == frame.FlowControl(
        status=frame.FlowStatus.WAIT, block_size=8, separation_s=frame.separation_s(coded)
    )


def test_a_lost_frame_is_noticed():
    first, _, third, *_ = (frame.parse_frame(data) for data in frame.segment(bytes(30)))
    with pytest.raises(ValueError, match=r"^frame 2 came where 1 was due: a frame is lost$"):
        frame.extend(frame.begin(first), third)


def test_a_frame_too_many_is_noticed():
    single = frame.begin(frame.parse_frame(frame.segment(b"\x41\x0c")[0]))
    with pytest.raises(ValueError, match=r"^the message was complete before this frame$"):
        frame.extend(single, frame.ConsecutiveFrame(sequence=1, payload=bytes(7)))


def test_a_frame_cut_short_is_noticed():
    first, *_ = (frame.parse_frame(data) for data in frame.segment(bytes(30)))
    with pytest.raises(ValueError, match=r"^a frame of 3 bytes came where 7 were due$"):
        frame.extend(frame.begin(first), frame.ConsecutiveFrame(sequence=1, payload=bytes(3)))


@pytest.mark.parametrize(
    "data", ["", "00 01", "09 01 02", "10 05 01 02 03 04 05 06", "20", "33 00 00", "30 00", "40 01"]
)
def test_what_is_no_frame_is_refused(data):
    with pytest.raises(ValueError, match=r"is not a frame of ISO 15765-2$"):
        frame.parse_frame(bytes.fromhex(data))


@given(st.binary(max_size=8))
def test_any_data_field_is_a_frame_or_refused(data):
    with suppress(ValueError):
        assert isinstance(frame.parse_frame(data), frame.Frame)


@pytest.mark.parametrize("size", [0, 4096])
def test_a_message_of_no_possible_length_is_refused(size):
    with pytest.raises(ValueError, match=rf"^a message has 1 to 4095 bytes, not {size}$"):
        frame.segment(bytes(size))
