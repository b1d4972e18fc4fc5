"""What is no TOML file is refused with one line; what editors add to one means nothing."""

from pathlib import Path

import pytest

from nextpass.errors import CarFileError
from nextpass.files.document import LARGEST_BYTES, load_toml

FILES = {
    "empty": (b"", "car.toml: is empty; give a car file"),
    "blank": (b" \n\t\n", "car.toml: is empty; give a car file"),
    "comment alone": (b"# nothing\n", "car.toml: holds no keys; give a car file"),
    "UTF-16": (
        "[car]\nname = 'x'\n".encode("utf-16"),
        "car.toml: is written in UTF-16; save it as UTF-8",
    ),
    "Latin-1": (
        b"[car]\nname = 'Gru\xfcn'\n",
        "car.toml:2:12: byte 0xfc is not text in UTF-8; save the file as UTF-8",
    ),
    "binary": (b"MDF     4.10\x00\x00", "car.toml: is not a text file; give a car file"),
    "too large": (b"x" * (LARGEST_BYTES + 1), "car.toml: is larger than 1 MB; this is no car file"),
    "nested": (
        b"a = " + b"[" * 5000 + b"]" * 5000,
        "car.toml: brackets are nested too deeply to be read; this is no car file",
    ),
    "a number without end": (
        b"a = " + b"9" * 5000,
        "car.toml: a number in it is too long to be read; write fewer digits",
    ),
}


@pytest.mark.parametrize(("content", "message"), FILES.values(), ids=FILES)
def test_what_is_no_text_is_refused(write, content, message):
    with pytest.raises(CarFileError) as refusal:
        load_toml(write("car.toml", content), CarFileError, "car file")
    assert str(refusal.value) == message


def test_a_file_that_is_not_there_is_refused(folder):
    with pytest.raises(CarFileError) as refusal:
        load_toml(Path("cra.toml"), CarFileError, "car file")
    assert str(refusal.value) == "cra.toml: there is no such file; give the path of a car file"


def test_a_folder_is_refused(folder):
    (folder / "car").mkdir()
    with pytest.raises(CarFileError) as refusal:
        load_toml(Path("car"), CarFileError, "car file")
    assert str(refusal.value) == "car: is a folder, not a file; give the car file in it"


def test_a_path_that_no_system_has_is_refused(folder):
    with pytest.raises(CarFileError) as refusal:
        load_toml(Path("car\0.toml"), CarFileError, "car file")
    assert str(refusal.value) == "car .toml: there is no such file; give the path of a car file"


@pytest.mark.parametrize("content", [b"\xef\xbb\xbf[car]\nname = 'x'\n", b"[car]\r\nname = 'x'\r\n"])
def test_what_editors_add_means_nothing(write, content):
    document = load_toml(write("car.toml", content), CarFileError, "car file")
    assert document.values == {"car": {"name": "x"}}
    assert document.line(("car", "name")) == 2


def test_a_key_that_is_not_there_takes_the_line_of_its_table(write):
    document = load_toml(write("car.toml", "\n[car]\nname = 'x'\n"), CarFileError, "car file")
    assert document.line(("car", "mass_kg")) == 2
    assert document.line(("chassis", "mass_kg")) is None
