"""How errors that a whole try shares reach each clock, against closed forms of constant acceleration."""

import numpy as np
import pytest

from nextpass.measure import Absent
from nextpass.review.speed import GroundSpeed, SharedError
from nextpass.review.timeslip import beam_time, distance_window, speed_window, trap_speed

HALF_WIDTH = 1.645  # of a 90 % interval, in standard deviations
PULL_MPS2, SCALE_SD = 5.0, 0.01
BEAM_M, BEAM_MPS = 402.336, np.sqrt(2.0 * PULL_MPS2 * 402.336)


def _motion(speed_mps, acceleration_mps2, time_s, speed_error, distance_error):
    """A try whose only doubt is one error that all of it shares."""
    distance_m = np.concatenate([[0.0], np.cumsum(0.5 * (speed_mps[1:] + speed_mps[:-1]) * np.diff(time_s))])
    return GroundSpeed(
        time_s=time_s,
        speed_mps=speed_mps,
        distance_m=distance_m,
        acceleration_mps2=acceleration_mps2,
        speed_sd_mps=np.abs(speed_error),
        distance_sd_m=np.abs(distance_error),
        speed_distance_covariance_m2ps=speed_error * distance_error,
        shared_errors=(SharedError(speed_mps=speed_error, distance_m=distance_error),),
        moved_s=float(time_s[0]),
        moved_sd_s=0.0,
        rolling_radius_m=0.34,
        rolling_radius=Absent(reason="not asked"),
        wheel_scale={},
        sensors=("wheels",),
        from_rest=True,
        rollout_m=0.3048,
        rollout_variance_m2=float(np.interp(0.3048, distance_m, distance_error)) ** 2,
        rollout_covariance_m2=distance_error * float(np.interp(0.3048, distance_m, distance_error)),
    )


@pytest.fixture
def scaled():
    """Constant acceleration from rest, read by wheels whose radius is off by one part."""
    time_s = np.arange(0.0, 14.0, 0.01)
    speed = PULL_MPS2 * time_s
    distance = 0.5 * PULL_MPS2 * time_s**2
    return _motion(speed, np.full(time_s.size, PULL_MPS2), time_s, SCALE_SD * speed, SCALE_SD * distance)


# A road longer by e: t(d) = sqrt(2 d (1 + e) / a), so that times between places grow by e/2 of themselves. v at a place
# is sqrt(2 a d), which grows by e/2 too; times between speeds are (v2 - v1) (1 + e) / a.
CLOSED_FORMS = {
    "ET": (lambda m: beam_time(m, BEAM_M), 0.5 * (np.sqrt(2.0 * BEAM_M / 5.0) - np.sqrt(2.0 * 0.3048 / 5.0))),
    "trap": (lambda m: trap_speed(m, BEAM_M), 0.5 * BEAM_MPS),
    "80-120 km/h": (lambda m: speed_window(m, 80.0 / 3.6, 120.0 / 3.6), 40.0 / 3.6 / 5.0),
    "0-100 km/h": (lambda m: speed_window(m, 0.0, 100.0 / 3.6), 100.0 / 3.6 / 5.0),
    "100-200 m": (lambda m: distance_window(m, 100.0, 200.0), 0.5 * (np.sqrt(80.0) - np.sqrt(40.0))),
    "0-150 m": (lambda m: distance_window(m, 0.0, 150.0), 0.5 * np.sqrt(60.0)),
}


@pytest.mark.parametrize("name", CLOSED_FORMS)
def test_a_radius_that_is_off_moves_each_clock_by_its_closed_form(scaled, name):
    clock, for_each_part = CLOSED_FORMS[name]
    # The trap is a mean over 66 ft, taken at its middle in time: a part in a hundred of the ±.
    assert clock(scaled).plus_minus == pytest.approx(HALF_WIDTH * SCALE_SD * for_each_part, rel=0.03)


def test_a_speed_that_is_reached_in_a_shift_is_in_doubt_by_the_shift_and_no_more():
    # 5 m/s2, then 0.2 s of a hole in which speed hardly grows, then 5 m/s2 again; 20 m/s lies in the hole.
    time_s = np.arange(0.0, 8.0, 0.01)
    pull = np.where((time_s > 3.99) & (time_s < 4.19), 0.05, PULL_MPS2)
    speed = np.concatenate([[0.0], np.cumsum(0.5 * (pull[1:] + pull[:-1]) * np.diff(time_s))])
    error = np.full(time_s.size, 0.05)
    motion = _motion(speed, pull, time_s, error, error * time_s)
    in_hole = float(np.interp(4.1, time_s, speed))
    # One standard deviation of 0.05 m/s takes 0.01 s outside the hole, either way, and the hole lies between.
    assert speed_window(motion, 0.0, in_hole).plus_minus == pytest.approx(HALF_WIDTH * 0.5 * 0.22, abs=0.01)
