"""What the owner's own adjusters did is told with its ±, and only a clear gain moves one."""

import numpy as np
import pytest

from nextpass.plan.own import own_effects, with_clear_gains


def passes_with(newest, spray):
    return [newest.with_values(charge_spray=on) for on in spray]


def test_the_gain_is_the_difference_of_what_is_left(car, newest):
    setups = passes_with(newest, (True, True, False, False))
    (effect,) = own_effects(car, setups, (-0.10, -0.14, 0.02, 0.06), scatter_sd_s=0.03)
    assert (effect.adjuster, effect.before, effect.after) == ("charge_spray", False, True)
    # Means -0.12 and 0.04; ± 1.645 * 0.03 * sqrt(1/2 + 1/2).
    assert effect.gain_s.value == pytest.approx(0.16)
    assert effect.gain_s.plus_minus == pytest.approx(1.6449 * 0.03, rel=1e-4)
    assert effect.is_clear
    assert with_clear_gains(setups[-1], (effect,)).values["charge_spray"] is True


def test_a_gain_within_the_scatter_moves_nothing(car, newest):
    setups = passes_with(newest, (True, False))
    (effect,) = own_effects(car, setups, (-0.03, 0.03), scatter_sd_s=0.03)
    assert not effect.is_clear
    assert with_clear_gains(setups[-1], (effect,)) == setups[-1]


def test_a_clear_loss_is_told_and_not_taken(car, newest):
    setups = passes_with(newest, (True, False))
    (effect,) = own_effects(car, setups, (0.5, 0.0), scatter_sd_s=0.03)
    assert effect.is_clear
    assert with_clear_gains(setups[-1], (effect,)) == setups[-1]


def test_one_value_in_all_passes_tells_nothing(car, newest):
    assert own_effects(car, passes_with(newest, (False, False)), (0.0, 0.1), scatter_sd_s=0.03) == ()


def test_a_pass_without_a_time_is_left_out(car, newest):
    setups = passes_with(newest, (True, True, False))
    (effect,) = own_effects(car, setups, (np.nan, -0.2, 0.0), scatter_sd_s=0.03)
    assert effect.gain_s.value == pytest.approx(0.2)
    assert own_effects(car, setups, (np.nan, np.nan, 0.0), scatter_sd_s=0.03) == ()


def test_what_the_simulation_understands_is_no_own_adjuster(car, newest):
    setups = [newest.with_values(launch_rpm=3500.0), newest]
    assert own_effects(car, setups, (0.0, 0.5), scatter_sd_s=0.03) == ()
