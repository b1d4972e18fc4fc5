"""Phases and gears of a pass whose shifts are known, with and without a gear channel."""

from dataclasses import replace
from itertools import pairwise

import pytest

from nextpass.review import gear_trace, review_pass


def _without(log, *names):
    return replace(log, channels={name: log[name] for name in log.channels if name not in names})


def test_phases_follow_each_other_without_gaps(car, record, whole_log):
    phases = review_pass(car, record, whole_log(car)).phases
    assert phases[0].kind == "staged"
    assert phases[-1].kind == "coast"
    for before, after in pairwise(phases):
        assert after.start_s == pytest.approx(before.end_s)


def test_every_gear_and_shift_is_there(car, record, whole_log):
    phases = review_pass(car, record, whole_log(car)).phases
    assert [phase.gear for phase in phases if phase.kind == "gear"] == [1, 2, 3, 4, 5]
    shifts = [phase for phase in phases if phase.kind == "shift"]
    assert [phase.gear for phase in shifts] == [1, 2, 3, 4]
    # The log was made with shifts of 0.1 s; each end lies between two rows of 20 ms.
    assert [phase.end_s - phase.start_s for phase in shifts] == pytest.approx([0.1] * 4, abs=0.045)


def test_gears_are_found_from_engine_and_wheels_alone(car, record, whole_log):
    log = whole_log(car)
    named = review_pass(car, record, log)
    alone = review_pass(car, record, _without(log, "gear"))
    gears = [(p.gear, p.start_s) for p in named.phases if p.kind == "gear"]
    found = [(p.gear, p.start_s) for p in alone.phases if p.kind == "gear"]
    assert [gear for gear, _ in found] == [gear for gear, _ in gears]
    assert [start for _, start in found[1:]] == pytest.approx([start for _, start in gears[1:]], abs=0.13)


def test_clutch_slip_is_engine_over_the_gear(car, record, whole_log):
    log = whole_log(car)
    motion = review_pass(car, record, log).ground_speed
    trace = gear_trace(car, log, motion)
    standing = trace.time_s < motion.moved_s - 0.1
    assert trace.clutch_slip_rpm[standing] == pytest.approx(trace.engine_rpm[standing])
    assert not trace.is_locked[standing].any()


def test_the_lift_ends_the_pull(car, record, whole_log):
    review = review_pass(car, record, whole_log(car))
    lift = next(phase for phase in review.phases if phase.kind == "lift")
    # The log was made with the lift at 410 m.
    at_m = float(review.ground_speed.distance_m[review.ground_speed.time_s.searchsorted(lift.start_s)])
    assert at_m == pytest.approx(410.0, abs=4.0)
