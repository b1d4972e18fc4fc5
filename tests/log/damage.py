"""Damaged logs without end: a seed gives a file of some format with something wrong with it, the same every time."""

import gzip
import io
import zipfile
from collections.abc import Callable
from functools import cache
from pathlib import Path

import numpy as np
from tests.log.pull import pull
from tests.log.test_every_reader import (
    DBC,
    TestArrow,
    TestAsc,
    TestBlf,
    TestCandump,
    TestMdf,
    TestMdfCompressed,
    TestParquet,
    TestTextTable,
    TestTrc,
    columns,
)
from tests.log.test_position import GPX, sentence
from tests.log.test_write import pull_log

from nextpass.log import write_log

LOGS = Path(__file__).parent.parent / "logs"
Bytes = bytearray
Random = np.random.Generator


@cache
def sound_files() -> tuple[tuple[str, bytes], ...]:
    """Ending and content of one sound file of every kind, and of every sample file."""
    found = [
        (path.name, path.read_bytes()) for path in sorted(LOGS.iterdir()) if path.is_file() and path.suffix != ".py"
    ]
    suites = (TestTextTable, TestMdf, TestMdfCompressed, TestParquet, TestArrow, TestCandump, TestBlf, TestAsc, TestTrc)
    folder = Path(_folder())
    for suite in suites:
        path = folder / f"{suite.__name__}{suite.suffix}"
        suite().write(path, pull()["time_s"][:200], {name: (v[:200], unit) for name, (v, unit) in columns().items()})
        # Kinds that are easily broken in many places come more often than the many dresses of one table.
        found += [(path.name, path.read_bytes())] * 5
    own = folder / "own.csv"
    write_log(pull_log(), own, replace=True)
    lines = [
        sentence(f"GPRMC,12{k // 60:02d}{k % 60:02d},A,4807.{k:03d},N,01131.000,E,{k}.0,0,230394,,") for k in range(90)
    ]
    found += [("own.csv", own.read_bytes()), ("track.gpx", GPX.encode()), ("fix.nmea", "\r\n".join(lines).encode())] * 3
    return tuple(found)


@cache
def _folder() -> str:
    import tempfile

    return tempfile.mkdtemp(prefix="nextpass-damage-")


def _place(data: Bytes, rng: Random) -> int:
    return int(rng.integers(0, max(1, len(data))))


def flip(data: Bytes, rng: Random) -> Bytes:
    """Some bits turned over, near the head as often as anywhere."""
    for _ in range(int(rng.integers(1, 30))):
        reach = len(data) if rng.random() < 0.5 else min(len(data), 400)
        if reach:
            data[int(rng.integers(0, reach))] ^= 1 << int(rng.integers(0, 8))
    return data


def cut(data: Bytes, rng: Random) -> Bytes:
    """The end is missing."""
    return data[: _place(data, rng)]


def cut_head(data: Bytes, rng: Random) -> Bytes:
    """The start is missing."""
    return data[_place(data, rng) :]


def noise(data: Bytes, rng: Random) -> Bytes:
    """A stretch of random bytes."""
    at, size = _place(data, rng), int(rng.integers(1, 600))
    data[at : at + size] = rng.bytes(size)
    return data


def zeros(data: Bytes, rng: Random) -> Bytes:
    """A stretch of zeros, as a card leaves it that lost power."""
    at, size = _place(data, rng), int(rng.integers(1, 4000))
    data[at : at + size] = bytes(size)
    return data


def swap_lines(data: Bytes, rng: Random) -> Bytes:
    """Lines in another order."""
    lines = data.splitlines(keepends=True)
    for _ in range(int(rng.integers(1, 20))):
        a, b = rng.integers(0, len(lines), 2) if lines else (0, 0)
        if lines:
            lines[a], lines[b] = lines[b], lines[a]
    return Bytes(b"".join(lines))


def lose_lines(data: Bytes, rng: Random) -> Bytes:
    """The header, or any other lines, are lost."""
    lines = data.splitlines(keepends=True)
    first = 0 if rng.random() < 0.5 else _place(Bytes(len(lines)), rng)
    return Bytes(b"".join(lines[:first] + lines[first + int(rng.integers(1, 8)) :]))


def stray_text(data: Bytes, rng: Random) -> Bytes:
    """Words where they do not belong."""
    words = (
        b'"',
        b"''",
        b",,,,,,",
        b";",
        b"\t",
        b"NaN",
        b"1e999",
        b"-1e-999",
        b"\xff\xfe",
        b"=1+1",
        b"<gpx>",
        b"$GPRMC,",
        b"PK",
    )
    words += (
        b"Time",
        b"1.234.567,89",
        b"0x1F",
        b"\r",
        b"\n\n\n",
        b"9" * 400,
        b"(1.0) can0 123#",
        "λ°µ".encode(),
        b"\x1f\x8b",
    )
    for _ in range(int(rng.integers(1, 12))):
        at = _place(data, rng)
        data[at:at] = words[int(rng.integers(0, len(words)))]
    return data


def double(data: Bytes, rng: Random) -> Bytes:
    """The file twice, one after the other, or with another kind of file behind it."""
    other = sound_files()[int(rng.integers(0, len(sound_files())))][1] if rng.random() < 0.5 else bytes(data)
    return data + other


def shuffle_columns(data: Bytes, rng: Random) -> Bytes:
    """Cells moved within their lines."""
    lines = []
    for line in data.split(b"\n"):
        cells = line.split(b",")
        if rng.random() < 0.3:
            rng.shuffle(cells)
        lines.append(b",".join(cells))
    return Bytes(b"\n".join(lines))


def absurd_line(data: Bytes, rng: Random) -> Bytes:
    """A line of absurd length, or of absurdly many cells."""
    size = int(rng.integers(10_000, 1_500_000))
    line = b"7" * size if rng.random() < 0.4 else b"1," * (size // 2) if rng.random() < 0.5 else b'"' + b"x" * size
    at = 0 if rng.random() < 0.5 else _place(data, rng)
    data[at:at] = line + b"\n"
    return data


def absurd_numbers(data: Bytes, rng: Random) -> Bytes:
    """Counts and sizes in the head of a binary file, or digits of a text, out of all bounds."""
    for _ in range(int(rng.integers(1, 6))):
        at = int(rng.integers(0, max(1, min(len(data), 3000))))
        data[at : at + 8] = (b"\xff" * 8, b"\x00" * 7 + b"\x7f", b"99999999", bytes(8))[int(rng.integers(0, 4))]
    return data


def archive(data: Bytes, rng: Random) -> Bytes:
    """Packed, and packed again, and damaged."""
    packed = bytes(data)
    for _ in range(int(rng.integers(1, 4))):
        if rng.random() < 0.5:
            packed = gzip.compress(packed, 1, mtime=0)
        else:
            buffer = io.BytesIO()
            with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as file:
                for name in ("log.csv", "other.txt")[: int(rng.integers(1, 3))]:
                    file.writestr(name, packed)
            packed = buffer.getvalue()
    broken = Bytes(packed)
    return flip(broken, rng) if rng.random() < 0.5 else broken


def bomb(data: Bytes, rng: Random) -> Bytes:
    """A small archive that unpacks to far more than any log."""
    size = int(rng.integers(40, 120)) << 20
    head = bytes(data[:2000])
    return Bytes(gzip.compress(head + b"0" * size, 1, mtime=0))


def nothing_but_noise(data: Bytes, rng: Random) -> Bytes:
    """Random bytes, or random text, behind a head that is right."""
    keep = int(rng.integers(0, 64))
    body = (
        rng.bytes(3000)
        if rng.random() < 0.5
        else bytes(rng.choice(list(b'0123456789.,;:\t\n"-eE /abcT'), 3000).tolist())
    )
    return data[:keep] + body


DAMAGES: tuple[Callable[[Bytes, Random], Bytes], ...] = (
    flip,
    cut,
    cut_head,
    noise,
    zeros,
    swap_lines,
    lose_lines,
    stray_text,
    double,
    shuffle_columns,
    absurd_line,
    absurd_numbers,
    archive,
    nothing_but_noise,
)


def damaged_file(seed: int) -> tuple[str, bytes]:
    """Name and content of one damaged file."""
    rng = np.random.default_rng([seed, 31])
    name, sound = sound_files()[int(rng.integers(0, len(sound_files())))]
    data = Bytes(sound)
    for _ in range(int(rng.integers(1, 4))):
        data = DAMAGES[int(rng.integers(0, len(DAMAGES)))](data, rng)
    if seed % 500 == 499:
        data = bomb(data, rng)
    return name, bytes(data)


def place_database(folder: Path) -> None:
    """The database that the CAN traces need, beside them."""
    (folder / "pull.dbc").write_bytes(DBC.read_bytes())
