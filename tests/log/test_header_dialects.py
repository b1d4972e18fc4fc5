"""Headers of the trade are matched with no wrong channel and no wrong unit; the doubtful ones ask."""

import tomllib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from tests.log.pull import BAROMETER_KPA, FINAL_DRIVE, HINTS, RADIUS_M, pull

from nextpass.log import LogHints, open_log

DIALECTS = tomllib.loads((Path(__file__).parent / "dialects.toml").read_text(encoding="utf-8"))["dialect"]

# Canonical value to the reading in each unit, by the exact definitions: 1 psi = 6.894757293 kPa, 1 inHg = 3.386389 kPa,
# 1 mile = 1609.344 m, 1 g = 9.80665 m/s², 1 lb-ft = 1.355817948 Nm. Written out, apart from the program's own table.
READINGS: dict[str, Callable[[np.ndarray], np.ndarray]] = {
    "s": lambda v: v,
    "ms": lambda v: 1000.0 * v,
    "rpm": lambda v: v,
    "1/min": lambda v: v,
    "U/min": lambda v: v,
    "1000 rpm": lambda v: v / 1000.0,
    "half rpm": lambda v: v / 2.0 + 400.0 * np.sin(np.arange(v.size)),
    "wheel rpm": lambda v: v / (2.0 * np.pi * RADIUS_M) * 60.0,
    "shaft rpm": lambda v: v,
    "km/h": lambda v: 3.6 * v,
    "mph": lambda v: v * 3600.0 / 1609.344,
    "m/s": lambda v: v,
    "kPa": lambda v: v,
    "bar": lambda v: v / 100.0,
    "psi": lambda v: v / 6.894757293,
    "kPa absolute": lambda v: v,
    "bar absolute": lambda v: v / 100.0,
    "mbar absolute": lambda v: v * 10.0,
    "psi absolute": lambda v: v / 6.894757293,
    "inHg absolute": lambda v: v / 3.386389,
    "psi gauge": lambda v: (v - BAROMETER_KPA) / 6.894757293,
    "bar gauge": lambda v: (v - BAROMETER_KPA) / 100.0,
    "mbar gauge": lambda v: (v - BAROMETER_KPA) * 10.0,
    "°C": lambda v: v,
    "°F": lambda v: 32.0 + 1.8 * v,
    "K": lambda v: v + 273.15,
    "%": lambda v: 100.0 * v,
    "fraction": lambda v: v,
    "factor": lambda v: 1.0 + v,
    "lambda": lambda v: v,
    "afr 14.7": lambda v: 14.7 * v,
    "afr 9.8": lambda v: 9.8 * v,
    "phi": lambda v: 1.0 / v,
    "deg": lambda v: v,
    "negative deg": lambda v: -v,
    "deg/s": lambda v: v,
    "g": lambda v: v / 9.80665,
    "m/s2": lambda v: v,
    "Nm": lambda v: v,
    "lb-ft": lambda v: v / 1.355817948,
    "V": lambda v: v,
    "g/s": lambda v: 1000.0 * v,
    "kg/h": lambda v: 3600.0 * v,
    "furlongs": lambda v: v / 98.0665,
    "-": lambda v: v,
}


def columns_of(dialect: dict[str, str]) -> list[tuple[str, str, str]]:
    lines = [line for line in dialect["columns"].splitlines() if line.strip()]
    return [tuple(part.strip() for part in line.split("|")) for line in lines]  # type: ignore[misc]


def canonical(channel: str, rows: slice) -> np.ndarray:
    values = dict(pull())
    if channel == "output_shaft_rpm":
        return values["vehicle_speed_mps"][rows] / RADIUS_M * FINAL_DRIVE * 30.0 / np.pi
    if channel in {"-", ""}:
        return np.linspace(0.2, 4.7, values["time_s"].size)[rows]
    return values["time_s" if channel == "time" else channel][rows]


def write(path: Path, dialect: dict[str, str]) -> None:
    columns = columns_of(dialect)
    # A log that was started in the pull has no idle.
    rows = slice(210, 460) if dialect.get("rows") == "pull" else slice(None)
    twice = {"Boost (psi)": "manifold_pressure_kpa"}
    cells = []
    for header, channel, unit in columns:
        wanted = channel.removesuffix("?").strip()
        if wanted == "-" and header in twice:
            wanted = twice[header]
        cells.append(READINGS[unit](canonical(wanted, rows)))
    names = [f'"{header}"' if "," in header else header for header, _, _ in columns]
    lines = [",".join(names)]
    if dialect.get("units"):
        written = {"mbar absolute": "mbar", "lambda": "-"}
        lines.append(",".join(written.get(unit, unit) for _, _, unit in columns))
    lines += [",".join(f"{cell:.6f}" for cell in row) for row in zip(*cells, strict=True)]
    path.write_text("\n".join(lines), encoding="utf-8")


def test_there_are_at_least_sixty_dialects_of_different_names():
    assert len({dialect["name"] for dialect in DIALECTS}) == len(DIALECTS) >= 60


@pytest.mark.parametrize("dialect", DIALECTS, ids=lambda dialect: dialect["name"])
def test_a_dialect_is_matched_with_no_wrong_unit(dialect, tmp_path):
    path = tmp_path / "log.csv"
    write(path, dialect)
    log = open_log(path, HINTS if dialect.get("hints", True) else LogHints())
    matches = {match.column: match for match in log.matches}
    rows = slice(210, 460) if dialect.get("rows") == "pull" else slice(None)
    asked = set()
    taken = set()
    for header, channel, _ in columns_of(dialect):
        if channel == "time":
            continue
        match = matches[header]
        if channel == "-":
            assert match.channel is None, match
        elif channel.endswith("?"):
            asked.add(header)
            assert match.question, match
            assert match.channel == channel.removesuffix("?").strip(), match
        else:
            taken.add(channel)
            assert match.is_taken, match
            assert match.channel == channel, match
            expected = canonical(channel, rows)
            rounding = 2e-6 * max(1.0, float(np.abs(expected).max())) + 2e-3 * (channel == "rail_pressure_kpa")
            np.testing.assert_allclose(log[channel].values, expected, atol=max(rounding, 2e-5), rtol=2e-6)
    assert set(log.channels) == taken
    assert {match.column for match in log.questions} == asked
