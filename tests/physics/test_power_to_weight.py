"""Cube-root relations against arithmetic of Hale's, Huntington's (memory) and Fox's."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nextpass.physics import motion, power_to_weight, strip
from nextpass.physics.power_to_weight import CONSTANT_POWER, HALE, HORSEPOWER_W, HUNTINGTON, POUND_KG

# Pounds, horsepower: Hale s and mph, Huntington s and mph.
WORKED = [
    (3500, 350, 12.550, 108.61, 13.551, 104.44),
    (4100, 600, 11.054, 123.31, 11.936, 118.57),
    (4000, 1000, 9.247, 147.41, 9.985, 141.74),
    (2200, 300, 11.317, 120.44, 12.220, 115.81),
]


@pytest.mark.parametrize(("pounds", "horsepower", "hale_s", "hale_mph", "huntington_s", "huntington_mph"), WORKED)
def test_rules_of_worked_cars(pounds, horsepower, hale_s, hale_mph, huntington_s, huntington_mph):
    car = (pounds * POUND_KG, horsepower * HORSEPOWER_W)
    for rule, et_s, mph in ((HALE, hale_s, hale_mph), (HUNTINGTON, huntington_s, huntington_mph)):
        assert power_to_weight.quarter_mile_s(*car, rule) == pytest.approx(et_s, abs=6e-4)
        assert power_to_weight.trap_speed_mps(*car, rule) / strip.MPH_MPS == pytest.approx(mph, abs=6e-3)


@given(mass_kg=st.floats(500.0, 3000.0), power_w=st.floats(3e4, 1.5e6))
def test_constant_power_is_foxs_closed_form(mass_kg, power_w):
    """The constants carry six digits."""
    time_s = power_to_weight.quarter_mile_s(mass_kg, power_w, CONSTANT_POWER)
    speed = power_to_weight.trap_speed_mps(mass_kg, power_w, CONSTANT_POWER)
    assert time_s == pytest.approx(motion.powered_time_s(strip.BEAM_1320FT_M, power_w, mass_kg), rel=2e-6)
    assert speed == pytest.approx(motion.powered_speed_mps(strip.BEAM_1320FT_M, power_w, mass_kg), rel=2e-6)


@pytest.mark.parametrize(("rule", "product"), [(CONSTANT_POWER, 1350.0), (HALE, 1363.05), (HUNTINGTON, 1415.25)])
def test_time_times_speed_is_the_same_for_every_car(rule, product):
    """3/2 of a quarter mile in mph and seconds is 1350; the fitted rules lie above it."""
    assert rule.et_constant * rule.trap_constant == pytest.approx(product, abs=5e-3)


@pytest.mark.parametrize(("rule", "share"), [(HALE, 0.560), (HUNTINGTON, 0.445)])
def test_part_of_the_power_that_a_rule_speaks_for(rule, share):
    """(4.80261/K)^3."""
    assert power_to_weight.delivered_power_share(rule) == pytest.approx(share, abs=6e-4)


@given(mass_kg=st.floats(500.0, 3000.0), power_w=st.floats(3e4, 1.5e6))
def test_power_comes_back_from_time_and_from_speed(mass_kg, power_w):
    time_s = power_to_weight.quarter_mile_s(mass_kg, power_w)
    trap_mps = power_to_weight.trap_speed_mps(mass_kg, power_w)
    assert power_to_weight.power_from_time_w(mass_kg, time_s) == pytest.approx(power_w, rel=1e-9)
    assert power_to_weight.power_from_trap_w(mass_kg, trap_mps) == pytest.approx(power_w, rel=1e-9)


def test_no_power_is_refused():
    with pytest.raises(ValueError, match=r"^power_w must be above 0, not 0$"):
        power_to_weight.quarter_mile_s(1500.0, 0.0)
