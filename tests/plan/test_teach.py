"""What is said of a plan that passes could not tell from the last setup, or that costs time for a guard's sake."""

import pytest

from nextpass.plan.evidence import Evidence
from nextpass.plan.lookahead import Teaching
from nextpass.plan.teach import LEAST_SHOWN_SD, taught_by, told_apart


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


@pytest.fixture
def shown():
    """Passes that showed every pressure of the setup clean."""
    return Evidence(
        clean_kpa=250.0,
        knock_kpa={},
        slipping_gears=frozenset(),
        gears=(1, 2, 3, 4, 5, 6),
        first_cap_kpa=250.0,
        first_duty_per_kpa=0.0,
        launch_kpa=200.0,
        overshoot_kpa={},
    )


def test_a_launch_that_teaches_says_what_it_costs_and_what_it_brings_later(newest, shown):
    said = taught_by(newest, shown, Teaching(cost_s=0.021, worth_s=0.043))
    assert "0.02 s" in said
    assert "0.04 s" in said
    free = taught_by(newest, shown, Teaching(cost_s=0.001, worth_s=0.043))
    assert "0.04 s" in free
    assert "0.00" not in free


def test_what_no_clock_could_show_is_not_taught(newest, shown):
    assert taught_by(newest, shown, Teaching(cost_s=0.001, worth_s=0.001)) == ""
    assert taught_by(newest, shown) == ""
