"""Stoichiometry against cantera, heating values against chemicals' heats of formation."""

import cantera
import numpy as np
import pytest
from chemicals import Hfl
from chemicals.combustion import combustion_data
from hypothesis import given
from hypothesis import strategies as st

from nextpass.physics import blend, fuel

# Name: CAS number, atoms of C, H, O.
FUELS = {
    "iso-octane": ("540-84-1", 8, 18, 0),
    "ethanol": ("64-17-5", 2, 6, 1),
    "toluene": ("108-88-3", 7, 8, 0),
    "n-heptane": ("142-82-5", 7, 16, 0),
    "methanol": ("67-56-1", 1, 4, 1),
}

AIRS = {
    "O2:1, N2:3.76": fuel.AIR_ROUNDED_GPMOL,
    "O2:1, N2:3.773": fuel.AIR_TWO_GASES_GPMOL,
    "O2:0.2095, N2:0.7808, AR:0.0093, CO2:0.0004": fuel.AIR_FOUR_GASES_GPMOL,
}


@pytest.fixture(scope="module")
def gases():
    """Species with only a composition: stoichiometry asks for no more."""
    made_of = {"O2": {"O": 2}, "N2": {"N": 2}, "AR": {"Ar": 1}, "CO2": {"C": 1, "O": 2}}
    made_of |= {name: {"C": c, "H": h} | ({"O": o} if o else {}) for name, (_, c, h, o) in FUELS.items()}
    species = [cantera.Species(name, atoms) for name, atoms in made_of.items()]
    for one in species:
        one.thermo = cantera.ConstantCp(200.0, 3000.0, 101325.0, (298.15, 0.0, 0.0, 1000.0))
    return cantera.Solution(thermo="ideal-gas", species=species)


@pytest.mark.parametrize("air", AIRS)
@pytest.mark.parametrize("name", FUELS)
def test_stoichiometric_ratio_agrees_with_cantera(gases, name, air):
    """The same balance of atoms; molar masses agree to five digits."""
    _, carbon, hydrogen, oxygen = FUELS[name]
    expected = gases.stoich_air_fuel_ratio(name, air)
    assert fuel.stoichiometric_afr(carbon, hydrogen, oxygen, AIRS[air]) == pytest.approx(expected, rel=3e-5)


@pytest.mark.parametrize("ethanol", [0.10, 0.60, 0.85])
def test_ratio_of_a_blend_agrees_with_cantera(gases, ethanol):
    """Iso-octane and ethanol by volume. cantera wants the air by mass too: mole numbers give 16.0 for 14.4."""
    base = blend.Component(
        density_kgpm3=745.0,
        stoichiometric_afr=float(fuel.stoichiometric_afr(8, 18, 0)),
        heating_value_jpkg=44.34e6,
        latent_heat_jpkg=307.6e3,
    )
    by_mass = float(blend.ethanol_mass_share(ethanol, base))
    air_by_mass = {"O2": 31.998, "N2": 3.773 * 28.014}
    fuel_by_mass = {"ethanol": by_mass, "iso-octane": 1.0 - by_mass}
    expected = gases.stoich_air_fuel_ratio(fuel_by_mass, air_by_mass, basis="mass")
    ours = by_mass * fuel.stoichiometric_afr(2, 6, 1) + (1.0 - by_mass) * base.stoichiometric_afr
    assert ours == pytest.approx(expected, rel=3e-5)


def test_the_handbook_counts_argon_and_carbon_dioxide():
    """Heywood (1988), table D.4 (memory): iso-octane 15.13, ethanol 9.00, methanol 6.47, printed to a hundredth."""
    ratios = fuel.stoichiometric_afr([8, 2, 1], [18, 6, 4], [0, 1, 1], fuel.AIR_FOUR_GASES_GPMOL)
    assert ratios == pytest.approx([15.13, 9.00, 6.47], abs=0.006)


@pytest.mark.parametrize("name", ["iso-octane", "ethanol", "toluene", "n-heptane"])
def test_heating_value_agrees_with_chemicals(name):
    """Products' heats of formation differ by 0.04 kJ/mol between the tables: 0.01 % of a heating value."""
    cas, carbon, hydrogen, oxygen = FUELS[name]
    atoms = {"C": carbon, "H": hydrogen} | ({"O": oxygen} if oxygen else {})
    expected = combustion_data(atoms, Hf=Hfl(cas))
    value = fuel.heating_value_jpkg(carbon, hydrogen, oxygen, Hfl(cas))
    assert value == pytest.approx(-expected.LHV / expected.MW * 1000.0, rel=2e-4)


def test_fuel_of_an_air_flow():
    """0.1 kg/s at lambda 0.82 on 60 % ethanol (ratio 11.155): 0.01093 kg/s; 0.431729 at 12.0: 35.977 g/s."""
    assert fuel.fuel_flow_kgps(0.1, 11.155, 0.82) == pytest.approx(0.01093, abs=5e-6)
    assert fuel.fuel_flow_kgps(0.431729, 12.0, 1.0) == pytest.approx(0.035977, abs=5e-7)


def test_fuel_of_a_power():
    """450 kW at 330 g/(kW h): 148.5 kg/h = 41.25 g/s; 35.977 g/s at 300 g/(kW h) are 431.73 kW."""
    assert fuel.fuel_flow_for_power_kgps(450e3, 330.0) == pytest.approx(0.04125, rel=1e-12)
    assert fuel.fuel_flow_for_power_kgps(431.73e3, 300.0) == pytest.approx(0.035977, abs=5e-7)


def test_efficiency_of_a_consumption():
    """3600/(330 x 43.2) = 0.25253."""
    assert fuel.brake_efficiency(330.0, 43.2e6) == pytest.approx(0.25253, abs=5e-6)


@given(carbon=st.floats(1.0, 12.0), per_carbon=st.floats(1.0, 2.4), oxygen=st.floats(0.1, 1.0))
def test_oxygen_in_the_fuel_lowers_its_air_need(carbon, per_carbon, oxygen):
    hydrogen = carbon * per_carbon
    assert fuel.stoichiometric_afr(carbon, hydrogen, oxygen) < fuel.stoichiometric_afr(carbon, hydrogen, 0.0)


@given(air_kgps=st.floats(0.01, 2.0), afr=st.floats(6.0, 15.5), lambda_=st.floats(0.6, 1.2))
def test_fuel_and_air_give_back_their_lambda(air_kgps, afr, lambda_):
    assert air_kgps / fuel.fuel_flow_kgps(air_kgps, afr, lambda_) / afr == pytest.approx(lambda_, rel=1e-12)


def test_what_cannot_burn_is_refused():
    with pytest.raises(ValueError, match=r"^oxygen needed must be above 0, not 0$"):
        fuel.stoichiometric_afr(1, 0, 2)


def test_a_negative_air_flow_is_refused():
    with pytest.raises(ValueError, match=r"^air_flow_kgps must not be below 0, not -0\.1$"):
        fuel.fuel_flow_kgps(np.array([0.1, -0.1]), 14.6, 1.0)
