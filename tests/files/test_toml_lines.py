"""Every key of a TOML file has the line on which it stands, however it is written."""

import tomllib
from pathlib import Path

import pytest
import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st

from nextpass.errors import CarFileError
from nextpass.files.toml_lines import LARGEST_BYTES, key_lines, load_toml

# Each number is the line on which it stands, so that the text is its own answer.
ODDITIES = '''# a comment with [brackets] and key = 1
[plain]
first = 3
"quoted key" = 4
'literal.dot' = 5
dotted.inner.deep = 6
inline = { left = 7, right = { deep = 7 } }
many = [
    9, # [not] = a key
    10,
    { inside = 11 }, [11,
    12],
]
text = """
[no.table]
first = 16 \\""" still inside
""""
after = 18
[[rows]]
number = 20
[rows.below]
number = 22
[[rows]]
number = 24
[ spaced . "out" ]
number = 26
[plain.child]
first = 28
literal = \'\'\'
key = 30\'\'\'\'
moment = 2026-05-02 14:10:00
last = 32
"escaped \\u0041" = 33
'''


def paths(value, path=()):
    """Every key path of a parsed document with its value."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield (*path, name), inner
            yield from paths(inner, (*path, name))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield (*path, index), inner
            yield from paths(inner, (*path, index))


def test_each_oddity_of_the_language_keeps_its_line():
    lines = key_lines(ODDITIES)
    numbers = {path: value for path, value in paths(tomllib.loads(ODDITIES)) if isinstance(value, int)}
    assert len(numbers) == 19
    assert {path: lines[path] for path in numbers} == numbers


def test_a_table_stands_where_its_header_is_even_if_a_child_came_first():
    assert key_lines("[a.b]\nx = 2\n[a]\ny = 4\n")[("a",)] == 3


NAMES = st.text(st.characters(codec="utf-8", exclude_characters="\r"), max_size=6)
SCALARS = (
    st.integers(-(2**40), 2**40)
    | st.booleans()
    | st.floats(allow_nan=False)
    | st.text(st.characters(codec="utf-8", exclude_characters="\r"), max_size=12)
    | st.datetimes()
)
VALUES = st.recursive(SCALARS, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(NAMES, inner, max_size=3))


@settings(max_examples=150, deadline=None)
@given(document=st.dictionaries(NAMES, VALUES, max_size=4))
def test_every_key_that_the_parser_finds_has_a_line(document):
    # A second implementation of the language writes what ours has to find.
    text = tomlkit.dumps(document)
    lines = key_lines(text)
    assert set(lines) == {path for path, _ in paths(tomllib.loads(text))}
    assert all(1 <= line <= text.count("\n") + 1 for line in lines.values())


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
