"""What is written comes back: names, units, clocks, marks, and columns without a channel."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp
from tests.log.pull import pull

from nextpass.errors import FileError, LogError
from nextpass.log import Channel, Log, LogQuality, Mark, open_log, write_log

QUALITY = LogQuality(rate_hz=25.0, gaps=(), remarks=())
SINGLE = 2.0**-23  # spacing of 32-bit floats, relative


def log_of(*channels: Channel, marks: tuple[Mark, ...] = (), unmatched: tuple[Channel, ...] = ()) -> Log:
    return Log(
        channels={channel.name: channel for channel in channels},
        unmatched={channel.name: channel for channel in unmatched},
        marks=marks,
        quality=QUALITY,
    )


def pull_log() -> Log:
    values = pull()
    time_s = values["time_s"]
    names = (
        "engine_rpm",
        "manifold_pressure_kpa",
        "injector_duty",
        "short_trim_bank1",
        "lambda_bank1",
        "ethanol",
        "gear",
    )
    channels = [Channel(name=name, time_s=time_s, values=values[name], source=name) for name in names]
    slow = Channel(name="gps_speed_mps", time_s=time_s[::5], values=values["gps_speed_mps"][::5], source="GPS")
    other = Channel(name="Spare 1", time_s=time_s, values=np.linspace(0.0, 5.0, time_s.size), source="Spare 1")
    marks = (Mark(time_s=4.0, text="staged"), Mark(time_s=20.0, text="Ziellinie überfahren"))
    return log_of(*channels, slow, marks=marks, unmatched=(other,))


@pytest.mark.parametrize("suffix", [".parquet", ".mf4", ".csv"])
def test_a_log_comes_back_as_it_was_written(suffix, tmp_path):
    path = tmp_path / f"log{suffix}"
    written = pull_log()
    write_log(written, path)
    # No hints: the names alone say what the file holds.
    read = open_log(path)
    assert not read.questions
    assert set(read.channels) == set(written.channels)
    for name, channel in written.channels.items():
        np.testing.assert_allclose(read[name].time_s, channel.time_s, rtol=0, atol=1e-9)
        np.testing.assert_allclose(read[name].values, channel.values, rtol=SINGLE, atol=1e-7)
    assert [(mark.time_s, mark.text) for mark in read.marks] == [(4.0, "staged"), (20.0, "Ziellinie überfahren")]
    (spare,) = read.unmatched.values()
    assert spare.name == "Spare 1 [-]"
    np.testing.assert_allclose(spare.values, written.unmatched["Spare 1"].values, rtol=SINGLE)


@pytest.mark.parametrize("suffix", [".parquet", ".mf4", ".csv"])
def test_converting_twice_changes_nothing_more(suffix, tmp_path):
    once, twice = tmp_path / f"once{suffix}", tmp_path / f"twice{suffix}"
    write_log(pull_log(), once)
    first = open_log(once)
    write_log(first, twice)
    second = open_log(twice)
    assert {**first.channels}.keys() == {**second.channels}.keys()
    for name in first.channels:
        np.testing.assert_array_equal(first[name].values, second[name].values)
    assert list(first.unmatched) == list(second.unmatched)


def test_places_keep_their_digits(tmp_path):
    time_s = np.arange(20) * 0.1
    latitude = Channel(name="latitude_deg", time_s=time_s, values=48.1234567 + 1e-7 * np.arange(20), source="lat")
    rpm = Channel(name="engine_rpm", time_s=time_s, values=800.0 + np.arange(20.0), source="rpm")
    write_log(log_of(latitude, rpm), tmp_path / "log.parquet")
    np.testing.assert_array_equal(open_log(tmp_path / "log.parquet")["latitude_deg"].values, latitude.values)


@settings(max_examples=40, deadline=None)
@given(
    values=hnp.arrays(np.float64, 30, elements=st.floats(0.0, 500.0, width=32)),
    suffix=st.sampled_from([".parquet", ".csv"]),
)
def test_any_values_come_back(values, suffix, tmp_path_factory):
    time_s = np.arange(30) * 0.04
    # A falling ramp beside keeps the channel from being taken for a held one.
    rpm = Channel(name="engine_rpm", time_s=time_s, values=2000.0 - np.arange(30.0), source="rpm")
    pressure = Channel(name="gear", time_s=time_s, values=np.round(values) % 9, source="gear", is_step=True)
    path = tmp_path_factory.mktemp("round") / f"log{suffix}"
    write_log(log_of(rpm, pressure), path)
    read = open_log(path)
    np.testing.assert_array_equal(read["gear"].values, pressure.values)
    np.testing.assert_array_equal(read["engine_rpm"].values, rpm.values)


def test_a_file_that_is_there_is_not_written_over(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text("mine")
    with pytest.raises(FileError) as refusal:
        write_log(pull_log(), path)
    assert str(refusal.value) == f"{path}: it is already there; name another file, or allow it to be replaced"
    assert path.read_text() == "mine"
    write_log(pull_log(), path, replace=True)
    assert "engine_rpm" in open_log(path)
    assert [each.name for each in tmp_path.iterdir()] == ["log.csv"]


def test_an_ending_that_is_not_written_is_refused(tmp_path):
    with pytest.raises(LogError) as refusal:
        write_log(pull_log(), tmp_path / "log.xyz")
    assert str(refusal.value) == (
        f"{tmp_path / 'log.xyz'}: logs are not written as .xyz; end the name in .parquet, .mf4, .csv"
    )


def test_a_folder_that_is_not_there_is_said(tmp_path):
    path = Path(tmp_path) / "nowhere" / "log.csv"
    with pytest.raises(FileError) as refusal:
        write_log(pull_log(), path)
    assert str(refusal.value) == f"{path}: its folder is not there; make the folder first"
