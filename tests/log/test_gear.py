"""Codings of the gear are told by engine speed over road speed, and a selector's position is not taken for a gear."""

import numpy as np
import pytest
from tests.log.pull import HINTS, pull

from nextpass.log import LogHints, open_log

VALUES = pull()
TIME_S, GEAR = VALUES["time_s"], VALUES["gear"]
STANDS = VALUES["vehicle_speed_mps"] == 0.0


def opened(tmp_path, gear, hints=HINTS, answers=None, speed_scale=3.6, name="Gear"):
    columns = {
        "Time (s)": TIME_S,
        "RPM": VALUES["engine_rpm"],
        "Speed (km/h)": VALUES["vehicle_speed_mps"] * speed_scale,
        "TPS (%)": 100.0 * VALUES["throttle"],
        **({"Gear": GEAR} if name != "Gear" else {}),
        name: gear,
    }
    rows = zip(*columns.values(), strict=True)
    path = tmp_path / "log.csv"
    path.write_text("\n".join([",".join(columns), *(",".join(f"{cell:.4f}" for cell in row) for row in rows)]))
    return open_log(path, hints, answers)


def of_gear(log, name="Gear"):
    return next(match for match in log.matches if match.column == name)


def test_gears_written_as_they_are_stay_and_the_ratios_confirm_them(tmp_path):
    log = opened(tmp_path, np.where(STANDS, 0.0, GEAR))
    np.testing.assert_array_equal(log["gear"].values, np.where(STANDS, 0.0, GEAR))
    assert of_gear(log).reason == ("by its name; engine speed over road speed follows the car's ratios in 4 gears")
    assert not of_gear(log).remark


@pytest.mark.parametrize("offset", [-2, -1, 1, 2])
def test_gears_counted_from_another_start_are_moved_onto_the_ratios(offset, tmp_path):
    log = opened(tmp_path, np.where(STANDS, 0.0, GEAR) - offset)
    np.testing.assert_array_equal(log["gear"].values, np.where(STANDS, 0.0, GEAR))
    assert of_gear(log).remark == f"its readings are not the gears themselves: {offset:+d} was added to each"


def test_the_coding_is_told_although_the_speed_is_in_another_unit_than_written(tmp_path):
    log = opened(tmp_path, GEAR - 1.0, speed_scale=3600.0 / 1609.344)
    np.testing.assert_array_equal(log["gear"].values, GEAR)
    assert [match.column for match in log.questions] == ["Speed (km/h)"]


@pytest.mark.parametrize("code", [15.0, 13.0, 7.0, -128.0])
def test_a_reading_that_comes_only_while_the_car_stands_is_neutral(code, tmp_path):
    log = opened(tmp_path, np.where(STANDS, code, GEAR))
    np.testing.assert_array_equal(log["gear"].values, np.where(STANDS, 0.0, GEAR))
    assert of_gear(log).remark == f"{code:g} comes only while the car stands: taken as neutral"


def test_a_reading_of_no_gear_while_the_car_drives_is_left_out(tmp_path):
    shifting = np.diff(GEAR, prepend=GEAR[0]) != 0
    log = opened(tmp_path, np.where(shifting, 14.0, GEAR))
    assert np.isnan(log["gear"].values[shifting]).all()
    np.testing.assert_array_equal(log["gear"].values[~shifting], GEAR[~shifting])
    assert of_gear(log).remark == "14 is no gear of the car: those rows were left out"


def test_what_lies_between_two_gears_is_left_out(tmp_path):
    # A logger that interpolates writes 1.5 on the way from 1 to 2.
    between = GEAR.copy()
    shifts = np.flatnonzero(np.diff(GEAR))
    between[shifts] += 0.5
    log = opened(tmp_path, between)
    assert np.isnan(log["gear"].values[shifts]).all()
    assert np.isfinite(log["gear"].values).sum() == GEAR.size - shifts.size


def test_the_position_of_the_selector_is_asked_about_and_the_answer_holds(tmp_path):
    log = opened(tmp_path, np.where(STANDS, 0.0, 4.0))
    assert of_gear(log).question == (
        "it reads 4 through several gears: is it the position of the selector, not the gear?"
    )
    assert of_gear(log).choices == ("gear", "-")
    assert "gear" not in log
    assert not opened(tmp_path, np.where(STANDS, 0.0, 4.0), answers={"Gear": "-"}).questions
    assert "gear" in opened(tmp_path, np.where(STANDS, 0.0, 4.0), answers={"Gear": "gear"})


def test_a_column_that_reads_other_things_than_gears_is_asked_about(tmp_path):
    log = opened(tmp_path, 10.0 * VALUES["vehicle_speed_mps"])
    assert of_gear(log).question.startswith("readings of 0 to ")
    assert of_gear(log).question.endswith(" are not gears up to 5: is it the gear engaged?")


def test_without_the_ratios_a_nought_that_drives_is_the_first_gear(tmp_path):
    log = opened(tmp_path, GEAR - 1.0, hints=LogHints())
    np.testing.assert_array_equal(log["gear"].values, GEAR)
    assert of_gear(log).remark == "its readings are not the gears themselves: +1 was added to each"


def test_without_the_ratios_a_car_that_moves_off_in_two_is_asked_about(tmp_path):
    log = opened(tmp_path, np.where(STANDS, 0.0, GEAR + 1.0), hints=LogHints())
    assert of_gear(log).question == (
        "the car moves off in 2 and no lower gear is ever read: is that its first gear, counted too high? With the "
        "car file its ratios tell"
    )
    assert "gear" not in log
    assert "gear" in opened(tmp_path, GEAR + 1.0, hints=LogHints(), answers={"Gear": "gear"})


def test_without_the_ratios_a_log_that_begins_in_second_gear_is_taken_as_it_is(tmp_path):
    # From the second gear on and never at rest: as a roll into a pull is logged.
    rolls = GEAR > 1
    path = tmp_path / "log.csv"
    columns = zip(
        TIME_S[rolls], VALUES["engine_rpm"][rolls], 3.6 * VALUES["vehicle_speed_mps"][rolls], GEAR[rolls], strict=True
    )
    path.write_text(
        "\n".join(["Time (s),RPM,Speed (km/h),Gear", *(",".join(f"{c:.4f}" for c in row) for row in columns)])
    )
    np.testing.assert_array_equal(open_log(path, LogHints())["gear"].values, GEAR[rolls])


def test_the_gear_to_come_is_coded_like_the_gear(tmp_path):
    log = opened(tmp_path, GEAR + 1.0, name="Target Gear")
    np.testing.assert_array_equal(log["target_gear"].values, GEAR)


def test_wheels_that_spin_in_the_low_gears_do_not_move_the_coding(tmp_path):
    # A third more rpm per road speed in first and a fifth in second, each fading out: as a slipping launch has.
    fade = np.clip(1.0 - (TIME_S - 8.0) / 4.0, 0.0, 1.0)
    spun = {**VALUES, "engine_rpm": VALUES["engine_rpm"] * (1.0 + 0.35 * fade * (TIME_S >= 8.0))}
    columns = zip(TIME_S, spun["engine_rpm"], 3.6 * VALUES["vehicle_speed_mps"], GEAR, strict=True)
    path = tmp_path / "log.csv"
    path.write_text(
        "\n".join(["Time (s),RPM,Speed (km/h),Gear", *(",".join(f"{c:.4f}" for c in row) for row in columns)])
    )
    np.testing.assert_array_equal(open_log(path, HINTS)["gear"].values, GEAR)
