"""Guards are held at the pessimistic end, in the contract's units."""

import numpy as np
import pytest

from nextpass.plan.guards import PESSIMISTIC, excess, first_crossed, margins, pessimistic
from nextpass.sim import OUTPUTS


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


def test_margins_speak_the_units_of_the_contract(car):
    shown = {
        margin.name: margin for margin in margins(outputs_with(injector_duty=0.85, clutch_energy_j=150e3), car.guards)
    }
    assert list(shown) == [
        "injector_duty_pct",
        "knock_retard_deg",
        "wot_lambda_max",
        "clutch_energy_kj",
        "gearbox_oil_c",
        "charge_air_c",
        "rail_pressure_drop_pct",
    ]
    assert shown["injector_duty_pct"].worst == pytest.approx(85.0)
    assert shown["injector_duty_pct"].limit == pytest.approx(90.0)
    assert shown["clutch_energy_kj"].worst == pytest.approx(150.0)
    assert all(margin.ok for margin in shown.values())


def test_two_scenarios_of_a_hundred_over_a_limit_are_tolerated_three_are_not(car):
    two = np.where(np.arange(100) < 2, 0.95, 0.5)
    three = np.where(np.arange(100) < 3, 0.95, 0.5)
    assert first_crossed(outputs_with(injector_duty=two), car.guards) is None
    assert first_crossed(outputs_with(injector_duty=three), car.guards) == "injector_duty_pct"


def test_excess_is_the_sum_of_shares_over_the_limits(car):
    # 0.99 of 0.90 is a tenth over; 4.5 of 3 degrees is a half over.
    outputs = outputs_with(injector_duty=0.99, knock_retard_deg=4.5)[:, np.newaxis]
    assert excess(outputs, car.guards) == pytest.approx([0.6])
    assert excess(outputs_with(injector_duty=0.9)[:, np.newaxis], car.guards) == pytest.approx([0.0])
