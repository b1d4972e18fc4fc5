"""Rows of text tables that do not go on as they began: another table, another decimal sign, a logger without power."""

import numpy as np
import pytest
from tests.log.pull import HINTS, pull

from nextpass.errors import LogError
from nextpass.log import open_log

VALUES = pull(5.0)
NAMES = {"Time (s)": "time_s", "RPM": "engine_rpm", "MAP (kPa)": "manifold_pressure_kpa", "Lambda": "lambda_bank1"}


def table(names=tuple(NAMES), later_s=0.0, separator=",", decimals=3) -> list[str]:
    columns = [VALUES[NAMES[name]] + (later_s if name == "Time (s)" else 0.0) for name in names]
    return [
        separator.join(names),
        *(separator.join(f"{v:.{decimals}f}" for v in row) for row in zip(*columns, strict=True)),
    ]


def written(tmp_path, lines):
    path = tmp_path / "log.csv"
    path.write_text("\n".join(lines) + "\n")
    return path


@pytest.mark.parametrize("between", [[], [""], ["# second run"]])
def test_another_table_below_does_not_land_under_the_first_names(between, tmp_path):
    # Its clock goes on, so that only its header tells it from the rows above.
    lines = table() + between + table(("Time (s)", "Lambda", "RPM"), later_s=30.0)
    log = open_log(written(tmp_path, lines), HINTS)
    np.testing.assert_allclose(log["engine_rpm"].values, VALUES["engine_rpm"], atol=6e-4)
    np.testing.assert_allclose(log["lambda_bank1"].values, VALUES["lambda_bank1"], atol=6e-4)
    line = 132 + len(between)
    assert log.quality.remarks[0] == (
        f"another table with other names begins in line {line}: it was not read; put it into a file of its own"
    )


def test_the_same_header_again_goes_on_with_the_same_table(tmp_path):
    log = open_log(written(tmp_path, table() + table(later_s=30.0)), HINTS)
    assert log["engine_rpm"].values.size == 260
    assert len(log.quality.gaps) == 1


def test_notes_between_the_rows_are_no_header(tmp_path):
    lines = table()
    lines.insert(60, "driver lifted,see video,,")
    log = open_log(written(tmp_path, lines), HINTS)
    assert log["engine_rpm"].values.size == 130
    assert log.quality.remarks[0] == "rows without a time, left out: 1"


@pytest.mark.parametrize(("first", "line"), [(0, 2), (1, 3), (60, 62)])
def test_two_decimal_signs_in_one_column_are_refused_with_their_line(first, line, tmp_path):
    header, *rows = table(separator=";", decimals=4)
    # From `first` on every third row has been turned by a spreadsheet.
    turned = [row.replace(".", ",") if k >= first and (k - first) % 3 == 0 else row for k, row in enumerate(rows)]
    path = written(tmp_path, [header, *turned])
    with pytest.raises(LogError) as refusal:
        open_log(path, HINTS)
    assert str(refusal.value).startswith(f"{path}:{line}: '")
    assert str(refusal.value).endswith("' have different decimal signs; export the log again in one language")


def test_columns_may_write_their_decimals_differently(tmp_path):
    header, *rows = table(separator=";", decimals=4)
    path = written(tmp_path, [header, *(row.replace(".", ",", 1) for row in rows)])
    log = open_log(path, HINTS)
    np.testing.assert_allclose(log["engine_rpm"].time_s, VALUES["time_s"], atol=6e-5)
    np.testing.assert_allclose(log["engine_rpm"].values, VALUES["engine_rpm"], atol=6e-5)


def test_a_comma_after_a_zero_marks_no_thousands(tmp_path):
    # 0,820 among points must not become 820.
    lines = [f"{0.2 * k:.1f};{900 + 0.5 * k:.1f};0,820" for k in range(60)]
    log = open_log(written(tmp_path, ["Time (s);RPM;Lambda", *lines]), HINTS)
    np.testing.assert_allclose(log["lambda_bank1"].values, 0.82)


@pytest.mark.parametrize("at", [1500, None])
def test_zeros_where_the_logger_lost_its_power_are_passed_over(at, tmp_path):
    text = "\n".join(table()).encode() + b"\n"
    cut = len(text) if at is None else text.index(b"\n", at) + 1
    path = tmp_path / "log.csv"
    path.write_bytes(text[:cut] + bytes(4096) + text[cut:])
    log = open_log(path, HINTS)
    np.testing.assert_allclose(log["engine_rpm"].values, VALUES["engine_rpm"], atol=6e-4)


def test_a_name_in_quotes_may_go_over_two_lines(tmp_path):
    lines = table()
    lines[0] = '"Time (s)","Engine\nRPM","MAP (kPa)","Lambda"'
    log = open_log(written(tmp_path, lines), HINTS)
    np.testing.assert_allclose(log["engine_rpm"].values, VALUES["engine_rpm"], atol=6e-4)


# What a table without rows of values is refused with, by its lines.
WITHOUT_VALUES = {
    "one row": (
        table()[:2],
        "there is one row of values under the header, and a log has at least two; export the log again",
    ),
    "units only": (
        [table()[0], "s,rpm,kPa,-"],
        "no line of it reads as a row of values; cut what stands above the table, or export the log again",
    ),
    "header far below": (
        [*(f"Note {k}: see sheet" for k in range(450)), *table()],
        "none of its first 400 lines reads as a row of values; "
        "cut what stands above the table, or export the log again",
    ),
}


@pytest.mark.parametrize("kind", WITHOUT_VALUES)
def test_a_table_without_values_says_so(kind, tmp_path):
    lines, message = WITHOUT_VALUES[kind]
    path = written(tmp_path, lines)
    with pytest.raises(LogError) as refusal:
        open_log(path, HINTS)
    assert str(refusal.value) == f"{path}: {message}"


def test_a_word_without_end_among_the_rows_does_not_hold_up_the_reader(tmp_path):
    # A damaged file held a cell of a megabyte of letters where a header might have been.
    lines = table()
    lines.insert(60, "x" * 1_000_000 + ",RPM" + "y" * 1_000_000)
    log = open_log(written(tmp_path, lines), HINTS)
    assert log["engine_rpm"].values.size == 130


@pytest.mark.parametrize("notes", [False, True])
def test_a_file_cut_off_after_an_opening_quote_is_read(notes, tmp_path, capfd):
    # The reader of numbers panics there, past every handler of errors, when it is let.
    lines = [line + (",note" if notes and k else ",Notes" if notes else "") for k, line in enumerate(table())]
    path = tmp_path / "log.csv"
    path.write_text("\n".join([*lines, '26.0,"']))
    assert open_log(path, HINTS)["engine_rpm"].values.size == 130
    assert capfd.readouterr().err == ""
