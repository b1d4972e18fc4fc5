"""Every sample file of tests/logs is read as the pull that it was written from, or refused with its message."""

from pathlib import Path

import numpy as np
import pytest
from tests.log.pull import HINTS, pull

from nextpass.errors import LogError
from nextpass.log import open_log

FOLDER = Path("tests/logs")
READ = sorted(path.name for path in FOLDER.iterdir() if path.is_file() and path.suffix != ".py")
# Half of the last digit that the files write, in the channel's unit.
WRITTEN_TO = {
    "engine_rpm": 0.05,
    "vehicle_speed_mps": 0.005 / 3.6,
    "manifold_pressure_kpa": 0.005,
    "throttle": 0.0005,
    "gear": 0.0,
    "lambda_bank1": 0.00005,
    "coolant_temperature_c": 0.005,
    "longitudinal_acceleration_mps2": 0.00005 * 9.81,
}
# Files that leave rows out on purpose; what they keep must still be right.
SHORTER = {"two_seconds_dropped.csv", "clock_coarser_than_the_rows.csv", "blank_and_word_cells.csv", "ragged_rows.csv"}
SHORTER |= {"channels_at_their_own_rates.csv", "gears_and_switches_as_words.csv"}


@pytest.mark.parametrize("name", READ)
def test_a_sample_file_is_read_as_the_pull_it_was_written_from(name):
    log = open_log(FOLDER / name, HINTS)
    expected = pull(rate_hz=5.0)
    assert not log.questions
    for channel, rounding in WRITTEN_TO.items():
        read = log[channel]
        if channel == "gear" and name == "gears_and_switches_as_words.csv":
            continue
        at = np.rint(read.time_s * 5.0).astype(int)
        assert np.abs(read.time_s - expected["time_s"][at]).max() < 1.1e-3, channel
        assert np.abs(read.values - expected[channel][at]).max() <= rounding + 1e-9, channel
        if name not in SHORTER:
            assert read.values.size == expected["time_s"].size, channel


# Places are left away: the message of a refusal whole, by the file that it belongs to.
REFUSED = {
    "archive_in_an_archive.csv.gz": "it holds an archive within the archive; unpack it once and name the file inside",
    "cut_archive.csv.gz": "the gzip archive is damaged "
    "(Compressed file ended before the end-of-stream marker was reached); copy it again",
    "empty.csv": "it is empty; export the log again",
    "header_only.csv": "it has fewer than two lines; export the log again",
    "no_header.csv": "there is no line with the names of the columns above the values; export it with its header",
    "no_time.csv": "no column holds the times; "
    'export the log with its time column, or name it once with nextpass log inspect FILE --as "COLUMN=time:UNIT", or '
    "write the log with its times by nextpass log convert FILE OUT --rate-hz RATE",
    "not_text.csv": "it is no kind of log that is read; export it as CSV, MDF 4 or Parquet",
    "one_step_of_time_means_nothing.csv": "'Time' has no unit, and its steps of 1 do not tell one; "
    'say once what it is: nextpass log inspect FILE --as "Time=time:UNIT" (s, ms or us)',
    "prose.txt": "no delimiter cuts its lines into columns; export it as CSV, MDF 4 or Parquet",
    "sample_number_without_rate.csv": "'Sample' counts samples, and their rate is not known; "
    "write the log with its times by nextpass log convert FILE OUT --rate-hz RATE",
    "two_logs.zip": "the archive holds 2 files (one.csv, two.csv) where one log is wanted; unpack it and name one",
    "unit_of_time_is_wrong.csv": "'Time (s)' steps by 200 s from row to row, which no logger does; "
    'say once what it is: nextpass log inspect FILE --as "Time (s)=time:UNIT" (s, ms or us)',
}


def test_every_refused_sample_has_its_message_here():
    assert {path.name for path in (FOLDER / "refused").iterdir()} == set(REFUSED)


@pytest.mark.parametrize("name", REFUSED)
def test_a_file_that_cannot_be_read_is_refused_with_one_message(name):
    with pytest.raises(LogError) as refusal:
        open_log(FOLDER / "refused" / name)
    assert str(refusal.value) == f"tests/logs/refused/{name}: {REFUSED[name]}"
