"""The effect of a change against Student's t, the normal theory and least squares of other libraries."""

import math

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats

from nextpass.compare import Usual, Verdict, effect_of, more_passes, usual_of, verdict_of
from nextpass.measure import Absent, Estimate

# The two sets of times of the statistics that the project was begun with.
FIRST = ([11.26, 11.31, 11.22, 11.29], [11.18, 11.21, 11.15])
SECOND = ([11.62, 11.58, 11.65, 11.60], [11.51, 11.55, 11.48])
NO_OPINION = Usual(scatter=1.0, weight=0.0, change=math.inf, matters=0.02)


def alone(first, second):
    return np.zeros((len(first) + len(second),) * 2)


@pytest.mark.parametrize(("before", "after"), [FIRST, SECOND, ([12.0, 12.3], [11.9, 12.5, 12.2])])
def test_without_prior_knowledge_it_is_students_t(before, after):
    effect = effect_of(before, after, alone(before, after), NO_OPINION)
    t = stats.ttest_ind(after, before)  # equal variances: one scatter for both groups
    low, high = t.confidence_interval(0.90)
    assert effect.change.value == pytest.approx(np.mean(after) - np.mean(before), abs=1e-6)
    # The grid over the scatter is the only difference.
    assert effect.change.plus_minus == pytest.approx(0.5 * (high - low), rel=2e-3)
    one_sided = t.pvalue / 2 if t.statistic > 0 else 1 - t.pvalue / 2
    assert effect.probability_lower == pytest.approx(one_sided, abs=5e-4)


def test_a_known_scatter_gives_the_normal_theory():
    # Worked with scipy 1.17: first less second 0.0991667, standard error 0.0229129, P(gain > 0) from z 4.32799.
    known = Usual(scatter=0.03, weight=1e7, change=math.inf, matters=0.02)
    effect = effect_of(*SECOND, alone(*SECOND), known)
    assert effect.change.value == pytest.approx(-0.0991667, abs=1e-6)
    assert effect.change.plus_minus == pytest.approx(1.644854 * 0.0229129, rel=2e-3)
    assert effect.probability_lower == pytest.approx(stats.norm.cdf(4.32799), abs=1e-6)


def test_what_passes_share_is_weighed_as_generalised_least_squares_do():
    before, after = SECOND
    rng = np.random.default_rng(3)
    root = rng.normal(0.0, 0.02, (7, 7))
    shared = root @ root.T
    known = Usual(scatter=0.03, weight=1e7, change=math.inf, matters=0.02)
    effect = effect_of(before, after, shared, known)
    design = sm.add_constant(np.repeat([0.0, 1.0], [4, 3]))
    fitted = sm.GLS([*before, *after], design, sigma=0.03**2 * np.eye(7) + shared).fit()
    assert effect.change.value == pytest.approx(fitted.params[1], abs=1e-6)
    assert effect.change.plus_minus == pytest.approx(1.644854 * fitted.normalized_cov_params[1, 1] ** 0.5, rel=2e-3)


def test_one_pass_each_says_nothing_without_a_scatter():
    assert effect_of([11.3], [11.2], np.zeros((2, 2)), NO_OPINION) == Absent(
        reason="one pass each shows no scatter to judge the difference by"
    )


def test_an_empty_group_has_no_mean():
    assert effect_of([], [11.2], np.zeros((1, 1)), usual_of("et_s")) == Absent(
        reason="a group without a pass has no mean"
    )


def test_one_pass_each_can_tell_a_great_difference_and_not_a_small_one():
    usual = usual_of("et_s")
    small = effect_of([11.90], [11.85], np.zeros((2, 2)), usual)
    great = effect_of([11.90], [11.40], np.zeros((2, 2)), usual)
    assert verdict_of(small, usual, lower_is_better=True) is Verdict.CANNOT_TELL
    assert verdict_of(great, usual, lower_is_better=True) is Verdict.HELPED
    # The heavy tail of what changes do leaves a great difference nearly as it was found.
    assert great.change.value == pytest.approx(-0.5, abs=0.07)


def test_a_speed_that_rose_has_helped():
    usual = usual_of("trap_mps")
    effect = effect_of([55.0, 55.1, 54.9], [56.0, 56.1, 56.2], alone(range(3), range(3)), usual)
    assert verdict_of(effect, usual, lower_is_better=False) is Verdict.HELPED
    assert verdict_of(effect, usual, lower_is_better=True) is Verdict.HURT


def test_many_like_passes_show_that_there_is_no_difference_that_matters():
    rng = np.random.default_rng(0)
    before, after = rng.normal(11.6, 0.03, 60), rng.normal(11.6, 0.03, 60)
    usual = usual_of("et_s")
    effect = effect_of(before.tolist(), after.tolist(), alone(before, after), usual)
    assert verdict_of(effect, usual, lower_is_better=True) is Verdict.NO_DIFFERENCE


def test_more_passes_are_what_the_normal_theory_asks_for():
    # One-sided 5 %, power 80 %: (1.64485 + 0.84162) s sqrt(2/n) <= 0.05 s with s 0.03 s: n = 4.45, so 5; 2 are there.
    usual = Usual(scatter=0.03, weight=1e7, change=math.inf, matters=0.02)
    effect = effect_of([11.60, 11.64], [11.55, 11.59], np.zeros((4, 4)), usual)
    assert more_passes(effect, usual) == 3


def test_no_number_of_passes_settles_what_does_not_matter_or_what_the_days_blur():
    usual = Usual(scatter=0.03, weight=1e7, change=math.inf, matters=0.02)
    small = effect_of([11.60, 11.62], [11.60, 11.61], np.zeros((4, 4)), usual)
    assert more_passes(small, usual) is None
    by_group = np.array([[1.0, 1, 0, 0], [1, 1, 0, 0], [0, 0, 1, 1], [0, 0, 1, 1]])
    blurred = effect_of([11.60, 11.64], [11.55, 11.59], 0.05**2 * by_group, usual)
    assert blurred.shared_sd == pytest.approx(0.05 * math.sqrt(2.0))
    assert more_passes(blurred, usual) is None


def test_intervals_hold_what_they_promise_and_help_is_seldom_false():
    # The true scatter is 0.03 s, and a change of 0.05 s or none: what the issue asks; wide bounds for 300 trials.
    rng = np.random.default_rng(11)
    usual, zero = usual_of("et_s"), np.zeros((6, 6))
    holds, false_help = 0, 0
    for _ in range(300):
        before = rng.normal(11.6, 0.03, 3).tolist()
        holds += _inside(effect_of(before, rng.normal(11.55, 0.03, 3).tolist(), zero, usual).change, -0.05)
        none = effect_of(before, rng.normal(11.6, 0.03, 3).tolist(), zero, usual)
        false_help += verdict_of(none, usual, lower_is_better=True) is Verdict.HELPED
    assert 0.86 < holds / 300 <= 0.98
    assert false_help / 300 <= 0.05


def _inside(estimate: Estimate, truth: float) -> bool:
    return estimate.low <= truth <= estimate.high
