"""What the fit left of the passes moves the forecast near them, and by the car's own part everywhere."""

from types import SimpleNamespace

import numpy as np
import pytest

from nextpass.plan import trust as trust_module
from nextpass.plan.trust import EQUATIONS_SD, EVERYWHERE, LENGTHS, NO_PASS, spread_over

FAR_SD, CHANCE_SD = EQUATIONS_SD["et_s"]


@pytest.fixture(scope="module")
def trust(newest):
    return spread_over([newest], {"et_s": np.array([0.05]), "t60ft_s": np.array([np.nan])})


def moved(newest, lengths):
    return newest.with_values(launch_rpm=newest.launch_rpm + lengths * LENGTHS["launch_rpm"])


def test_at_the_pass_most_of_what_was_left_is_expected_again(newest, trust):
    error, doubt = trust.error([newest], "et_s")
    # One observation with noise: share of the prior variance in the sum (textbook normal update).
    share = FAR_SD**2 / (FAR_SD**2 + CHANCE_SD**2)
    assert error == pytest.approx([0.05 * share])
    assert doubt == pytest.approx([FAR_SD * np.sqrt(1.0 - share)])


def test_a_length_away_the_errors_still_have_something_in_common(newest, trust):
    here, _ = trust.error([newest], "et_s")
    there, doubt = trust.error([moved(newest, 1.0)], "et_s")
    assert there == pytest.approx(here * (EVERYWHERE + (1.0 - EVERYWHERE) * np.exp(-0.5)))
    assert 0.5 * FAR_SD < doubt[0] < FAR_SD


def test_far_away_only_what_is_the_cars_own_is_expected_again(newest, trust):
    here, near_sd = trust.error([newest], "et_s")
    error, doubt = trust.error([moved(newest, 6.0)], "et_s")
    assert error == pytest.approx(EVERYWHERE * here)
    assert near_sd[0] < doubt[0] < FAR_SD


def test_warm_air_that_every_pass_showed_is_not_forgotten_where_no_pass_went(newest):
    """A guard is not kept by leaving the setups whose logs told of it."""
    shown = [moved(newest, lengths) for lengths in (0.0, 1.0, 2.0)]
    trust = spread_over(shown, {"charge_air_c": np.array([2.0, 2.0, 2.0])})
    error, _ = trust.error([moved(newest, 8.0)], "charge_air_c")
    assert 0.8 < error[0] < 2.0


def test_a_pass_without_a_clock_says_nothing_of_it(newest, trust):
    error, doubt = trust.error([newest], "t60ft_s")
    assert error == pytest.approx([0.0], abs=1e-6)
    assert doubt == pytest.approx([EQUATIONS_SD["t60ft_s"][0]], rel=1e-3)


def test_more_passes_leave_less_doubt(newest):
    doubts = [
        spread_over([newest] * count, {"et_s": np.zeros(count)}).error([newest], "et_s")[1][0] for count in (1, 2, 4)
    ]
    assert doubts == sorted(doubts, reverse=True)
    assert doubts[-1] < 0.6 * doubts[0]


def test_without_any_pass_the_equations_are_doubted_everywhere(newest):
    assert NO_PASS.error([newest], "charge_air_c") == (
        pytest.approx([0.0]),
        pytest.approx([EQUATIONS_SD["charge_air_c"][0]]),
    )


def test_the_whole_ladder_counts_as_one_number(newest):
    by_launch = spread_over([newest], {"et_s": np.array([0.05])})
    lifted = newest.with_values(
        gear_pressure_cap_kpa=tuple(cap + LENGTHS["gear_pressure_cap_kpa"] for cap in newest.gear_pressure_cap_kpa)
    )
    assert by_launch.error([lifted], "et_s")[0] == pytest.approx(by_launch.error([moved(newest, 1.0)], "et_s")[0])


def test_passes_that_leave_more_than_usual_widen_the_doubt_everywhere(newest):
    """A gear that overshoots on the next car too is not told by its caps alone: the next setup is doubted with it."""
    usual_sd = EQUATIONS_SD["injector_duty"][0]
    odd = spread_over([newest, moved(newest, 1.0)], {"injector_duty": np.array([0.0, 4.0 * usual_sd])})
    _, doubt = odd.error([moved(newest, 6.0)], "injector_duty")
    assert doubt[0] > 1.5 * usual_sd
    assert odd.told([moved(newest, 6.0)], "injector_duty")[2][0] > 0.8


@pytest.mark.parametrize(("shown", "simulated", "tells"), [(0.0, 0.1, False), (1.5, 0.1, True), (0.0, 1.5, True)])
def test_a_clean_engine_says_nothing_of_the_knock_above_its_onset(shown, simulated, tells, monkeypatch):
    """Only retard that a log shows, or that the fitted car has and the log does not, is held against the forecast."""
    monkeypatch.setattr(trust_module, "peaks_to_finish", lambda _one: {"knock_retard_deg": shown, "wot_lambda": 0.82})
    monkeypatch.setattr(trust_module, "duty_by_gear", lambda _one: {})
    seen = SimpleNamespace(clocks={}, series={})
    found = trust_module._shown_by(None, seen, {"knock_retard_deg": simulated})
    assert ("knock_retard_deg" in found) is tells
    assert found["wot_lambda"] == 0.82
