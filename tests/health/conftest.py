"""A proving-ground car and one of its passes as a workshop's logger writes it, read and reviewed once."""

from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from nextpass.files import read_pass
from nextpass.log import hints_for, open_log
from nextpass.proving import Logger, drive_pass, fleet, write_faulty_folder, write_pass_folder
from nextpass.review import ReviewedPass, review_pass

LOGGER = Logger(dialect="bench", rate_hz=50.0, sensors="everything")


def read_back(car, write) -> ReviewedPass:
    """What a folder that `write` fills says; the log is read whole before the folder goes."""
    with TemporaryDirectory() as place:
        folder = Path(place) / "pass1"
        write(folder)
        record = read_pass(folder, car)
        log = open_log(record.logs[0], hints_for(car, record))
        reviewed = ReviewedPass(record=record, log=log, review=review_pass(car, record, log))
        for name in log.channels:
            assert log[name].values is not None
    return reviewed


@pytest.fixture(scope="session")
def entry():
    return fleet(12, seed=1)[3]


@pytest.fixture(scope="session")
def outcome(entry):
    return drive_pass(entry.car, entry.strip, entry.conditions, entry.baseline, 5)


@pytest.fixture(scope="session")
def reviewed(entry, outcome):
    return read_back(entry.car.believed, lambda folder: write_pass_folder(outcome, LOGGER, folder))


@pytest.fixture(scope="session")
def review_outcome():
    """A function: an outcome as its log shows it."""
    return lambda car, driven, logger=LOGGER: read_back(car, lambda folder: write_pass_folder(driven, logger, folder))


@pytest.fixture(scope="session")
def review_faulty():
    """A function: a faulty pass as its log shows it."""
    return lambda car, faulty, logger=LOGGER: read_back(car, lambda folder: write_faulty_folder(faulty, logger, folder))
