"""Front and rear wheels that are exchanged are told under power, where one axle is undriven."""

from dataclasses import replace

import numpy as np
import pytest
from tests.log.pull import HINTS, pull

from nextpass.log import open_log

VALUES = pull()
TIME_S, SPEED = VALUES["time_s"], VALUES["vehicle_speed_mps"]
PULLS = VALUES["throttle"] > 0.5
# A driven axle that slips 4 % in the pull, as drag tyres do (common practice); the other one goes with the road.
DRIVEN, FREE = SPEED * (1.0 + 0.04 * PULLS), SPEED
REAR_DRIVE, FRONT_DRIVE = replace(HINTS, front_drive_share=0.0), replace(HINTS, front_drive_share=1.0)
NAMES = ("Wheel FL (km/h)", "Wheel FR (km/h)", "Wheel RL (km/h)", "Wheel RR (km/h)")
WHEELS = {"wheel_speed_fl_mps", "wheel_speed_fr_mps", "wheel_speed_rl_mps", "wheel_speed_rr_mps"}


def opened(tmp_path, front, rear, hints, answers=None):
    columns = {
        "Time (s)": TIME_S,
        "RPM": VALUES["engine_rpm"],
        "TPS (%)": 100.0 * VALUES["throttle"],
        **dict(zip(NAMES, (3.6 * front, 3.6 * front, 3.6 * rear, 3.6 * rear), strict=True)),
    }
    rows = zip(*columns.values(), strict=True)
    path = tmp_path / "log.csv"
    path.write_text("\n".join([",".join(columns), *(",".join(f"{cell:.4f}" for cell in row) for row in rows)]))
    return open_log(path, hints, answers)


@pytest.mark.parametrize(
    ("front", "rear", "hints"), [(FREE, DRIVEN, REAR_DRIVE), (DRIVEN, FREE, FRONT_DRIVE)], ids=["rear", "front"]
)
def test_wheels_under_their_own_names_raise_no_question(front, rear, hints, tmp_path):
    log = opened(tmp_path, front, rear, hints)
    assert log.questions == ()
    assert set(log.channels) >= WHEELS


@pytest.mark.parametrize(
    ("front", "rear", "hints", "ahead", "driven"),
    [(DRIVEN, FREE, REAR_DRIVE, "front", "rear"), (FREE, DRIVEN, FRONT_DRIVE, "rear", "front")],
    ids=["rear", "front"],
)
def test_exchanged_axles_are_asked_about(front, rear, hints, ahead, driven, tmp_path):
    log = opened(tmp_path, front, rear, hints)
    assert [match.column for match in log.questions] == list(NAMES)
    assert log.questions[0].question == (
        f"under power the {ahead} wheels run ahead, and the car file drives the {driven} ones: are front and rear "
        "exchanged in this log?"
    )
    assert log.questions[0].choices == ("wheel_speed_rl_mps:km/h", "wheel_speed_fl_mps:km/h", "-")
    assert not WHEELS & set(log.channels)


def test_the_answer_exchanges_them_and_is_not_asked_again(tmp_path):
    ends = ("rl", "rr", "fl", "fr")
    answers = {name: f"wheel_speed_{end}_mps:km/h" for name, end in zip(NAMES, ends, strict=True)}
    log = opened(tmp_path, DRIVEN, FREE, REAR_DRIVE, answers)
    assert log.questions == ()
    assert log["wheel_speed_rl_mps"].values.max() == pytest.approx(DRIVEN.max(), abs=1e-3)  # as the file rounds


@pytest.mark.parametrize("hints", [HINTS, replace(HINTS, front_drive_share=0.4)], ids=["no car", "four driven wheels"])
def test_without_an_undriven_axle_nothing_is_told(hints, tmp_path):
    assert opened(tmp_path, DRIVEN, FREE, hints).questions == ()


@pytest.mark.parametrize("size", [0.9, 1.1])
def test_tyres_of_another_size_are_no_slip(size, tmp_path):
    assert opened(tmp_path, FREE, DRIVEN * size, REAR_DRIVE).questions == ()


def test_a_log_of_the_pull_alone_tells_nothing(tmp_path):
    # Without a stretch in which little pulls, slip and tyre size look the same.
    part = np.logical_and(TIME_S >= 8.0, TIME_S <= 14.0)
    rows = zip(TIME_S[part], *(3.6 * wheel[part] for wheel in (DRIVEN, DRIVEN, FREE, FREE)), strict=True)
    path = tmp_path / "log.csv"
    path.write_text(
        "\n".join([",".join(("Time (s)", *NAMES)), *(",".join(f"{cell:.4f}" for cell in row) for row in rows)])
    )
    assert open_log(path, REAR_DRIVE).questions == ()
