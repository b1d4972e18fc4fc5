"""Ground speed and clocks against closed forms (physics: constant acceleration, traction then constant power)."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from nextpass.measure import Absent, Estimate
from nextpass.review import find_attempts, review_pass

# Constant 5 m/s2: t(d) = sqrt(2 d/5), minus the rollout's 0.34917 s; trap = 66 ft over the time between its beams.
FIVE = {
    "t60ft_s": np.sqrt(2 * 18.288 / 5) - np.sqrt(2 * 0.3048 / 5),
    "t330ft_s": np.sqrt(2 * 100.584 / 5) - np.sqrt(2 * 0.3048 / 5),
    "et_s": np.sqrt(2 * 402.336 / 5) - np.sqrt(2 * 0.3048 / 5),
    "t0_100kmh_s": 100 / 3.6 / 5,
    "t100_200kmh_s": 100 / 3.6 / 5,
    "trap_mps": 20.1168 / (np.sqrt(2 * 402.336 / 5) - np.sqrt(2 * 382.2192 / 5)),
}
# 8 m/s2, then 300 kW on 1700 kg: convention A of the strip, computed with scipy's solve_ivp.
POWER = {
    "t60ft_s": 1.86218,
    "t330ft_s": 4.83876,
    "t660ft_s": 7.25292,
    "t1000ft_s": 9.31327,
    "et_s": 11.03755,
    "trap_mps": 58.7016,
}
TURNS_S = 300e3 / 1700 / 8.0 / 8.0  # where 8 m/s2 takes all of 300 kW


def _powered_speed(t):
    v1 = 8.0 * TURNS_S
    return np.where(t < TURNS_S, 8.0 * t, np.sqrt(v1**2 + 2 * 300e3 / 1700 * np.maximum(t - TURNS_S, 0.0)))


def _powered_pull(t):
    return np.where(t < TURNS_S, 8.0, 300e3 / 1700 / _powered_speed(t))


@pytest.mark.parametrize(("name", "expected"), FIVE.items())
def test_constant_acceleration_is_read_to_the_sampling(car, record, motion_log, name, expected):
    log = motion_log(lambda t: 5.0 * t, lambda t: np.full_like(t, 5.0))
    found = getattr(review_pass(car, record, log).timeslip, name)
    # The start lies between two samples of 10 ms: 3 ms of standard deviation, and no more is allowed to be lost. First
    # movement itself, which no sensor shows, is placed within one of the filter's own steps of 20 ms.
    assert found.value == pytest.approx(expected, abs=0.02 if name == "t0_100kmh_s" else 0.006, rel=1.5e-3)
    assert abs(found.value - expected) <= max(found.plus_minus, 0.006)


@pytest.mark.parametrize(("name", "expected"), POWER.items())
def test_traction_then_constant_power_is_read_to_the_sampling(car, record, motion_log, name, expected):
    log = motion_log(_powered_speed, _powered_pull, lasts_s=13.0)
    found = getattr(review_pass(car, record, log).timeslip, name)
    assert found.value == pytest.approx(expected, abs=0.008, rel=1e-3)
    assert abs(found.value - expected) <= max(found.plus_minus, 0.003)


def test_a_pass_cut_short_keeps_what_it_reached(car, record, motion_log):
    log = motion_log(lambda t: 5.0 * t, lambda t: np.full_like(t, 5.0), lasts_s=5.0, coast_mps2=-4.0)
    slip = review_pass(car, record, log).timeslip
    assert isinstance(slip.t60ft_s, Estimate)
    assert isinstance(slip.et_s, Absent)
    assert slip.et_s.reason.startswith("the car was tracked for ")


def test_a_log_without_speed_says_so(car, record, log_of):
    time_s = np.arange(0.0, 20.0, 0.05)
    review = review_pass(car, record, log_of({"engine_rpm": (time_s, np.full(time_s.size, 3000.0))}, 20.0))
    assert review.ground_speed is None
    assert review.missing == ("the log shows no try: no speed channel rises from rest to above 25 km/h",)


def test_each_try_of_a_long_log_is_found_and_a_return_drive_is_not(motion_log, log_of):
    one = motion_log(lambda t: 5.0 * t, lambda t: np.full_like(t, 5.0), lasts_s=8.0, coast_mps2=-3.0)
    slow = motion_log(lambda t: 1.0 * t, lambda t: np.full_like(t, 1.0), lasts_s=8.0, coast_mps2=-2.0)
    parts, offset = {}, 0.0
    for log, pedal in ((one, 1.0), (slow, 0.2), (one, 1.0)):
        for name in log.channels:
            channel = log[name]
            values = np.maximum(channel.values, 0.0) * (pedal if name == "pedal" else 1.0)
            values = channel.values if name.startswith("long") else values
            times, old = parts.setdefault(name, ([], []))
            times.append(channel.time_s + offset)
            old.append(values)
        offset += 30.0
    joined = log_of({name: (np.concatenate(t), np.concatenate(v)) for name, (t, v) in parts.items()}, 100.0)
    leaves = [attempt.leaves_s for attempt in find_attempts(joined)]
    assert leaves == pytest.approx([6.0, 66.0], abs=0.3)


CHANNELS = (
    "longitudinal_acceleration_mps2",
    "gps_speed_mps",
    "wheel_speed_fl_mps",
    "wheel_speed_fr_mps",
    "wheel_speed_rl_mps",
    "wheel_speed_rr_mps",
    "pedal",
    "throttle",
    "engine_rpm",
    "gear",
    "manifold_pressure_kpa",
    "lambda_bank1",
)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(gone=st.sets(st.sampled_from(CHANNELS)))
def test_any_set_of_channels_gives_an_answer_or_the_reason_why_not(car, record, whole_log, gone):
    log = whole_log(car)
    rest = replace(log, channels={name: log[name] for name in log.channels if name not in gone})
    review = review_pass(car, record, rest)
    if isinstance(review.timeslip.et_s, Absent):
        assert review.timeslip.et_s.reason
    else:
        assert review.timeslip.et_s.value == pytest.approx(11.9, abs=1.0)
        assert 0.0 < review.timeslip.et_s.plus_minus < 1.5


@settings(max_examples=5, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(shift_s=st.floats(-3.0, 500.0))
def test_the_logs_own_clock_does_not_matter(car, record, whole_log, shift_s):
    log = whole_log(car)
    moved = replace(
        log, channels={name: replace(log[name], time_s=log[name].time_s + shift_s) for name in log.channels}
    )
    here, there = (review_pass(car, record, one).timeslip for one in (log, moved))
    assert there.et_s.value == pytest.approx(here.et_s.value, abs=2e-3)
    assert there.t60ft_s.value == pytest.approx(here.t60ft_s.value, abs=2e-3)


def test_fewer_sensors_never_make_the_answer_surer(car, record, whole_log):
    log = whole_log(car)
    wheels = [name for name in log.channels if name.startswith("wheel_speed_f")]
    without = {name: log[name] for name in log.channels if name not in wheels and not name.startswith("long")}
    alone = review_pass(car, record, replace(log, channels=without)).timeslip.et_s
    assert alone.plus_minus > review_pass(car, record, log).timeslip.et_s.plus_minus
