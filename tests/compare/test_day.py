"""What the day added is taken out, and what is not known about it stays in."""

from dataclasses import replace

import numpy as np
import pytest

from nextpass.compare.day import CLOCKS, between, day_effect, day_numbers, mean_conditions, one_clock
from nextpass.fit import fit_car


def records(make, *days, **given):
    return [make(i, conditions=day, minutes=20.0 * i, **given).record for i, day in enumerate(days)]


def test_like_air_adds_nothing(make, unfitted):
    evening = make(1).record.conditions
    effect = day_effect(unfitted, records(make, evening, evening), (0, 1))
    assert np.abs(effect.taken_out(one_clock("et_s"))).max() < 1e-9


def test_heat_headwind_and_a_climb_cost_time_and_are_to_be_taken_off(make, unfitted):
    evening = make(1).record.conditions
    for worse in ({"air_temperature_c": 33.0}, {"headwind_mps": 4.0}, {"slope": 0.005}):
        effect = day_effect(unfitted, records(make, evening, replace(evening, **worse)), (0,))
        added = effect.taken_out(one_clock("et_s"))
        assert added[1] - added[0] > 0.02


def test_a_stretch_adds_what_its_beams_add(make, unfitted):
    evening = make(1).record.conditions
    effect = day_effect(unfitted, records(make, evening, replace(evening, headwind_mps=4.0)), (0,))
    parts = [(0.3048, 18.288), (18.288, 100.584), (100.584, 201.168), (201.168, 304.8), (304.8, 402.336)]
    whole = effect.taken_out(one_clock("et_s"))
    assert sum(effect.taken_out(between(*part)) for part in parts) == pytest.approx(whole, abs=1e-12)


def test_half_of_a_correction_is_in_doubt(make, unfitted):
    evening = make(1).record.conditions
    effect = day_effect(unfitted, records(make, evening, replace(evening, headwind_mps=4.0)), (0, 1))
    contrast = np.array([-1.0, 1.0])
    weights = one_clock("et_s")
    sd = float(np.sqrt(contrast @ effect.covariance(weights) @ contrast))
    assert 0.5 <= sd / float(contrast @ effect.taken_out(weights)) < 0.8


def test_the_grip_of_a_day_that_the_fit_has_not_seen_is_not_known(make, car):
    both = [make(1), make(2, minutes=60.0 * 24 * 9)]
    fitted = fit_car(car, both[:1])
    weights, contrast = one_clock("et_s"), np.array([-1.0, 1.0])
    apart = day_effect(fitted, [one.record for one in both], (0,))
    together = day_effect(fitted, [both[0].record, make(2).record], (0,))
    assert together.grip_sd(weights, contrast) == 0.0
    # A start that grip alone decides would lose 2 % of its time to 4 % of grip, 36 ms; this one hardly spins.
    assert 0.001 < apart.grip_sd(weights, contrast) < 0.04


def test_days_are_told_by_date_and_strip_and_a_pass_without_a_date_belongs_to_the_one_before(make):
    tomorrow = 60.0 * 24
    passes = [make(1), make(2), make(3, minutes=tomorrow), make(4, minutes=tomorrow, strip="Linton")]
    undated = replace(make(5).record, started=None, strip="Linton")
    assert day_numbers([*(one.record for one in passes), undated]) == [0, 0, 1, 2, 2]


def test_the_reference_is_the_mean_of_all_passes(make):
    evening = make(1).record.conditions
    middle = mean_conditions([evening, replace(evening, air_temperature_c=28.0, altitude_m=300.0)])
    assert middle.air_temperature_c == pytest.approx(23.0)
    assert middle.altitude_m is None


def test_weights_ask_for_one_clock():
    assert one_clock("et_s") @ np.arange(len(CLOCKS)) == CLOCKS.index("et_s")


def test_what_drifts_in_an_afternoon_blurs_groups_run_one_after_the_other_and_hardly_alternating_ones(make, unfitted):
    # Six passes twenty minutes apart: the means of three and three are an hour apart, of alternating ones a third.
    effect = day_effect(unfitted, records(make, *[make(1).record.conditions] * 6), ())
    covariance = effect.covariance(one_clock("et_s"))
    in_turn, alternating = np.repeat([-1.0, 1.0], 3) / 3.0, np.tile([-1.0, 1.0], 3) / 3.0
    # 0.03 s an hour, common practice.
    assert np.sqrt(in_turn @ covariance @ in_turn) == pytest.approx(0.03, abs=1e-6)
    assert np.sqrt(alternating @ covariance @ alternating) == pytest.approx(0.01, abs=1e-6)
