"""MDF 4 against asammdf, which writes and reads it, and against files that damage turned against their reader."""

import struct
import sys
from pathlib import Path
from types import SimpleNamespace

import asammdf
import can
import numpy as np
import pytest
from tests.log.pull import pull
from tests.log.test_every_reader import DBC, columns, frames

from nextpass.errors import LogError
from nextpass.log import open_log
from nextpass.log.read.mdf_blocks import DamagedBlocks, check_blocks
from nextpass.log.read.mdf_bus import bus_frames


def written(path: Path, *groups: list[asammdf.Signal]) -> Path:
    with asammdf.MDF(version="4.10") as file:
        for group in groups:
            file.append(group)
        file.save(path, overwrite=True)
    return path


def test_two_groups_keep_their_own_clocks_and_share_a_start(tmp_path):
    values = pull()
    slow = values["time_s"][::5] + 0.013
    path = written(
        tmp_path / "two.mf4",
        [asammdf.Signal(values["engine_rpm"], values["time_s"] + 100.0, name="Engine Speed", unit="rpm")],
        [asammdf.Signal(3.6 * values["vehicle_speed_mps"][::5], slow + 100.0, name="GPS Speed", unit="km/h")],
    )
    log = open_log(path)
    np.testing.assert_allclose(log["engine_rpm"].time_s, values["time_s"], atol=1e-9)
    np.testing.assert_allclose(log["gps_speed_mps"].time_s, slow, atol=1e-9)
    np.testing.assert_allclose(log["gps_speed_mps"].values, values["vehicle_speed_mps"][::5], rtol=1e-12)


def test_what_asammdf_reads_is_what_the_log_holds(tmp_path):
    values = pull()
    time_s = values["time_s"]
    signals = [
        asammdf.Signal(values["engine_rpm"].astype(np.float32), time_s, name="Engine Speed", unit="rpm"),
        asammdf.Signal(np.round(values["throttle"] * 100).astype(np.uint8), time_s, name="Throttle", unit="%"),
        asammdf.Signal(np.round(values["gear"]).astype(np.int16), time_s, name="Gear", unit=""),
    ]
    path = written(tmp_path / "kinds.mf4", signals)
    log = open_log(path)
    with asammdf.MDF(path) as file:
        np.testing.assert_array_equal(log["engine_rpm"].values, file.get("Engine Speed").samples.astype(float))
        np.testing.assert_array_equal(log["throttle"].values, file.get("Throttle").samples / 100.0)
        np.testing.assert_array_equal(log["gear"].values, file.get("Gear").samples)


def test_texts_of_a_gear_become_numbers(tmp_path):
    time_s = np.arange(8) * 0.1
    samples = np.array([b"N", b"N", b"1", b"1", b"2", b"2", b"R", b"N"])
    log = open_log(
        written(tmp_path / "texts.mf4", [asammdf.Signal(samples, time_s, name="Gear", unit="", encoding="utf-8")])
    )
    assert log["gear"].values.tolist() == [0, 0, 1, 1, 2, 2, -1, 0]


def test_samples_marked_invalid_are_blank(tmp_path):
    time_s = np.arange(30) * 0.1
    invalid = np.zeros(30, dtype=bool)
    invalid[7:9] = True
    signal = asammdf.Signal(
        800.0 + np.arange(30.0),
        time_s,
        name="Engine Speed",
        unit="rpm",
        invalidation_bits=asammdf.InvalidationArray(invalid),
    )
    log = open_log(written(tmp_path / "invalid.mf4", [signal]))
    assert log["engine_rpm"].time_s == pytest.approx(np.delete(time_s, [7, 8]))


def test_an_older_version_is_refused_with_what_to_do(tmp_path):
    path = tmp_path / "old.mdf"
    with asammdf.MDF(version="3.30") as file:
        file.append([asammdf.Signal(np.arange(9.0), np.arange(9) * 0.1, name="Engine Speed", unit="rpm")])
        file.save(path, overwrite=True)
    with pytest.raises(LogError) as refusal:
        open_log(path)
    assert str(refusal.value) == f"{path}: it is MDF '3.30'; only MDF 4 is read; export it as MDF 4.1"


def test_without_its_library_the_answer_says_what_to_install(tmp_path, monkeypatch):
    path = written(tmp_path / "log.mf4", [asammdf.Signal(np.arange(9.0), np.arange(9) * 0.1, name="Engine Speed")])
    monkeypatch.setitem(sys.modules, "asammdf", None)
    with pytest.raises(LogError) as refusal:
        open_log(path)
    assert str(refusal.value) == (
        f'{path}: reading MDF needs a library that is not installed; run pip install "nextpass[mdf]"'
    )


def test_a_list_of_blocks_that_leads_into_itself_is_refused(tmp_path):
    path = written(tmp_path / "loop.mf4", [asammdf.Signal(np.arange(9.0), np.arange(9) * 0.1, name="Engine Speed")])
    data = bytearray(path.read_bytes())
    first_group = struct.unpack_from("<Q", data, 64 + 24)[0]
    # The first link of a data group leads to the next one: here to itself.
    struct.pack_into("<Q", data, first_group + 24, first_group)
    with pytest.raises(DamagedBlocks, match="a list of blocks leads back into itself"):
        check_blocks(bytes(data))
    path.write_bytes(bytes(data))
    with pytest.raises(LogError) as refusal:
        open_log(path)
    assert str(refusal.value) == (
        f"{path}: the MDF file is damaged: a list of blocks leads back into itself; copy it again"
    )


def test_more_records_than_can_be_are_refused_before_they_are_read(tmp_path):
    path = written(tmp_path / "many.mf4", [asammdf.Signal(np.arange(9.0), np.arange(9) * 0.1, name="Engine Speed")])
    data = bytearray(path.read_bytes())
    group = struct.unpack_from("<Q", data, 64 + 24)[0]
    channel_group = struct.unpack_from("<Q", data, group + 24 + 8)[0]
    links = struct.unpack_from("<Q", data, channel_group + 16)[0]
    struct.pack_into("<Q", data, channel_group + 24 + 8 * links + 8, 1 << 40)
    with pytest.raises(DamagedBlocks, match=r"it announces \d+ MB of records in 0\.\d+ MB"):
        check_blocks(bytes(data))


def with_bus(path: Path, extra: list[asammdf.Signal] | None = None) -> Path:
    """The pull as CAN frames in an MDF file, written by python-can; further channels beside them."""
    times = pull()["time_s"]
    with can.io.mf4.MF4Writer(path) as writer:
        for at, key, data in frames(times, columns()):
            writer.on_message_received(
                can.Message(timestamp=1.79e9 + at, arbitration_id=key, data=data, is_extended_id=False)
            )
        # An identifier that no database knows, of the long kind.
        writer.on_message_received(can.Message(timestamp=1.79e9 + 1.0, arbitration_id=0x1ABCDE, data=b"\x01\x02"))
    if extra:
        bus = path.rename(path.with_name("frames.mf4"))
        with asammdf.MDF(bus) as file:
            first = float(file.get("CAN_DataFrame").timestamps[0])
            shifted = [(each.samples, each.timestamps + first, each.unit, each.name) for each in extra]
            file.append([asammdf.Signal(samples, at, unit, name) for samples, at, unit, name in shifted])
            file.save(path, overwrite=True)
    return path


def test_can_frames_in_a_file_are_read_through_the_database(tmp_path):
    (tmp_path / "pull.dbc").write_bytes(DBC.read_bytes())
    log = open_log(with_bus(tmp_path / "bus.mf4"))
    values = pull()
    # Half a step of the database's signals: 0.25 rpm, 0.01 kPa, 0.01 km/h; times are kept to a microsecond.
    np.testing.assert_allclose(log["engine_rpm"].values, values["engine_rpm"], atol=0.126)
    np.testing.assert_allclose(log["manifold_pressure_kpa"].values, values["manifold_pressure_kpa"], atol=0.0051)
    np.testing.assert_allclose(log["vehicle_speed_mps"].values, values["vehicle_speed_mps"], atol=0.0051 / 3.6)
    np.testing.assert_allclose(log["engine_rpm"].time_s, values["time_s"], atol=2e-6)
    assert log.quality.remarks[0] == "1 of 3 identifiers are not in the database"


def test_can_frames_alone_without_a_database_are_refused(tmp_path):
    path = with_bus(tmp_path / "bus.mf4")
    with pytest.raises(LogError) as refusal:
        open_log(path)
    assert str(refusal.value) == (
        f"{path}: CAN frames need their database, and there is no .dbc beside it; put it there as bus.dbc"
    )


def test_channels_beside_can_frames_are_read_without_the_database_and_share_their_start_with_it(tmp_path):
    values = pull()
    oil = asammdf.Signal(values["oil_temperature_c"], values["time_s"] + 0.4, name="Oil Temp", unit="degC")
    path = with_bus(tmp_path / "both.mf4", [oil])
    log = open_log(path)
    assert list(log.channels) == ["oil_temperature_c"]
    assert log.quality.remarks[0] == (
        "1301 CAN frames were left out: CAN frames need their database, and there is no .dbc beside it"
    )
    (tmp_path / "both.dbc").write_bytes(DBC.read_bytes())
    log = open_log(path)
    np.testing.assert_allclose(log["oil_temperature_c"].values, values["oil_temperature_c"])
    np.testing.assert_allclose(log["oil_temperature_c"].time_s - log["engine_rpm"].time_s, 0.4, atol=2e-6)


def test_a_long_identifier_marked_in_its_top_bit_is_the_long_one():
    kinds = [("CAN_DataFrame.ID", "<u4"), ("CAN_DataFrame.DLC", "u1"), ("CAN_DataFrame.DataBytes", "u1", (8,))]
    samples = np.array([(0x80000100, 8, [7] * 8), (0x100, 2, [9] * 8), (0x100, 8, [5] * 8)], dtype=kinds)
    signal = asammdf.Signal(samples, np.array([0.0, 0.1, 0.2]), name="CAN_DataFrame")
    group = SimpleNamespace(
        channels=[SimpleNamespace(name="CAN_DataFrame")], channel_group=SimpleNamespace(cycles_nr=3, flags=6)
    )
    found = bus_frames(SimpleNamespace(groups=[group], get=lambda name, group: signal), "log.mf4")
    assert {key: frames.lengths.tolist() for key, frames in found.items()} == {0x100: [2, 8], 0x80000100: [8]}
    assert found[0x80000100].data.tolist() == [[7] * 8]
