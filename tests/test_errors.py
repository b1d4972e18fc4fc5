"""Refusals are one line that says where, what is wrong and what to do."""

import inspect
import pickle
from pathlib import Path

import pytest

from nextpass import errors
from nextpass.errors import (
    CarFileError,
    FileError,
    LogError,
    NextpassError,
    SettingError,
    UnitError,
    UnknownFormatError,
    Where,
)


@pytest.mark.parametrize(
    ("where", "shown"),
    [
        (Where(), ""),
        (Where(file="car.toml"), "car.toml"),
        (Where(file=Path("garage/car.toml"), line=41), "garage/car.toml:41"),
        (Where(file="car.toml", line=41, column=7), "car.toml:41:7"),
        (Where(file="car.toml", line=41, key="guards.injector_duty_pct"), "car.toml:41: guards.injector_duty_pct"),
        (Where(line=41), "line 41"),
        (Where(key="launch_rpm"), "launch_rpm"),
        (Where(file="log.csv", channel="MAP (kPa)"), "log.csv: MAP (kPa)"),
    ],
)
def test_a_place_is_written_as_editors_do(where, shown):
    assert str(where) == shown


@pytest.mark.parametrize(
    ("refusal", "message"),
    [
        (NextpassError("is wrong"), "is wrong"),
        (NextpassError("is wrong", remedy="mend it"), "is wrong; mend it"),
        (CarFileError("is wrong", Where(file="car.toml", line=3), "mend it"), "car.toml:3: is wrong; mend it"),
        (SettingError("3450 is off", Where(key="launch_rpm")), "launch_rpm: 3450 is off"),
        (CarFileError("two\nlines\u2028and \x1b[31mred"), "two lines and  [31mred"),
    ],
)
def test_a_refusal_is_one_line(refusal, message):
    assert str(refusal) == message


def test_every_refusal_can_be_caught_as_one():
    classes = [found for _, found in inspect.getmembers(errors, inspect.isclass) if issubclass(found, Exception)]
    assert len(classes) >= 11
    assert all(issubclass(found, NextpassError) for found in classes)


def test_the_tree_is_the_one_drawn_at_its_head():
    assert issubclass(CarFileError, FileError)
    assert issubclass(UnknownFormatError, LogError)
    assert issubclass(SettingError, ValueError)
    assert issubclass(UnitError, ValueError)
    drawn = {name for name, found in inspect.getmembers(errors, inspect.isclass) if issubclass(found, Exception)}
    assert all(name in (errors.__doc__ or "") for name in drawn)


def test_an_unknown_format_keeps_what_each_reader_said():
    refusal = UnknownFormatError("no reader takes it", refusals=[("table", "no columns"), ("MF4", "no header")])
    assert refusal.refusals == (("table", "no columns"), ("MF4", "no header"))


def test_a_refusal_crosses_to_another_process_whole():
    refusal = CarFileError("is wrong", Where(file="car.toml", line=3), "mend it")
    there = pickle.loads(pickle.dumps(refusal))
    assert (type(there), str(there), there.where) == (CarFileError, str(refusal), refusal.where)
