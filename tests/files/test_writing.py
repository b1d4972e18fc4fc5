"""A file is written whole or not at all, and never over another without being told."""

import os
from dataclasses import replace
from pathlib import Path

import pytest

from nextpass.car import Conditions
from nextpass.errors import CarFileError, PassFileError, SettingError
from nextpass.files import read_car, read_pass, write_car, write_pass, write_setup, write_whole

DAY = Conditions(air_temperature_c=21.0, pressure_kpa=98.2, humidity=0.4, track_temperature_c=35.0)


@pytest.fixture
def setup(write, contract_car, pass_example):
    write("p3/log.csv", "Time (s)\n0.0\n")
    return read_pass(write("p3/pass.toml", pass_example).parent, contract_car).setup


def test_a_car_is_written_into_a_folder_that_is_made(folder, contract_car):
    assert read_car(write_car("garage/2026/car.toml", contract_car)) == contract_car
    assert os.listdir("garage/2026") == ["car.toml"]


def test_a_file_that_stands_there_is_kept(write, contract_car):
    write("car.toml", "mine")
    with pytest.raises(CarFileError) as refusal:
        write_car("car.toml", contract_car)
    assert str(refusal.value) == "car.toml: is there already; give another name, or say that it may be replaced"
    assert Path("car.toml").read_text() == "mine"


def test_a_file_is_replaced_when_told(write, contract_car):
    write("car.toml", "mine")
    assert read_car(write_car("car.toml", contract_car, replace=True)) == contract_car


def test_the_old_file_stays_when_the_disk_is_full(write, contract_car, monkeypatch):
    def no_space(descriptor):
        raise OSError(28, "No space left on device")

    write("car.toml", "mine")
    monkeypatch.setattr(os, "fsync", no_space)
    with pytest.raises(CarFileError) as refusal:
        write_car("car.toml", contract_car, replace=True)
    assert str(refusal.value) == (
        "car.toml: cannot be written: No space left on device; check the name, the folder and its permissions"
    )
    assert Path("car.toml").read_text() == "mine"
    assert os.listdir() == ["car.toml"]


def test_a_text_that_is_half_a_character_is_refused(folder, contract_car):
    with pytest.raises(CarFileError, match="cannot be written: 'utf-8' codec can't encode"):
        write_car("car.toml", replace(contract_car, name="\ud800"))
    assert os.listdir() == []


@pytest.mark.parametrize("path", ["car\0.toml", "/proc/version/car.toml"])
def test_a_path_that_cannot_be_is_refused(folder, path):
    with pytest.raises(CarFileError, match="cannot be written"):
        write_whole(Path(path), "text", replace=True, refusal=CarFileError)


def test_the_setup_that_was_taken_becomes_the_next_pass(setup, contract_car):
    next_setup = setup.with_values(launch_rpm=3500.0)
    file = write_setup("p4", contract_car, next_setup, DAY, number=4)
    assert file == Path("p4/pass.toml")
    with pytest.raises(PassFileError) as refusal:
        read_pass("p4", contract_car)
    assert str(refusal.value) == (
        'p4/pass.toml:3: pass.log: "log.csv" is not in p4; put the log there, or write the name that it has'
    )
    Path("p4/log.csv").write_text("Time (s)\n0.0\n")
    record = read_pass("p4", contract_car)
    assert (record.number, record.setup, record.conditions) == (4, next_setup, DAY)


def test_a_setup_that_cannot_be_dialled_in_is_not_written(setup, contract_car):
    with pytest.raises(SettingError) as refusal:
        write_setup("p4", contract_car, setup.with_values(launch_rpm=3450.0), DAY)
    assert str(refusal.value) == "launch_rpm: 3450 is not on the step of 100 from 2200; write 3400 or 3500"
    assert not Path("p4").exists()


def test_a_pass_is_not_written_over_another(setup, contract_car):
    record = read_pass("p3", contract_car)
    with pytest.raises(PassFileError, match="is there already"):
        write_pass("p3", record)
