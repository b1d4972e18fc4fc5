"""Logs that do not hold the whole pass: what they support is kept, with its ±; the rest is absent with a reason."""

from dataclasses import replace

import numpy as np
import pytest

from nextpass.measure import Absent, Estimate
from nextpass.review import find_attempts, read_window, review_attempt, review_pass, try_timeslip, window_time


def _without(log, start_s, end_s):
    """The log with no row between two times, counted from its first movement at 6 s."""
    channels = {}
    for name in log.channels:
        channel = log[name]
        keep = (channel.time_s < 6.0 + start_s) | (channel.time_s > 6.0 + end_s)
        channels[name] = replace(channel, time_s=channel.time_s[keep], values=channel.values[keep])
    return replace(log, channels=channels)


def _clocks(slip):
    return {name: getattr(slip, name) for name in ("t60ft_s", "t330ft_s", "t660ft_s", "t1000ft_s", "et_s", "trap_mps")}


def _is_held(found, true):
    """Whether a clock is absent with a reason, or lies within twice its ± of the true one (97 % of the time)."""
    if isinstance(found, Absent):
        return bool(found.reason)
    return abs(found.value - true.value) <= 2.0 * found.plus_minus


# Over a second without rows: in the launch, in the middle, over the finish (the clean pass takes 11.9 s).
DROPOUTS = {
    "in the launch": (0.2, 1.5),
    "before it moves": (-0.8, 0.6),
    "in the middle": (5.0, 6.6),
    "at the finish": (11.2, 12.6),
}


@pytest.mark.parametrize(("start_s", "end_s"), DROPOUTS.values(), ids=DROPOUTS)
def test_a_dropout_widens_the_clocks_or_takes_them_away(car, record, whole_log, start_s, end_s):
    log = whole_log(car)
    whole = _clocks(review_pass(car, record, log).timeslip)
    torn = review_pass(car, record, _without(log, start_s, end_s))
    assert all(_is_held(found, whole[name]) for name, found in _clocks(torn.timeslip).items())
    assert "log-gap" in {finding.code for finding in torn.findings}
    after = [name for name, clock in whole.items() if name.endswith("_s") and clock.value > start_s]
    for name in after:
        found = getattr(torn.timeslip, name)
        assert isinstance(found, Absent) or found.plus_minus > whole[name].plus_minus


def test_clocks_before_a_dropout_stay_as_sharp_as_they_were(car, record, whole_log):
    log = whole_log(car)
    whole, torn = (review_pass(car, record, one).timeslip for one in (log, _without(log, 9.0, 10.5)))
    assert torn.t60ft_s.plus_minus == pytest.approx(whole.t60ft_s.plus_minus, abs=0.01)
    assert torn.t60ft_s.value == pytest.approx(whole.t60ft_s.value, abs=whole.t60ft_s.plus_minus)


@pytest.mark.parametrize("begins_s", [0.3, 1.5, 4.0])
def test_a_recording_begun_late_has_no_clocks_from_standstill(car, record, whole_log, begins_s):
    slip = review_pass(car, record, _without(whole_log(car), -99.0, begins_s)).timeslip
    for name in ("t60ft_s", "t330ft_s", "et_s", "trap_mps", "t0_100kmh_s"):
        assert getattr(slip, name) == Absent(reason="the log does not show the car leaving from rest"), name


def test_a_recording_begun_late_keeps_the_windows_between_speeds(car, record, whole_log):
    log = whole_log(car)
    window = read_window("80-150 km/h")
    whole, late = (
        window_time(review_pass(car, record, one).ground_speed, window).time_s
        for one in (log, _without(log, -99.0, 1.5))
    )
    assert late.value == pytest.approx(whole.value, abs=late.plus_minus + whole.plus_minus)


@pytest.mark.parametrize(("ends_s", "reached"), [(9.0, "t660ft_s"), (6.0, "t330ft_s"), (3.0, "t60ft_s")])
def test_a_log_that_ends_before_the_finish_keeps_what_it_reached(car, record, whole_log, ends_s, reached):
    log = whole_log(car)
    whole, torn = (review_pass(car, record, one).timeslip for one in (log, _without(log, ends_s, 99.0)))
    kept, known = getattr(torn, reached), getattr(whole, reached)
    assert known.value < ends_s
    assert kept.value == pytest.approx(known.value, abs=kept.plus_minus + known.plus_minus)
    for name in ("et_s", "trap_mps"):
        assert getattr(torn, name).reason.startswith("the car was tracked for ")


def _after(first, second, gap_s):
    """One log out of two, the second begun so long after the first ended."""
    channels = {}
    for name in first.channels:
        early, late = first[name], second[name]
        shift_s = early.time_s[-1] + gap_s - late.time_s[0]
        channels[name] = replace(
            early,
            time_s=np.concatenate([early.time_s, late.time_s + shift_s]),
            values=np.concatenate([early.values, late.values]),
        )
    return replace(first, channels=channels), shift_s


def _brought_to_rest(log):
    """The log with a stop at its end, as it takes to drive back to the line."""
    channels = {}
    for name in log.channels:
        channel = log[name]
        time_s = np.concatenate([channel.time_s, channel.time_s[-1] + np.arange(0.02, 12.0, 0.02)])
        slowing = name.startswith("wheel_speed")
        tail = np.linspace(channel.values[-1], 0.0, time_s.size - channel.time_s.size)
        ends = (
            np.where(np.arange(tail.size) < 0.8 * tail.size, tail / 0.8 - channel.values[-1] / 4.0, 0.0)
            if slowing
            else None
        )
        held = np.full(tail.size, channel.values[-1])
        channels[name] = replace(
            channel, time_s=time_s, values=np.concatenate([channel.values, np.maximum(ends, 0.0) if slowing else held])
        )
    return replace(log, channels=channels)


def test_each_of_two_passes_in_one_log_has_its_own_clocks(car, record, whole_log):
    alone = whole_log(car)
    joined, shift_s = _after(_brought_to_rest(alone), alone, 1.0)
    attempts = find_attempts(joined)
    assert [attempt.leaves_s for attempt in attempts] == pytest.approx([6.0, 6.0 + shift_s], abs=0.2)
    expected = review_pass(car, record, alone).timeslip
    for attempt in attempts:
        slip = try_timeslip(car, record, joined, attempt)
        assert slip == review_attempt(car, record, joined, attempt).timeslip
        for name, clock in _clocks(expected).items():
            assert abs(getattr(slip, name).value - clock.value) <= getattr(slip, name).plus_minus + clock.plus_minus, (
                name
            )


def test_the_review_of_a_log_with_two_passes_is_that_of_the_one_that_went_further(car, record, whole_log):
    def lifts_at_four(channels, since):
        for name in ("pedal", "throttle"):
            channels[name] = np.where(since > 4.0, 0.0, channels[name])

    joined, shift_s = _after(_brought_to_rest(whole_log(car, lifts_at_four)), whole_log(car), 1.0)
    review = review_pass(car, record, joined)
    assert review.ground_speed.moved_s == pytest.approx(6.0 + shift_s, abs=0.2)
    assert isinstance(review.timeslip.et_s, Estimate)


def test_a_pass_that_was_lifted_and_braked_keeps_its_early_clocks_and_has_no_finish(car, record, motion_log):
    # 5 m/s2 for 6 s (90 m), then braked at 6 m/s2: 75 m more, so that 660 ft are never reached.
    log = motion_log(lambda t: 5.0 * t, lambda t: np.full_like(t, 5.0), lasts_s=6.0, coast_mps2=-6.0)
    slip = review_pass(car, record, log).timeslip
    assert slip.t60ft_s.value == pytest.approx(np.sqrt(2 * 18.288 / 5) - np.sqrt(2 * 0.3048 / 5), abs=0.01)
    for name in ("t660ft_s", "t1000ft_s", "et_s", "trap_mps", "v660ft_mps"):
        assert getattr(slip, name).reason.startswith("the car was tracked for "), name


def test_a_pass_that_was_lifted_early_is_not_blamed_for_its_lift(car, record, whole_log):
    def gives_up(channels, since):
        for name in ("pedal", "throttle"):
            channels[name] = np.where(since > 2.5, 0.0, channels[name])

    found = review_pass(car, record, whole_log(car, gives_up)).findings
    assert "early-lift" not in {finding.code for finding in found}
