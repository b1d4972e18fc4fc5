"""Left and right are made banks by an answer, a name or the values; what shows nothing is asked and explained."""

import numpy as np
import pytest
from scipy.signal import lfilter
from tests.log.pull import HINTS, pull

from nextpass.log import open_log

VALUES = pull()
SIZE = VALUES["time_s"].size
QUESTION = (
    "which bank is this side? Bank 1 is the one with cylinder 1, left in some engines and right in others; "
    "one answer settles every column of that side"
)


def idle_in_closed_loop(seed):
    """Lambda and short-term trim of one bank: mixture that wanders, a trim that integrates what lambda shows."""
    rng = np.random.default_rng(seed)
    wander = lfilter([0.02], [1.0, -0.98], rng.normal(0.0, 1.0, SIZE)) * 0.2
    lambda_, trim = np.empty(SIZE), np.zeros(SIZE)
    for row in range(SIZE):
        before = trim[row - 1] if row else 0.0
        lambda_[row] = 1.0 + wander[row] - before
        # Lean (over 1) asks for more fuel: the loop's integral part, the whole error within a second.
        trim[row] = before + (lambda_[row] - 1.0) / 25.0
    return lambda_, trim


def opened(tmp_path, columns, answers=None):
    every = {"Time (s)": VALUES["time_s"], "RPM": np.full(SIZE, 880.0) + VALUES["battery_v"], **columns}
    rows = zip(*every.values(), strict=True)
    path = tmp_path / "log.csv"
    path.write_text("\n".join([",".join(every), *(",".join(f"{cell:.6f}" for cell in row) for row in rows)]))
    return open_log(path, HINTS, answers)


def sides(left="left", right="right"):
    (one, _), (two, _) = idle_in_closed_loop(1), idle_in_closed_loop(2)
    return {f"Lambda {left}": one, f"Lambda {right}": two}


@pytest.mark.parametrize(
    ("left", "right"), [("Left", "Right"), ("links", "rechts"), ("L", "R"), ("A", "B"), ("LH", "RH")]
)
def test_sides_that_nothing_tells_are_asked(left, right, tmp_path):
    log = opened(tmp_path, sides(left, right))
    assert [match.question for match in log.questions] == [QUESTION, QUESTION]
    assert {match.choices for match in log.questions} == {("lambda_bank1", "lambda_bank2")}
    assert "lambda_bank1" not in log


@pytest.mark.parametrize("first", ["left", "right"])
def test_one_answer_settles_every_column_of_a_side(first, tmp_path):
    columns = {
        **sides(),
        "STFT left (%)": VALUES["short_trim_bank1"] * 100,
        "STFT right (%)": -VALUES["short_trim_bank1"] * 100,
    }
    answer = "lambda_bank1" if first == "left" else "lambda_bank2"
    log = opened(tmp_path, columns, {"Lambda left": answer})
    assert not log.questions
    other = "right" if first == "left" else "left"
    np.testing.assert_allclose(log["lambda_bank1"].values, columns[f"Lambda {first}"], atol=1e-6)
    np.testing.assert_allclose(log["lambda_bank2"].values, columns[f"Lambda {other}"], atol=1e-6)
    assert log["short_trim_bank1"].source == f"STFT {first} (%)"
    reason = next(match.reason for match in log.matches if match.column == f"STFT {first} (%)")
    assert reason.endswith(f"{first} is bank 1, as was said of 'Lambda left'")


def test_a_name_with_side_and_number_settles_the_others(tmp_path):
    columns = {**sides(), "EGT Bank 1 right (C)": VALUES["exhaust_temperature_c"]}
    log = opened(tmp_path, columns)
    np.testing.assert_allclose(log["lambda_bank1"].values, columns["Lambda right"], atol=1e-6)


@pytest.mark.parametrize("turned", [False, True])
def test_a_sensor_that_is_also_there_by_number_settles_its_side(turned, tmp_path):
    left, right = sides().values()
    rng = np.random.default_rng(3)
    one, two = (right, left) if turned else (left, right)
    # The numbered columns are air-fuel ratios of the same banks by other sensors.
    numbered = {
        "AFR 1": 14.7 * (one + rng.normal(0.0, 0.002, SIZE)),
        "AFR 2": 14.7 * (two + rng.normal(0.0, 0.002, SIZE)),
    }
    log = opened(tmp_path, {"Lambda Left": left, "Lambda Right": right, **numbered})
    reasons = {match.column: match.reason for match in log.matches}
    side = "right" if turned else "left"
    said = f"{side} is bank 1: the sides differ as 'AFR 1' and 'AFR 2' do"
    assert all(said in reasons[name] or "already" in reasons[name] for name in ("Lambda Left", "Lambda Right"))
    assert {log["lambda_bank1"].source, log["lambda_bank2"].source} <= {"AFR 1", "AFR 2", "Lambda Left", "Lambda Right"}
    np.testing.assert_allclose(log["lambda_bank1"].values, one, atol=0.02)


@pytest.mark.parametrize("turned", [False, True])
def test_the_trim_that_rises_while_a_side_is_lean_tells_its_bank(turned, tmp_path):
    (left, left_trim), (right, right_trim) = idle_in_closed_loop(1), idle_in_closed_loop(2)
    trims = (right_trim, left_trim) if turned else (left_trim, right_trim)
    columns = {"Lambda Left": left, "Lambda Right": right, "STFT B1 (%)": 100 * trims[0], "STFT B2 (%)": 100 * trims[1]}
    log = opened(tmp_path, columns)
    assert not log.questions
    np.testing.assert_allclose(log["lambda_bank1"].values, right if turned else left, atol=1e-6)


def test_trims_that_do_not_follow_leave_the_question(tmp_path):
    rng = np.random.default_rng(5)
    trims = {f"STFT B{bank} (%)": np.cumsum(rng.normal(0.0, 0.1, SIZE)) for bank in (1, 2)}
    assert len(opened(tmp_path, {**sides(), **trims}).questions) == 2


def test_a_clutch_pack_of_that_letter_is_no_bank(tmp_path):
    log = opened(
        tmp_path, {"Clutch A Pressure (bar)": VALUES["brake_pressure_kpa"] / 100, "Lambda": sides()["Lambda left"]}
    )
    assert "lambda_bank1" in log
    assert not log.questions


def test_a_second_column_of_one_name_may_be_the_other_bank(tmp_path):
    path = tmp_path / "log.csv"
    left, right = sides().values()
    rows = zip(VALUES["time_s"], left, right + 0.2, strict=True)
    path.write_text("\n".join(["Time (s),Lambda,Lambda", *(",".join(f"{cell:.6f}" for cell in row) for row in rows)]))
    log = open_log(path, HINTS)
    assert [match.choices for match in log.questions] == [("lambda_bank1:lambda", "lambda_bank2:lambda", "-")]
