"""What is said of a plan that passes could not tell from the last setup, or that costs time for a guard's sake."""

import pytest

from nextpass.plan.teach import LEAST_SHOWN_SD, told_apart


def test_a_gain_that_two_passes_show_needs_no_word():
    assert told_apart(0.5, 0.03, is_same=False, crosses=False) == ""


def test_a_gain_that_two_passes_cannot_show_is_told_with_the_least_that_they_show():
    # 2.802 * sqrt(2) * 0.03 s: two-sample z test with 80 % power at 5 % (textbook).
    assert pytest.approx(3.963, abs=1e-3) == LEAST_SHOWN_SD
    said = told_apart(0.05, 0.03, is_same=False, crosses=False)
    assert "0.05 s" in said
    assert "0.12 s" in said


def test_a_plan_that_is_slower_to_keep_a_guard_says_what_that_costs():
    said = told_apart(-0.15, 0.03, is_same=False, crosses=True)
    assert "0.15 s slower" in said
    assert "-0.15" not in said


def test_the_last_setup_again_has_nothing_to_tell_apart():
    assert "0.00" not in told_apart(0.0, 0.03, is_same=True, crosses=False)
