"""What a person says of a column is used, kept for the same header, and refused where it is nonsense."""

import numpy as np
import pytest
from tests.log.pull import BAROMETER_KPA, HINTS, pull

from nextpass.errors import FileError, LogError, SettingError, UnitError
from nextpass.log import answers_file, keep_answers, open_log

PSI_KPA = 6.894757293


def write(path, columns):
    rows = zip(*columns.values(), strict=True)
    path.write_text("\n".join([",".join(columns), *(",".join(f"{cell:.6f}" for cell in row) for row in rows)]))
    return path


@pytest.fixture
def path(tmp_path):
    """A log that was started in the pull: nothing in it says what the boost counts from."""
    values = {name: array[210:460] for name, array in pull().items()}
    return write(
        tmp_path / "log.csv",
        {
            "Time (s)": values["time_s"],
            "RPM": values["engine_rpm"],
            "TPS (%)": 100 * values["throttle"],
            "Boost (psi)": (values["manifold_pressure_kpa"] - BAROMETER_KPA) / PSI_KPA,
            "AFR": 9.8 * values["lambda_bank1"],
            "Knock (deg)": np.where(np.arange(250) % 50 == 0, -2.0, 0.0) + 0.5 * (np.arange(250) % 61 == 0),
        },
    )


def expected(name):
    return pull()[name][210:460]


def test_what_is_doubtful_is_left_out_until_it_is_answered(path):
    log = open_log(path, HINTS)
    assert set(log.channels) == {"engine_rpm", "throttle"}
    questions = {match.column: match for match in log.questions}
    assert (
        questions["Boost (psi)"].question == "absolute or gauge? No reading at idle or with the engine stopped shows it"
    )
    assert questions["Boost (psi)"].choices == ("manifold_pressure_kpa:psi absolute", "manifold_pressure_kpa:psi gauge")
    assert questions["AFR"].choices == ("lambda_bank1:afr@14.7", "lambda_bank1:afr@9.8")
    assert (
        "'Boost (psi)' was left out until answered: absolute or gauge? "
        "No reading at idle or with the engine stopped shows it"
    ) in log.quality.remarks


def test_every_choice_of_a_question_is_an_answer(path):
    for match in open_log(path, HINTS).questions:
        for choice in match.choices:
            answered = open_log(path, HINTS, {match.column: choice})
            assert match.channel in answered
            assert match.column not in {other.column for other in answered.questions}


def test_an_answer_is_taken_as_it_was_given(path):
    log = open_log(path, HINTS, {"Boost (psi)": "manifold_pressure_kpa:psi gauge", "AFR": "lambda_bank1:afr@9.8"})
    np.testing.assert_allclose(log["manifold_pressure_kpa"].values, expected("manifold_pressure_kpa"), atol=1e-4)
    np.testing.assert_allclose(log["lambda_bank1"].values, expected("lambda_bank1"), atol=1e-6)
    (match,) = (match for match in log.matches if match.column == "AFR")
    assert (match.confidence, match.reason, match.unit) == (1.0, "by answer", "AFR@9.8")


def test_a_minus_turns_the_sign(path):
    log = open_log(path, HINTS, {"Knock (deg)": "knock_retard_deg:-deg"})
    assert log["knock_retard_deg"].values.max() == 2.0


def test_a_column_may_be_left_out_for_good(path):
    log = open_log(path, HINTS, {"AFR": "-"})
    assert "AFR" in log.unmatched
    assert "AFR" not in {match.column for match in log.questions}


def test_answers_are_kept_for_the_same_header_only(path, tmp_path):
    kept = tmp_path / "data" / "answers.json"
    log = open_log(path, HINTS, kept=kept)
    keep_answers(kept, log.header_key, {"Boost (psi)": "manifold_pressure_kpa:psi gauge"})
    assert "manifold_pressure_kpa" in open_log(path, HINTS, kept=kept)
    other = tmp_path / "other.csv"
    other.write_text(path.read_text().replace("TPS (%)", "Throttle (%)", 1))
    assert "manifold_pressure_kpa" not in open_log(other, HINTS, kept=kept)


def test_an_answer_given_now_goes_before_one_that_is_kept(path, tmp_path):
    kept = tmp_path / "answers.json"
    keep_answers(kept, open_log(path, HINTS).header_key, {"AFR": "lambda_bank1:afr@14.7"})
    log = open_log(path, HINTS, {"AFR": "lambda_bank1:afr@9.8"}, kept)
    np.testing.assert_allclose(log["lambda_bank1"].values, expected("lambda_bank1"), atol=1e-6)


def test_a_later_answer_takes_the_place_of_an_earlier_one(tmp_path):
    kept = tmp_path / "answers.json"
    keep_answers(kept, "a", {"X": "gear", "Y": "-"})
    keep_answers(kept, "a", {"X": "throttle:%"})
    keep_answers(kept, "b", {"X": "-"})
    assert kept.read_text() == '{\n "a": {\n  "X": "throttle:%",\n  "Y": "-"\n },\n "b": {\n  "X": "-"\n }\n}'


def test_the_unit_of_the_times_may_be_answered_and_is_kept(tmp_path):
    values = pull()
    path = write(tmp_path / "ticks.csv", {"Time": np.arange(650.0), "RPM": values["engine_rpm"]})
    with pytest.raises(LogError):
        open_log(path)
    log = open_log(path, answers={"Time": "time:ms"})
    assert log["engine_rpm"].time_s[-1] == pytest.approx(0.649)
    kept = tmp_path / "answers.json"
    keep_answers(kept, log.header_key, {"Time": "time:ms"})
    assert open_log(path, kept=kept)["engine_rpm"].time_s[-1] == pytest.approx(0.649)


def refusal(path, column, answer, error):
    with pytest.raises(error) as refused:
        open_log(path, HINTS, {column: answer})
    return str(refused.value)


def test_a_channel_that_there_is_not_is_refused(path):
    assert refusal(path, "AFR", "lambda_bank:afr", SettingError) == (
        "AFR: there is no channel 'lambda_bank'; did you mean lambda_bank2? `nextpass log channels` lists them all"
    )


def test_a_unit_of_another_quantity_is_refused(path):
    assert refusal(path, "AFR", "lambda_bank1:psi", UnitError) == (
        "AFR: 'psi' is not a unit of mixture; write one of lambda, AFR, equivalence ratio"
    )


def test_a_column_that_is_not_in_the_file_is_refused(path):
    assert refusal(path, "Boost", "manifold_pressure_kpa:psi", SettingError) == (
        f"{path}: there is no column 'Boost'; did you mean 'Boost (psi)'?"
    )


def test_kept_answers_that_were_damaged_are_refused(path, tmp_path):
    kept = tmp_path / "answers.json"
    kept.write_text("[1, 2]")
    with pytest.raises(FileError) as refused:
        open_log(path, HINTS, kept=kept)
    assert str(refused.value) == f"{kept}: the kept answers are not as they were written; remove the file"


def test_answers_are_kept_under_the_data_folder_of_the_user(monkeypatch, tmp_path):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert answers_file() == tmp_path / "nextpass" / "log-answers.json"
