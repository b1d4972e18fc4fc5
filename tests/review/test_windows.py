"""Windows that a user names, the strip's clocks against the log's, and clocks freed of slope and wind."""

import numpy as np
import pytest

from nextpass.car import StripClocks
from nextpass.errors import SettingError
from nextpass.measure import Absent
from nextpass.review import read_window, review_pass, window_time


def _five(motion_log, **more):
    return motion_log(lambda t: 5.0 * t, lambda t: np.full_like(t, 5.0), **more)


@pytest.mark.parametrize(
    ("text", "kind", "low", "high"),
    [
        ("80-120 km/h", "speed", 80 / 3.6, 120 / 3.6),
        ("0-150 m", "distance", 0.0, 150.0),
        ("60-130 mph", "speed", 60 * 0.44704, 130 * 0.44704),
        ("0 to 330 ft", "distance", 0.0, 100.584),
        ("12,5 – 20 m", "distance", 12.5, 20.0),
    ],
)
def test_a_window_is_read_as_people_write_it(text, kind, low, high):
    window = read_window(text)
    assert (window.kind, window.low, window.high) == (kind, pytest.approx(low), pytest.approx(high))


EXAMPLES = 'write it as "80-120 km/h", "60-130 mph", "0-150 m" or "0-330 ft"'


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("80-120", f'window: "80-120" has no unit; {EXAMPLES}'),
        ("fast", f'window: "fast" is not a window; {EXAMPLES}'),
        ("120-80 km/h", 'window: "120-80 km/h" does not rise; write the lower end first'),
        ("1-2 bar", f'window: "bar" in "1-2 bar" is no unit of speed or length; {EXAMPLES}'),
    ],
)
def test_what_is_no_window_is_refused(text, message):
    with pytest.raises(SettingError) as caught:
        read_window(text)
    assert str(caught.value) == message


# Constant 5 m/s2 from rest: t = v/5, t = sqrt(2 s/5).
@pytest.mark.parametrize(
    ("text", "with_rollout", "expected"),
    [
        ("80-120 km/h", False, 40 / 3.6 / 5),
        ("0-150 m", False, np.sqrt(2 * 150 / 5)),
        ("0-150 m", True, np.sqrt(2 * 150 / 5) - np.sqrt(2 * 0.3048 / 5)),
        ("100-200 m", False, np.sqrt(2 * 200 / 5) - np.sqrt(2 * 100 / 5)),
        ("0-100 km/h", True, 100 / 3.6 / 5 - np.sqrt(2 * 0.3048 / 5)),
    ],
)
def test_windows_of_constant_acceleration(car, record, motion_log, text, with_rollout, expected):
    motion = review_pass(car, record, _five(motion_log)).ground_speed
    found = window_time(motion, read_window(text), with_rollout).time_s
    # The first movement is placed within one of the filter's steps of 20 ms, the rest within the sampling.
    from_first_movement = text.startswith("0-") and not with_rollout
    assert found.value == pytest.approx(expected, abs=0.02 if from_first_movement else 0.012)


def test_a_window_beyond_the_pass_is_absent(car, record, motion_log):
    motion = review_pass(car, record, _five(motion_log, lasts_s=5.0)).ground_speed
    found = window_time(motion, read_window("100-200 km/h")).time_s
    assert found == Absent(reason="the car was tracked up to 90 km/h only")


def _strip_of(scale):
    """Clocks of constant 5 m/s2 with the road `scale` times as long as the wheels believe."""
    times = {name: np.sqrt(2 * d * scale / 5) - np.sqrt(2 * 0.3048 * scale / 5) for name, d in BEAMS.items()}
    return StripClocks(**{name: float(time) for name, time in times.items()})


BEAMS = {"t60ft_s": 18.288, "t330ft_s": 100.584, "t660ft_s": 201.168, "t1000ft_s": 304.8, "et_s": 402.336}


def test_strip_clocks_correct_wheels_that_read_high(car, record_of, motion_log):
    # Wheels and accelerometer alone, both 1 % high, so that only the strip can tell; the true pull is 5/1.01.
    log = _five(motion_log)
    channels = {name: log[name] for name in log.channels if name != "gps_speed_mps"}
    without_gps = type(log)(channels=channels, unmatched={}, marks=(), quality=log.quality)
    review = review_pass(car, record_of(clocks=_strip_of(1.01)), without_gps)
    at = np.interp(10.0, review.ground_speed.time_s - review.ground_speed.moved_s, review.ground_speed.speed_mps)
    assert at == pytest.approx(50.0 / 1.01, rel=2.5e-3)
    assert [clock.name for clock in review.strip] == list(BEAMS)
    assert all(clock.is_explained for clock in review.strip)


def test_a_timeslip_of_another_pass_is_not_believed(car, record_of, motion_log):
    review = review_pass(car, record_of(clocks=_strip_of(1.25)), _five(motion_log))
    assert any(not clock.is_explained for clock in review.strip)
    assert review.missing[-1].endswith("cannot be of one pass: the log was not calibrated by the timeslip")


def test_a_slope_is_taken_off_the_clocks(car, record_of, motion_log):
    # Uphill 1 %: the level car pulls g 0.01 m/m_eff more; m_eff has 4 x 1.5 kg m2 over 0.34 m squared on 1600 kg.
    review = review_pass(car, record_of(slope=0.01), _five(motion_log))
    pull = 5.0 + 9.80665 * 0.01 * 1600.0 / (1600.0 + 6.0 / 0.34**2)
    expected = np.sqrt(2 * 402.336 / pull) - np.sqrt(2 * 0.3048 / pull)
    assert review.corrected.et_s.value == pytest.approx(expected, abs=0.015)
    assert review.corrected.et_s.plus_minus > review.timeslip.et_s.plus_minus


def test_a_level_still_day_needs_no_correction(car, record, motion_log):
    assert review_pass(car, record, _five(motion_log)).corrected is None
