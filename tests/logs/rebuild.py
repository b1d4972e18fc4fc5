"""Writes the sample logs of this folder: one invented pull, dressed each time in another oddity of loggers.

Run from the root of the project: ``python tests/logs/rebuild.py``. The files are kept, so that what once could be read
stays readable; names and units are trade words, no logger's format is copied.
"""

import gzip
import sys
import zipfile
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta, timezone
from pathlib import Path

import numpy as np

FOLDER = Path(__file__).parent
sys.path.insert(0, str(FOLDER.parent.parent))

from tests.log.pull import STANDARD_GRAVITY, pull  # noqa: E402 - the project's root is put on the path above

PULL = pull(rate_hz=5.0)
TIME = PULL["time_s"]
NAMES = (
    "Time",
    "Engine Speed",
    "Road Speed",
    "Manifold Pressure",
    "Throttle",
    "Gear",
    "Lambda",
    "Coolant Temp",
    "Long Accel",
)
UNITS = ("s", "rpm", "km/h", "kPa", "%", "-", "-", "°C", "g")
COLUMNS = (
    [f"{value:.3f}" for value in TIME],
    [f"{value:.1f}" for value in PULL["engine_rpm"]],
    [f"{3.6 * value:.2f}" for value in PULL["vehicle_speed_mps"]],
    [f"{value:.2f}" for value in PULL["manifold_pressure_kpa"]],
    [f"{100 * value:.1f}" for value in PULL["throttle"]],
    [f"{value:.0f}" for value in PULL["gear"]],
    [f"{value:.4f}" for value in PULL["lambda_bank1"]],
    [f"{value:.2f}" for value in PULL["coolant_temperature_c"]],
    [f"{value / STANDARD_GRAVITY:.4f}" for value in PULL["longitudinal_acceleration_mps2"]],
)
ROWS = [list(row) for row in zip(*COLUMNS, strict=True)]
HEADER = [f"{name} ({unit})" if unit != "-" else name for name, unit in zip(NAMES, UNITS, strict=True)]


def table(
    header: Sequence[str] = HEADER,
    rows: Sequence[Sequence[str]] = ROWS,
    delimiter: str = ",",
    above: Sequence[str] = (),
    between: Sequence[str] = (),
    end: str = "\n",
) -> str:
    """The table as text; `above` stands before the header, `between` after it."""
    lines = [*above, delimiter.join(header), *between, *(delimiter.join(row) for row in rows)]
    return end.join(lines) + end


def with_commas(rows: Sequence[Sequence[str]]) -> list[list[str]]:
    """Rows with a decimal comma."""
    return [[cell.replace(".", ",") for cell in row] for row in rows]


def with_times(name: str, cells: Sequence[str]) -> str:
    """The table with another first column."""
    rows = [[cell, *row[1:]] for cell, row in zip(cells, ROWS, strict=True)]
    return table([name, *HEADER[1:]], rows)


def bracketed(left: str, right: str) -> list[str]:
    """The header with its units in these brackets."""
    return [f"{name} {left}{unit}{right}" for name, unit in zip(NAMES, UNITS, strict=True)]


def clock(start: datetime, form: Callable[[datetime], str]) -> list[str]:
    """Clock times of the rows."""
    return [form(start + timedelta(seconds=float(second))) for second in TIME]


def sparse() -> str:
    """Every channel at its own rate, blank in between; the speed comes four times slower than the rows."""
    every = (1, 1, 4, 1, 1, 1, 2, 10, 1)
    rows = [
        [cell if k % step == 0 else "" for cell, step in zip(row, every, strict=True)] for k, row in enumerate(ROWS)
    ]
    return table(rows=rows)


def long_form() -> str:
    """One row a sample."""
    lines = ["time_s,channel,value,unit"]
    for row in ROWS:
        for name, unit, cell in zip(NAMES[1:], UNITS[1:], row[1:], strict=True):
            lines.append(f"{row[0]},{name},{cell},{unit if unit != '-' else ''}")
    return "\n".join(lines) + "\n"


def ragged() -> str:
    """Some rows miss their last cells, some have a stray one."""
    lines = table().splitlines()
    for index in range(20, len(lines), 13):
        lines[index] = lines[index].rsplit(",", 2)[0]
    for index in range(24, len(lines), 17):
        lines[index] += ",,"
    return "\n".join(lines) + "\n"


def grouped(cell: str, mark: str, decimal: str) -> str:
    """A number with thousands marks."""
    whole, _, part = cell.partition(".")
    sign, digits = ("-", whole[1:]) if whole.startswith("-") else ("", whole)
    return sign + f"{int(digits):,}".replace(",", mark) + (decimal + part if part else "")


def stray_cells() -> list[list[str]]:
    """Rows in which some cells hold one of the many words for no value."""
    words = ("---", "NaN", "N/A", "", "null")
    rows = [list(row) for row in ROWS]
    for k in range(3, len(rows), 7):
        rows[k][1 + k % 8] = words[k % 5]
    return rows


def with_words() -> str:
    """Gears as letters, and a brake switch as on and off."""
    rows = [
        [*row[:5], "N" if float(row[0]) < 1.0 else row[5], *row[6:], "Off" if k < 90 else "On"]
        for k, row in enumerate(ROWS)
    ]
    return table([*HEADER, "Brake Switch"], rows)


def marked() -> str:
    """A driver's marks as a column of notes."""
    notes = {40: "staged", 41: "staged", 100: "crossed the line"}
    return table([*HEADER, "Marker"], [[*row, notes.get(k, "")] for k, row in enumerate(ROWS)])


DOUBLED = [row for k, row in enumerate(ROWS) for _ in range(2 if k in {30, 60} else 1)]
SWAPPED = [ROWS[k + 1] if k in {50, 80} else ROWS[k - 1] if k in {51, 81} else row for k, row in enumerate(ROWS)]
DROPPED = [row for row in ROWS if not 12.0 < float(row[0]) < 14.0]
RESTARTED = [[f"{float(row[0]) + 40:.3f}", *row[1:]] for row in ROWS[:20]] + ROWS
PREAMBLE = [
    "Datalog of an invented car",
    "Driver: nobody",
    "",
    "Weather: dry, 21 degrees",
    "Rows: 130",
    "Comment: none",
    "",
]
KEYS = ["Car,invented", "Date,2026-05-02", "Rate,5", "Tank,E85", "Lane,left"]
ZONE = timezone(timedelta(hours=2))

TEXTS: dict[str, str] = {
    "plain.csv": table(),
    "semicolon_decimal_comma.csv": table(rows=with_commas(ROWS), delimiter=";"),
    "tabs.txt": table(delimiter="\t"),
    "pipes.txt": table(delimiter=" | "),
    "blanks_as_delimiter.txt": table(
        [name.replace(" ", "_") for name in NAMES], ROWS, "   ", between=["   ".join(UNITS)]
    ),
    "comma_and_blank.csv": table(delimiter=", "),
    "preamble_of_lines.csv": table(above=PREAMBLE),
    "preamble_with_the_same_delimiter.csv": table(above=KEYS),
    "units_in_square_brackets.csv": table(bracketed("[", "]")),
    "units_after_slash.csv": table(
        [f"{name} / {unit}" if unit != "-" else name for name, unit in zip(NAMES, UNITS, strict=True)]
    ),
    "units_after_comma.csv": table(
        [f'"{name}, {unit}"' if unit != "-" else name for name, unit in zip(NAMES, UNITS, strict=True)]
    ),
    "units_row.csv": table(NAMES, between=[",".join(UNITS)]),
    "units_row_in_brackets_after_a_blank_line.csv": table(
        NAMES, between=["", ",".join(f"[{unit}]" for unit in UNITS), ""]
    ),
    "units_as_last_word.csv": table(
        [
            "time_s",
            "engine_speed_rpm",
            "road_speed_kmh",
            "manifold_pressure_kpa",
            "throttle_pct",
            "gear",
            "lambda",
            "coolant_temp_degC",
            "long_accel_g",
        ]
    ),
    "header_repeated_in_the_middle.csv": table(rows=[*ROWS[:60], HEADER, *ROWS[60:]]),
    "blank_and_word_cells.csv": table(rows=stray_cells()),
    "gears_and_switches_as_words.csv": with_words(),
    "ragged_rows.csv": ragged(),
    "channels_at_their_own_rates.csv": sparse(),
    "long_form.csv": long_form(),
    "thousands_commas_in_quotes.csv": table(rows=[[f'"{grouped(cell, ",", ".")}"' for cell in row] for row in ROWS]),
    "thousands_points_decimal_commas.csv": table(
        rows=[[grouped(c, ".", ",") for c in row] for row in ROWS], delimiter=";"
    ),
    "everything_in_quotes.csv": table(
        [f'"{name}"' for name in HEADER], [[f'"{cell}"' for cell in row] for row in ROWS]
    ),
    "delimiter_at_the_end.csv": table([*HEADER, ""], [[*row, ""] for row in ROWS]),
    "padded_numbers.csv": table(rows=[[f"{cell:>10}" for cell in row] for row in ROWS]),
    "percent_signs_in_cells.csv": table(rows=[[*row[:4], row[4] + "%", *row[5:]] for row in ROWS]),
    "hash_before_the_header.csv": table(["# " + HEADER[0], *HEADER[1:]]),
    "time_in_the_last_column.csv": table([*HEADER[1:], HEADER[0]], [[*row[1:], row[0]] for row in ROWS]),
    "time_in_milliseconds.csv": with_times("Time (ms)", [f"{1000 * second:.0f}" for second in TIME]),
    "time_in_microseconds_without_unit.csv": with_times("timestamp", [f"{1e6 * second + 5e7:.0f}" for second in TIME]),
    "time_in_milliseconds_without_unit.csv": with_times("Time", [f"{1000 * second:.0f}" for second in TIME]),
    "clock_over_midnight.csv": with_times(
        "Time", clock(datetime(2026, 5, 2, 23, 59, 50), lambda at: f"{at:%H:%M:%S}.{at.microsecond // 1000:03d}")
    ),
    "clock_of_twelve_hours.csv": with_times(
        "Time",
        clock(datetime(2026, 5, 2, 11, 59, 50), lambda at: f"{at:%I:%M:%S}.{at.microsecond // 1000:03d} {at:%p}"),
    ),
    "minutes_and_seconds_over_the_hour.csv": with_times(
        "Time", clock(datetime(2026, 5, 2, 14, 59, 50), lambda at: f"{at:%M:%S}.{at.microsecond // 1000:03d}")
    ),
    "iso_8601_with_zone.csv": with_times(
        "Timestamp",
        clock(datetime(2026, 5, 2, 23, 59, 50, tzinfo=ZONE), lambda at: at.isoformat(timespec="milliseconds")),
    ),
    "date_and_clock_day_first.csv": with_times(
        "Datum/Zeit",
        clock(datetime(2026, 5, 2, 23, 59, 50), lambda at: f"{at:%d.%m.%Y %H:%M:%S}.{at.microsecond // 1000:03d}"),
    ),
    "epoch_seconds.csv": with_times("Time", [f"{1777730000.0 + second:.3f}" for second in TIME]),
    "epoch_milliseconds.csv": with_times("utc", [f"{1777730000000 + 1000 * second:.0f}" for second in TIME]),
    "days_of_a_calendar.csv": with_times("Time", [f"{46144.5 + second / 86400.0:.9f}" for second in TIME]),
    "sample_number_with_stated_rate.csv": "Sample rate: 5 Hz\n\n"
    + with_times("Sample", [str(k) for k in range(TIME.size)]),
    "rows_twice.csv": table(rows=DOUBLED),
    "rows_out_of_order.csv": table(rows=SWAPPED),
    "two_seconds_dropped.csv": table(rows=DROPPED),
    "clock_starts_over.csv": table(rows=RESTARTED),
    "clock_coarser_than_the_rows.csv": with_times("Time (s)", [f"{np.floor(second):.0f}" for second in TIME]),
    "notes_of_the_driver.csv": marked(),
    "two_columns_of_one_name.csv": table([*HEADER, HEADER[1]], [[*row, row[1]] for row in ROWS]),
}
# What has no times to be told, no names, or no rows: refused, each with a message of its own.
REFUSED: dict[str, str] = {
    "no_header.csv": "\n".join(",".join(row) for row in ROWS) + "\n",
    "header_only.csv": ",".join(HEADER) + "\n",
    "no_time.csv": table(HEADER[1:], [row[1:] for row in ROWS]),
    "sample_number_without_rate.csv": with_times("Sample", [str(k) for k in range(TIME.size)]),
    "one_step_of_time_means_nothing.csv": with_times("Time", [str(k) for k in range(TIME.size)]),
    "unit_of_time_is_wrong.csv": with_times("Time (s)", [f"{1000 * second:.0f}" for second in TIME]),
    "prose.txt": "This is a letter about a car.\nIt holds no table, only lines,\nwith commas, here and there.\n" * 8,
}


def main() -> None:
    """Write every file."""
    for name, text in TEXTS.items():
        (FOLDER / name).write_text(text, encoding="utf-8", newline="")
    (FOLDER / "utf16_with_mark.csv").write_bytes(table().encode("utf-16"))
    (FOLDER / "utf16_without_mark.csv").write_bytes(table().encode("utf-16-le"))
    (FOLDER / "utf8_with_mark.csv").write_bytes(table().encode("utf-8-sig"))
    (FOLDER / "latin1_degree_sign.csv").write_bytes(table().encode("latin-1"))
    (FOLDER / "line_ends_of_dos.csv").write_bytes(table(end="\r\n").encode())
    (FOLDER / "line_ends_of_old.csv").write_bytes(table(end="\r").encode())
    (FOLDER / "packed.csv.gz").write_bytes(gzip.compress(table().encode(), mtime=0))
    with zipfile.ZipFile(FOLDER / "packed.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(zipfile.ZipInfo("run 3/log.csv"), table(), zipfile.ZIP_DEFLATED)
    refused = FOLDER / "refused"
    refused.mkdir(exist_ok=True)
    for name, text in REFUSED.items():
        (refused / name).write_text(text, encoding="utf-8", newline="")
    (refused / "empty.csv").write_bytes(b"")
    (refused / "not_text.csv").write_bytes(bytes(range(256)) * 16)
    packed = gzip.compress(gzip.compress(table().encode(), mtime=0), mtime=0)
    (refused / "archive_in_an_archive.csv.gz").write_bytes(packed)
    (refused / "cut_archive.csv.gz").write_bytes(gzip.compress(table().encode(), mtime=0)[:700])
    with zipfile.ZipFile(refused / "two_logs.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        for name in ("one.csv", "two.csv"):
            archive.writestr(zipfile.ZipInfo(name), table(), zipfile.ZIP_DEFLATED)


if __name__ == "__main__":
    main()
