"""What a header states is believed only as far as the values allow: scales, units, and what an engine at rest shows."""

import numpy as np
import pytest
from tests.log.pull import BAROMETER_KPA, HINTS, pull

from nextpass.log import open_log

VALUES = pull()


def opened(tmp_path, columns, answers=None):
    every = {"Time (s)": VALUES["time_s"], "TPS (%)": 100.0 * VALUES["throttle"], **columns}
    every.setdefault("RPM", VALUES["engine_rpm"])
    rows = zip(*every.values(), strict=True)
    path = tmp_path / "log.csv"
    path.write_text("\n".join([",".join(every), *(",".join(f"{cell:.5f}" for cell in row) for row in rows)]))
    return open_log(path, HINTS, answers)


def only(log, column):
    return next(match for match in log.matches if match.column == column)


@pytest.mark.parametrize(
    ("header", "scale"), [("AFR (14.7)", 14.7), ("AFR [9.8]", 9.8), ("Wideband AFR (14.70)", 14.7)]
)
def test_a_scale_in_brackets_is_the_scale(header, scale, tmp_path):
    log = opened(tmp_path, {header: scale * VALUES["lambda_bank1"]})
    np.testing.assert_allclose(log["lambda_bank1"].values, VALUES["lambda_bank1"], atol=1e-5)


def test_a_written_scale_on_which_the_idle_is_far_from_lambda_1_is_asked_about(tmp_path):
    log = opened(tmp_path, {"AFR (14.7)": 9.8 * VALUES["lambda_bank1"]})
    match = only(log, "AFR (14.7)")
    assert match.question == "AFR@14.7 is written, but its 9.802 at idle is lambda 1 on the scale of 9.8"
    assert match.choices == ("lambda_bank1:afr@9.8", "lambda_bank1:afr@14.7")
    log = opened(tmp_path, {"AFR (14.7)": 9.8 * VALUES["lambda_bank1"]}, {"AFR (14.7)": match.choices[0]})
    np.testing.assert_allclose(log["lambda_bank1"].values, VALUES["lambda_bank1"], atol=1e-5)


def test_a_rich_idle_does_not_question_the_written_scale(tmp_path):
    # A camshaft that idles at lambda 0.93 is no other scale.
    assert not opened(tmp_path, {"AFR (14.7)": 14.7 * 0.93 * VALUES["lambda_bank1"]}).questions


def test_a_gauge_pressure_without_the_vacuum_of_an_idle_is_of_another_unit(tmp_path):
    psi = (VALUES["manifold_pressure_kpa"] - BAROMETER_KPA) / 6.894757293
    match = only(opened(tmp_path, {"MAP (kPa)": psi}), "MAP (kPa)")
    assert match.question == (
        "it reads -8.927 kPa gauge at idle, less vacuum than a throttled engine pulls: is it another unit?"
    )
    assert match.choices == (
        "manifold_pressure_kpa:psi gauge",
        "manifold_pressure_kpa:inHg gauge",
        "manifold_pressure_kpa:kPa gauge",
    )
    log = opened(tmp_path, {"MAP (kPa)": psi}, {"MAP (kPa)": match.choices[0]})
    np.testing.assert_allclose(log["manifold_pressure_kpa"].values, VALUES["manifold_pressure_kpa"], atol=1e-3)


def test_a_share_that_ends_at_255_is_not_taken_for_a_sign_of_no_value(tmp_path):
    log = opened(tmp_path, {"TPS (%)": 255.0 * VALUES["throttle"]})
    assert only(log, "TPS (%)").question == "% is written, but readings of 0 to 255 are not possible in it"


def test_counts_of_a_byte_are_asked_about_although_the_pull_is_a_hundredth_of_the_log(tmp_path):
    # The idle of the pull, twenty-five minutes long, before it: 12 s of 1526 at full throttle are under 1 %.
    step_s, idle = VALUES["time_s"][1], VALUES["time_s"] < 8.0
    times = 1500.0 / 8.0
    rows = np.concatenate([np.tile(np.flatnonzero(idle), int(times)), np.arange(VALUES["time_s"].size)])
    columns = {
        "Time (s)": np.arange(rows.size) * step_s,
        "RPM": VALUES["engine_rpm"][rows],
        "TPS (%)": 255.0 * VALUES["throttle"][rows],
    }
    assert np.mean(columns["TPS (%)"] > 100.0) < 0.01
    match = only(opened(tmp_path, columns), "TPS (%)")
    assert match.question == "% is written, but readings of 0 to 255 are not possible in it"
    assert match.choices == ("throttle:%", "-")


def test_an_engine_at_rest_is_read_and_its_pressures_show_what_they_count_from(tmp_path):
    still = np.zeros(VALUES["time_s"].size)
    columns = {"RPM": still, "MAP (kPa)": still + BAROMETER_KPA, "Charge Pressure (bar)": still, "TPS (%)": still}
    log = opened(tmp_path, columns)
    assert not log.questions
    assert (log["engine_rpm"].values == 0.0).all()
    assert only(log, "MAP (kPa)").unit == "kPa absolute"
    assert only(log, "Charge Pressure (bar)").unit == "bar gauge"
    np.testing.assert_allclose(log["charge_pressure_kpa"].values, BAROMETER_KPA)
    # Nothing moves at rest: that is no fault of a sensor.
    assert not any("stuck" in remark for remark in log.quality.remarks)
