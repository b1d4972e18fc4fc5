"""Signals of CAN frames against cantools, and traces against what the library reads."""

from pathlib import Path

import cantools
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nextpass.errors import LogError
from nextpass.log import LogHints, open_log
from nextpass.log.read.can_signals import bit_places, physical_values, raw_numbers

# Both byte orders, signs, crossings of bytes, a float, and a multiplexer: invented for this test.
DBC = """
VERSION ""
NS_ :
BS_:
BU_: A
BO_ 100 Mixed: 8 A
 SG_ little : 3|13@1+ (0.5,-10) [0|0] "rpm" A
 SG_ little_signed : 17|11@1- (0.1,0) [0|0] "" A
 SG_ big : 39|12@0+ (2,1) [0|0] "" A
 SG_ big_signed : 43|9@0- (1,0) [0|0] "" A
 SG_ last : 56|8@1- (1,-40) [0|0] "" A
BO_ 101 Real: 8 A
 SG_ single : 0|32@1- (1,0) [0|0] "" A
 SG_ single_big : 39|32@0- (1,0) [0|0] "" A
BO_ 102 Selected: 8 A
 SG_ selector M : 0|4@1+ (1,0) [0|0] "" A
 SG_ first m0 : 8|16@1+ (0.01,0) [0|0] "bar" A
 SG_ second m1 : 8|16@1- (0.1,0) [0|0] "deg" A
 SG_ common : 32|8@1+ (1,0) [0|0] "V" A
SIG_VALTYPE_ 101 single : 1;
SIG_VALTYPE_ 101 single_big : 1;
VAL_ 102 common 255 "SNA" ;
"""
DATABASE = cantools.database.load_string(DBC)


@settings(max_examples=120, deadline=None)
@given(payload=st.binary(min_size=8, max_size=8), message=st.sampled_from(["Mixed", "Real"]))
def test_every_signal_agrees_with_cantools(payload, message):
    kind = DATABASE.get_message_by_name(message)
    expected = kind.decode(payload, decode_choices=False)
    data = np.frombuffer(payload, dtype=np.uint8)[None, :]
    for signal in kind.signals:
        np.testing.assert_equal(physical_values(data, signal)[0], np.float64(expected[signal.name]))


@given(payload=st.binary(min_size=8, max_size=8))
def test_multiplexed_signals_agree_with_cantools(payload):
    kind = DATABASE.get_message_by_name("Selected")
    payload = bytes([payload[0] & 0xF0 | payload[1] % 2]) + payload[1:]
    expected = kind.decode(payload, decode_choices=False)
    data = np.frombuffer(payload, dtype=np.uint8)[None, :]
    for name in expected:
        assert raw_numbers(data, kind.get_signal_by_name(name))[0] == pytest.approx(
            kind.get_signal_by_name(name).scaled_to_raw(expected[name])
        )


def test_motorola_bits_fall_through_the_bytes():
    # Start bit 7 and 16 bits: the first byte from its top, then the second (the usual picture of the numbering).
    assert bit_places(7, 16, is_intel=False).tolist() == [*range(8, 16), *range(8)]


def test_a_word_for_no_value_is_blank():
    signal = DATABASE.get_message_by_name("Selected").get_signal_by_name("common")
    data = np.zeros((2, 8), dtype=np.uint8)
    data[:, 4] = [12, 255]
    np.testing.assert_equal(physical_values(data, signal), [12.0, np.nan])


def write_trace(folder: Path, lines: list[str], database: str | None = DBC) -> Path:
    if database is not None:
        (folder / "trace.dbc").write_text(database)
    path = folder / "trace.log"
    path.write_text("\n".join(lines) + "\n")
    return path


def trace_lines() -> list[str]:
    lines = []
    for k in range(40):
        lines.append(f"({100 + k * 0.02:.6f}) can0 066#{k % 2:02X}{k * 10:02X}0000{k:02X}000000")
        lines.append(f"({100.01 + k * 0.02:.6f}) can0 7FF#00")
    return lines


def test_multiplexed_signals_keep_their_own_clocks(tmp_path):
    log = open_log(write_trace(tmp_path, trace_lines()))
    # Every frame has the common signal, every second one each of the two that the selector chooses.
    assert log.unmatched["common"].time_s == pytest.approx(0.02 * np.arange(40))
    assert log.unmatched["first"].time_s == pytest.approx(0.04 * np.arange(20))
    assert log.unmatched["second"].time_s == pytest.approx(0.02 + 0.04 * np.arange(20))
    assert "1 of 2 identifiers are not in the database" in log.quality.remarks


def refusal_of(path: Path, hints: LogHints | None = None) -> str:
    with pytest.raises(LogError) as refusal:
        open_log(path, hints or LogHints())
    return str(refusal.value)


def test_a_trace_without_its_database_is_refused(tmp_path):
    path = write_trace(tmp_path, trace_lines(), database=None)
    assert refusal_of(path) == (
        f"{path}: CAN frames need their database, and there is no .dbc beside it; put it there as trace.dbc"
    )


def test_the_database_may_be_named_by_a_hint(tmp_path):
    path = write_trace(tmp_path, trace_lines(), database=None)
    elsewhere = tmp_path / "databases" / "car.dbc"
    elsewhere.parent.mkdir()
    elsewhere.write_text(DBC)
    assert "common" in open_log(path, LogHints(can_database=elsewhere)).unmatched
