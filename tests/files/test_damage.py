"""A damaged file gives a record or one refusal with one line, never another exception."""

import string
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from nextpass.car import Car, PassRecord
from nextpass.errors import CarFileError, PassFileError
from nextpass.files import read_car, read_pass

CONTRACT = Path(__file__).parent / "contract"
CAR = (CONTRACT / "car.toml").read_bytes()
PASS = (CONTRACT / "pass.toml").read_bytes()

WRONG_VALUES = (
    *(
        b"true",
        b"nan",
        b"-inf",
        b"1e999",
        b"0",
        b"-1",
        b"1e-300",
        b"9" * 400,
        b"0x10",
        b"''",
        b'"x"',
        b'"a\\nb"',
        b"[]",
        b"{}",
    ),
    *(b"[[1]]", b"[nan]", b"[1, true]", b"[[1, 2, 3]]", b"{ a = 1 }", b"1979-05-27", b"07:32:00", b'"""\n"""', b"[{}]"),
)
NAMES = tuple(line.split(b" = ")[0] for line in (CAR + PASS).split(b"\n") if b" = " in line)


@st.composite
def damaged(draw, whole):
    """The file with some bytes or lines changed, as slips of the hand and of the disk do."""
    content = whole
    for _ in range(draw(st.integers(1, 3))):
        content = draw(st.sampled_from((bytes_changed, lines_changed, value_replaced, key_renamed)))(draw, content)
    return content


def bytes_changed(draw, content):
    at = draw(st.integers(0, max(0, len(content) - 1)))
    kept = draw(st.integers(0, 3))
    return content[:at] + draw(st.binary(max_size=4)) + content[at + kept :]


def lines_changed(draw, content):
    lines = content.split(b"\n")
    one, other = draw(st.integers(0, len(lines) - 1)), draw(st.integers(0, len(lines) - 1))
    match draw(st.sampled_from(("drop", "double", "swap", "cut"))):
        case "drop":
            del lines[one]
        case "double":
            lines.insert(other, lines[one])
        case "swap":
            lines[one], lines[other] = lines[other], lines[one]
        case "cut":
            lines = lines[: one + 1]
    return b"\n".join(lines)


def value_replaced(draw, content):
    lines = content.split(b"\n")
    at = draw(st.sampled_from([place for place, line in enumerate(lines) if b"=" in line] or [0]))
    number = str(draw(st.floats(-1e4, 1e4))).encode()
    value = draw(st.sampled_from((*WRONG_VALUES, number)))
    lines[at] = lines[at].split(b"=")[0] + b"= " + value
    return b"\n".join(lines)


def key_renamed(draw, content):
    old = draw(st.sampled_from(NAMES))
    new = draw(st.sampled_from(NAMES) | st.text(string.ascii_lowercase + "._\"'[]", max_size=8).map(str.encode))
    return content.replace(old, new, 1)


def result_or_refusal(read, refusal):
    try:
        return read()
    except refusal as said:
        return said


@settings(max_examples=500, deadline=None)
@given(content=damaged(CAR))
def test_a_damaged_car_file_gives_a_car_or_one_refusal(tmp_path_factory, content):
    file = tmp_path_factory.getbasetemp() / "car.toml"
    file.write_bytes(content)
    outcome = result_or_refusal(lambda: read_car(file), CarFileError)
    assert isinstance(outcome, Car) or len(str(outcome).splitlines()) == 1


@settings(max_examples=300, deadline=None)
@given(content=damaged(PASS))
def test_a_damaged_pass_file_gives_a_pass_or_one_refusal(tmp_path_factory, contract_car, content):
    folder = tmp_path_factory.getbasetemp() / "p"
    folder.mkdir(exist_ok=True)
    (folder / "log.csv").write_text("Time (s)\n0.0\n")
    (folder / "pass.toml").write_bytes(content)
    outcome = result_or_refusal(lambda: read_pass(folder, contract_car), PassFileError)
    assert isinstance(outcome, PassRecord) or len(str(outcome).splitlines()) == 1
