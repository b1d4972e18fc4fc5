"""What a gauge pressure counts from: the air around or a standard atmosphere, high above the sea and near it."""

from dataclasses import replace

import numpy as np
import pytest
from tests.log.pull import HINTS, pull

from nextpass.log import open_log

PSI_KPA = 6.894757293
STANDARD_KPA = 101.325
MOUNTAIN_KPA = 84.2
CAPS_KPA = (150.0, 173.0, 195.0)


def absolute(name):
    """The pull's pressures; the target steps through the caps of a setup, as a ladder by gear does."""
    values = pull()
    if name == "target_pressure_kpa":
        steps = np.select([values["time_s"] < 12.0, values["time_s"] < 15.0], CAPS_KPA[:2], CAPS_KPA[2])
        return np.where(values["throttle"] > 0.5, steps, MOUNTAIN_KPA)
    if name == "manifold_pressure_kpa":
        target = absolute("target_pressure_kpa")
        return np.where(values["throttle"] > 0.5, target + 2.0, values[name])
    return values[name]


def write(path, zero_kpa, *, with_target=True, stopped_s=0.0, idle_shift_kpa=0.0):
    """A log in psi gauge over `zero_kpa`, with so many seconds of a stopped engine before it."""
    values = pull()
    manifold = absolute("manifold_pressure_kpa") + np.where(values["throttle"] > 0.5, 0.0, idle_shift_kpa)
    columns = {
        "Time (s)": values["time_s"] + stopped_s,
        "RPM": values["engine_rpm"],
        "TPS (%)": 100 * values["throttle"],
        "Boost (psi)": (manifold - zero_kpa) / PSI_KPA,
    }
    if with_target:
        columns["Boost Target (psi)"] = np.round((absolute("target_pressure_kpa") - zero_kpa) / PSI_KPA, 1)
    rest = [0.0, 0.0, 0.0, (MOUNTAIN_KPA - zero_kpa) / PSI_KPA, 0.0][: len(columns)]
    rows = [[0.04 * k, *rest[1:]] for k in range(round(stopped_s * 25))]
    rows += zip(*columns.values(), strict=True)
    path.write_text("\n".join([",".join(columns), *(",".join(f"{cell:.5f}" for cell in row) for row in rows)]))
    return path


def read_pressure(log):
    channel = log["manifold_pressure_kpa"]
    return channel.values[-pull()["time_s"].size :]


UP_HIGH = replace(HINTS, barometric_pressure_kpa=MOUNTAIN_KPA)
WITH_SETUP = replace(UP_HIGH, setup_pressures_kpa=CAPS_KPA)


@pytest.mark.parametrize("zero_kpa", [MOUNTAIN_KPA, STANDARD_KPA])
def test_the_setups_pressures_tell_what_the_target_counts_from(zero_kpa, tmp_path):
    log = open_log(write(tmp_path / "log.csv", zero_kpa), WITH_SETUP)
    assert not log.questions
    np.testing.assert_allclose(read_pressure(log), absolute("manifold_pressure_kpa"), atol=1e-3)
    target = log["target_pressure_kpa"].values
    # Written to a tenth of a psi: half of it is 0.35 kPa.
    np.testing.assert_allclose(target, absolute("target_pressure_kpa"), atol=0.36)


@pytest.mark.parametrize("zero_kpa", [MOUNTAIN_KPA, STANDARD_KPA])
def test_a_stopped_engine_tells_it_as_well(zero_kpa, tmp_path):
    path = write(tmp_path / "log.csv", zero_kpa, with_target=False, stopped_s=2.0, idle_shift_kpa=15.0)
    log = open_log(path, UP_HIGH)
    expected = absolute("manifold_pressure_kpa") + np.where(pull()["throttle"] > 0.5, 0.0, 15.0)
    np.testing.assert_allclose(read_pressure(log), expected, atol=1e-3)


def test_an_idle_that_is_plausible_with_one_zero_only_tells_it_with_a_remark(tmp_path):
    # 37 kPa at idle over a standard atmosphere would be 20 kPa over the air around: too deep for an idling engine.
    log = open_log(write(tmp_path / "log.csv", STANDARD_KPA, with_target=False), UP_HIGH)
    np.testing.assert_allclose(read_pressure(log), absolute("manifold_pressure_kpa"), atol=1e-3)
    (match,) = (match for match in log.matches if match.column == "Boost (psi)")
    assert match.unit == "psi gauge@101.325"
    assert match.remark == (
        "only over a standard atmosphere of 101.325 kPa is its idle of 37 kPa plausible: "
        "check it with the engine stopped"
    )


def test_where_nothing_shows_it_a_question_is_asked_and_both_answers_are_taken(tmp_path):
    path = write(tmp_path / "log.csv", MOUNTAIN_KPA, with_target=False, idle_shift_kpa=-4.0)
    log = open_log(path, UP_HIGH)
    (question,) = log.questions
    assert question.question == (
        "gauge over the air around (84.2 kPa) or over a standard atmosphere? Nothing in the log shows it"
    )
    assert question.choices == ("manifold_pressure_kpa:psi gauge@84.2", "manifold_pressure_kpa:psi gauge@101.325")
    readings = [read_pressure(open_log(path, UP_HIGH, {"Boost (psi)": choice})) for choice in question.choices]
    np.testing.assert_allclose(readings[1] - readings[0], STANDARD_KPA - MOUNTAIN_KPA, atol=1e-9)


def test_near_the_sea_the_air_around_is_taken_with_a_remark(tmp_path):
    hints = replace(HINTS, barometric_pressure_kpa=98.6)
    log = open_log(write(tmp_path / "log.csv", 98.6, with_target=False), hints)
    (match,) = (match for match in log.matches if match.column == "Boost (psi)")
    assert match.remark == "counted from the air around; if it counts from a standard atmosphere it is 2.7 kPa higher"
    assert match.unit == "psi gauge"


def test_at_the_sea_there_is_nothing_to_say(tmp_path):
    log = open_log(write(tmp_path / "log.csv", 100.6, with_target=False), replace(HINTS, barometric_pressure_kpa=100.6))
    (match,) = (match for match in log.matches if match.column == "Boost (psi)")
    assert (match.remark, match.is_taken) == ("", True)


def test_a_standard_atmosphere_that_the_setup_shows_needs_no_barometer(tmp_path):
    hints = replace(WITH_SETUP, barometric_pressure_kpa=None)
    log = open_log(write(tmp_path / "log.csv", STANDARD_KPA), hints)
    np.testing.assert_allclose(read_pressure(log), absolute("manifold_pressure_kpa"), atol=1e-3)
