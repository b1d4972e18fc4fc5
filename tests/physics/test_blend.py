"""Blends of gasoline and ethanol against cantera, CoolProp, and a worked table."""

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from nextpass.physics import blend, fuel

# Ethanol by volume: by mass, density kg/m3, air-fuel ratio, heating value MJ/kg, latent heat kJ/kg, volume factor,
# heat per kg of air MJ. Arithmetic from 745 and 794 kg/m3, 14.6 and 9.0, 43.2 and 26.8 MJ/kg, 350 and 920 kJ/kg.
TABLE = {
    0.00: (0.0, 745.00, 14.600, 43.200, 350.0, 1.0000, 2.9589),
    0.05: (0.05311, 747.45, 14.303, 42.329, 380.3, 1.0175, None),
    0.10: (0.10588, 749.90, 14.007, 41.464, None, 1.0355, 2.9602),
    0.20: (0.21039, 754.80, 13.422, 39.750, 469.9, 1.0737, None),
    0.30: (0.31354, 759.70, 12.844, 38.058, None, 1.1147, 2.9631),
    0.40: (0.41538, 764.60, 12.274, 36.388, 586.8, 1.1590, None),
    0.50: (0.51592, 769.50, 11.711, 34.739, 644.1, 1.2070, None),
    0.60: (0.61519, 774.40, 11.155, 33.111, None, 1.2592, 2.9683),
    0.70: (0.71320, 779.30, 10.606, 31.504, 756.5, 1.3160, None),
    0.85: (0.85794, 786.65, 9.7955, 29.130, None, 1.4116, 2.9738),
    1.00: (1.0, 794.00, 9.000, 26.800, 920.0, 1.5221, 2.9778),
}

litres = st.floats(1.0, 80.0)


@pytest.mark.parametrize("ethanol", TABLE)
def test_blend_follows_the_worked_table(ethanol):
    """Half a unit of the last printed digit."""
    by_mass, density, afr, heat_mjpkg, latent_kjpkg, volume, heat_per_air = TABLE[ethanol]
    assert blend.ethanol_mass_share(ethanol) == pytest.approx(by_mass, abs=5e-6)
    assert blend.blend_density_kgpm3(ethanol) == pytest.approx(density, abs=5e-3)
    assert blend.blend_stoichiometric_afr(ethanol) == pytest.approx(afr, abs=6e-4)
    assert blend.blend_heating_value_jpkg(ethanol) / 1e6 == pytest.approx(heat_mjpkg, abs=6e-4)
    assert blend.blend_volume_factor(ethanol) == pytest.approx(volume, abs=6e-5)
    if latent_kjpkg is not None:
        assert blend.blend_latent_heat_jpkg(ethanol) / 1e3 == pytest.approx(latent_kjpkg, abs=0.06)
    if heat_per_air is not None:
        per_air = blend.blend_heating_value_jpkg(ethanol) / blend.blend_stoichiometric_afr(ethanol) / 1e6
        assert per_air == pytest.approx(heat_per_air, abs=6e-5)


def test_ethanol_is_as_dense_as_coolprop_says():
    """793.69 kg/m3 at 15 °C; kept to a whole kilogram."""
    expected = PropsSI("D", "T", 288.15, "P", 101325.0, "Ethanol")
    assert blend.ETHANOL.density_kgpm3 == pytest.approx(expected, abs=0.5)


def test_ethanol_evaporates_with_the_heat_coolprop_says():
    """920.7 kJ/kg at 25 °C; kept to three digits."""
    vapour, liquid = (PropsSI("H", "T", 298.15, "Q", quality, "Ethanol") for quality in (1, 0))
    assert blend.ETHANOL.latent_heat_jpkg == pytest.approx(vapour - liquid, rel=2e-3)


def test_ethanol_gives_the_heat_of_its_formula():
    """Heat of formation of the liquid -277.03 kJ/mol (chemicals 1.5); 26.82 MJ/kg against a kept 26.8."""
    assert blend.ETHANOL.heating_value_jpkg == pytest.approx(fuel.heating_value_jpkg(2, 6, 1, -277.03e3), rel=1e-3)


def test_twenty_litres_of_ten_and_forty_of_eighty_five_are_sixty_percent():
    """Arithmetic: (2 + 34)/60."""
    assert blend.mixed_ethanol([20.0, 40.0], [0.10, 0.85]) == pytest.approx(0.60, abs=1e-12)
    assert blend.top_up_l(20.0, 0.10, 0.85, 0.60) == pytest.approx(40.0, abs=1e-9)


def test_draining_thirty_of_fifty_makes_room_for_forty():
    """Arithmetic: 50 l of 10 %, drain 30, add 40 l of 85 % makes 60 l of 60 %."""
    assert blend.drain_l(60.0, 50.0, 0.10, 0.85, 0.60) == pytest.approx(30.0, abs=1e-9)


@given(ethanol=st.floats(0.0, 0.9), more=st.floats(1e-6, 0.1))
def test_more_ethanol_asks_for_more_fuel(ethanol, more):
    assert blend.blend_volume_factor(ethanol + more) > blend.blend_volume_factor(ethanol)
    assert blend.blend_stoichiometric_afr(ethanol + more) < blend.blend_stoichiometric_afr(ethanol)


@given(left_l=litres, left=st.floats(0.0, 0.3), added=st.floats(0.7, 1.0), wanted=st.floats(0.31, 0.69))
def test_a_top_up_gives_the_wanted_share(left_l, left, added, wanted):
    added_l = blend.top_up_l(left_l, left, added, wanted)
    assert blend.mixed_ethanol([left_l, added_l], [left, added]) == pytest.approx(wanted, abs=1e-12)


@given(left_l=litres, left=st.floats(0.0, 0.3), added=st.floats(0.7, 1.0), wanted=st.floats(0.31, 0.69))
def test_draining_then_filling_gives_the_wanted_share(left_l, left, added, wanted):
    drained_l = blend.drain_l(60.0, left_l, left, added, wanted)
    if not np.isnan(drained_l):
        stays_l = left_l - drained_l
        assert blend.mixed_ethanol([stays_l, 60.0 - stays_l], [left, added]) == pytest.approx(wanted, abs=1e-12)


def test_a_share_outside_both_fuels_cannot_be_mixed():
    assert np.isnan(blend.top_up_l(20.0, 0.10, 0.85, [0.05, 0.90])).all()
    assert np.isnan(blend.drain_l(60.0, 20.0, 0.10, 0.85, 0.90))


def test_a_share_that_is_there_needs_nothing():
    assert blend.top_up_l(20.0, 0.60, 0.85, 0.60) == 0.0


def test_an_empty_tank_has_no_share():
    assert np.isnan(blend.mixed_ethanol([0.0, 0.0], [0.10, 0.85]))


def test_like_fuels_are_refused():
    with pytest.raises(ValueError, match=r"^added_ethanol and left_ethanol must differ: no mixture of like fuels"):
        blend.drain_l(60.0, 20.0, 0.85, 0.85, 0.60)
