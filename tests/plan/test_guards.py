"""Guards are held at the pessimistic end, in the contract's units."""

import numpy as np
import pytest

from nextpass.plan.guards import DOUBTED, PESSIMISTIC, excess, first_crossed, margins, pessimistic
from nextpass.plan.trust import EQUATIONS_SD, NO_PASS, spread_over
from nextpass.sim import OUTPUTS


@pytest.fixture(scope="module")
def surely(newest):
    """Trust after so many like passes, each as the fit says, that nothing is left to doubt."""
    return spread_over([newest] * 200, {name: np.zeros(200) for name in ("gear3_injector_duty", "knock_retard_deg")})


def outputs_with(**figures):
    """Outputs of 100 scenarios, shape (100, len(OUTPUTS)), harmless but for the named columns."""
    made = np.zeros((100, len(OUTPUTS)))
    for name, values in figures.items():
        made[:, OUTPUTS.index(name)] = values
    return made


def test_the_pessimistic_figure_is_exceeded_by_two_of_a_hundred():
    # 0..99 in shuffled order: the place is 0.97 * 99 = 96.03, and the next higher figure is taken.
    figures = np.random.default_rng(0).permutation(100).astype(float)
    assert pytest.approx(0.97) == PESSIMISTIC
    assert pessimistic(figures) == 97.0


def test_few_scenarios_are_more_careful_not_less():
    assert pessimistic(np.array([1.0, 2.0, 3.0])) == 3.0


def test_a_pass_that_never_shows_a_figure_is_harmless():
    assert pessimistic(np.array([np.nan, 5.0, np.nan])) == 5.0


def test_doubt_of_the_equations_adds_to_the_spread_of_the_scenarios():
    # One-sided widths of 3 (97 - 94 ... by construction 7 - 4) and 1.881 * 2: the root of the sum of squares.
    figures = np.array([4.0] * 60 + [7.0] * 40)
    assert pessimistic(figures, error=1.0, doubt=2.0) == pytest.approx(
        4.0 + np.hypot(3.0, 1.8808 * 2.0) + 1.0, rel=1e-4
    )


def test_margins_speak_the_units_of_the_contract(car, newest):
    outputs = outputs_with(gear3_injector_duty=0.80, clutch_energy_j=150e3)
    shown = {margin.name: margin for margin in margins(outputs, newest, NO_PASS, car.guards)}
    assert list(shown) == [
        "injector_duty_pct",
        "knock_retard_deg",
        "wot_lambda_max",
        "clutch_energy_kj",
        "gearbox_oil_c",
        "charge_air_c",
        "rail_pressure_drop_pct",
    ]
    # No scenario spreads; what is left is the doubt of the equations far from any pass.
    assert shown["injector_duty_pct"].worst == pytest.approx(
        100.0 * (0.80 + DOUBTED * EQUATIONS_SD["injector_duty"][0])
    )
    assert shown["injector_duty_pct"].limit == pytest.approx(90.0)
    assert shown["clutch_energy_kj"].worst == pytest.approx(
        1e-3 * (150e3 + DOUBTED * EQUATIONS_SD["clutch_energy_j"][0])
    )
    assert all(margin.ok for margin in shown.values())


def test_two_scenarios_of_a_hundred_over_a_limit_are_tolerated_three_are_not():
    assert pessimistic(np.where(np.arange(100) < 2, 0.95, 0.5)) == 0.5
    assert pessimistic(np.where(np.arange(100) < 3, 0.95, 0.5)) == 0.95


def test_the_first_guard_crossed_is_named(car, newest, surely):
    assert first_crossed(outputs_with(gear3_injector_duty=0.89), newest, surely, car.guards) is None
    assert first_crossed(outputs_with(gear3_injector_duty=0.91), newest, surely, car.guards) == "injector_duty_pct"


def test_logs_of_like_passes_halve_the_spread_of_the_versions_at_most(newest, surely):
    assert surely.told([newest], "gear3_injector_duty")[2] == pytest.approx([0.5])
    assert NO_PASS.told([newest], "gear3_injector_duty")[2] == pytest.approx([1.0])


def test_excess_is_the_sum_of_shares_over_the_limits(car, newest, surely):
    # 0.99 of 0.90 is a tenth over; 4.5 of 3 degrees is a half over.
    outputs = outputs_with(gear3_injector_duty=0.99, knock_retard_deg=4.5)[:, np.newaxis]
    assert excess(outputs, [newest], surely, car.guards) == pytest.approx([0.6], abs=0.05)
    kept = outputs_with(gear3_injector_duty=0.89)[:, np.newaxis]
    assert excess(kept, [newest], surely, car.guards) == pytest.approx([0.0])


def test_a_figure_that_is_not_there_at_all_stays_away(car, newest):
    shown = {margin.name: margin for margin in margins(outputs_with(), newest, NO_PASS, car.guards)}
    assert shown["knock_retard_deg"].worst == 0.0


def test_the_duty_of_a_gear_is_judged_by_what_that_gear_showed(car, newest):
    """Control overshoots as a gear comes in, on every pass alike: the margin of one gear says nothing of another's."""
    shown = spread_over(
        [newest] * 50, {"gear1_injector_duty": np.full(50, 0.03), "gear3_injector_duty": np.full(50, -0.02)}
    )
    outputs = outputs_with(gear1_injector_duty=0.84, gear3_injector_duty=0.88)
    duty = next(margin for margin in margins(outputs, newest, shown, car.guards) if margin.name == "injector_duty_pct")
    # The first gear binds: 84 and 3 of its own; what is left of doubt lies under a percent.
    assert 87.0 < duty.worst < 88.0
