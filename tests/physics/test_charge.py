"""Compressor, cooler and charge against fluids (isentropic with efficiency) and CoolProp (real air)."""

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from fluids import isentropic_T_rise_compression, isentropic_work_compression
from hypothesis import given
from hypothesis import strategies as st

from nextpass.physics import charge

MOLAR_MASS_KGPMOL = 0.0289647  # dry air, ISO 2533

# Inlet K, inlet kPa, outlet kPa, efficiency: a street charger, a hot one, a cold one off its island.
COMPRESSIONS = [(298.15, 100.0, 200.0, 0.70), (303.15, 98.0, 250.0, 0.72), (288.15, 101.325, 170.0, 0.65)]


@pytest.mark.parametrize(("inlet_k", "inlet_kpa", "outlet_kpa", "efficiency"), COMPRESSIONS)
def test_outlet_temperature_agrees_with_fluids(inlet_k, inlet_kpa, outlet_kpa, efficiency):
    """k = 1.4 in both; ours rounds the exponent to 0.2857: 3 mK."""
    expected_k = isentropic_T_rise_compression(inlet_k, inlet_kpa, outlet_kpa, 1.4, efficiency)
    ours_c = charge.compressor_outlet_c(inlet_k - 273.15, outlet_kpa / inlet_kpa, efficiency)
    assert ours_c + 273.15 == pytest.approx(expected_k, abs=0.01)


@pytest.mark.parametrize(("inlet_k", "inlet_kpa", "outlet_kpa", "efficiency"), COMPRESSIONS)
def test_outlet_temperature_agrees_with_real_air(inlet_k, inlet_kpa, outlet_kpa, efficiency):
    """CoolProp: specific heat rises with temperature, which leaves real air up to 0.8 K cooler."""
    state = ("T", inlet_k, "P", inlet_kpa * 1e3, "Air")
    entropy, enthalpy = PropsSI("S", *state), PropsSI("H", *state)
    ideal = PropsSI("H", "S", entropy, "P", outlet_kpa * 1e3, "Air")
    real = enthalpy + (ideal - enthalpy) / efficiency
    expected_k = PropsSI("T", "H", real, "P", outlet_kpa * 1e3, "Air")
    ours_c = charge.compressor_outlet_c(inlet_k - 273.15, outlet_kpa / inlet_kpa, efficiency)
    assert ours_c + 273.15 == pytest.approx(expected_k, abs=0.8)


@pytest.mark.parametrize(("inlet_k", "inlet_kpa", "outlet_kpa", "efficiency"), COMPRESSIONS)
def test_compressor_work_agrees_with_fluids(inlet_k, inlet_kpa, outlet_kpa, efficiency):
    """A specific heat of 1005 against the ideal 3.5 R = 1004.7: 0.03 %."""
    molar = isentropic_work_compression(inlet_k, 1.4, 1.0, inlet_kpa * 1e3, outlet_kpa * 1e3, efficiency)
    outlet_c = charge.compressor_outlet_c(inlet_k - 273.15, outlet_kpa / inlet_kpa, efficiency)
    work = charge.compressor_work_jpkg(inlet_k - 273.15, outlet_c)
    assert work == pytest.approx(molar / MOLAR_MASS_KGPMOL, rel=5e-4)


def test_specific_heat_is_that_of_real_air():
    """CoolProp at 25 °C and 1 bar: 1006.3 J/(kg K)."""
    assert pytest.approx(PropsSI("C", "T", 298.15, "P", 1e5, "Air"), rel=1.5e-3) == charge.AIR_HEAT_JPKGK


def test_shaft_power_of_a_compressor():
    """Arithmetic: 129,815 J/kg at 0.431729 kg/s is 56.04 kW."""
    outlet_c = charge.compressor_outlet_c(30.0, 250.0 / 98.0, 0.72)
    assert 0.431729 * charge.compressor_work_jpkg(30.0, outlet_c) == pytest.approx(56.04e3, abs=10.0)


def test_charge_behind_a_cooler():
    """Arithmetic: 420 K, ambient 298.15 K, effectiveness 0.75: 328.61 K."""
    assert charge.cooled_charge_c(420.0 - 273.15, 25.0, 0.75) == pytest.approx(328.61 - 273.15, abs=5e-3)
    assert charge.cooler_effectiveness(420.0 - 273.15, 328.6125 - 273.15, 25.0) == pytest.approx(0.75, abs=1e-9)


# Manifold held at 230 kPa, compressor 0.72, intake loss 2 kPa, cooler 0.75: station kPa, air °C, charge K, density
# against the first day. Arithmetic of the section's formulas with k = 1.4.
HELD_BOOST = [
    (101.325, 15.0, 315.28, 1.0000),
    (99.0, 25.0, 327.11, 0.9638),
    (96.3, 35.0, 339.19, 0.9295),
    (83.5, 30.0, 339.47, 0.9287),
]


@pytest.mark.parametrize(("station_kpa", "air_c", "charge_k", "relative"), HELD_BOOST)
def test_held_boost_loses_less_than_the_weather_factors_say(station_kpa, air_c, charge_k, relative):
    charge_c = charge.held_charge_c(230.0, station_kpa, air_c, 0.72, 0.75, 2.0)
    first_c = charge.held_charge_c(230.0, 101.325, 15.0, 0.72, 0.75, 2.0)
    assert charge_c + 273.15 == pytest.approx(charge_k, abs=0.01)
    density = charge.charge_density_kgpm3(230.0, charge_c) / charge.charge_density_kgpm3(230.0, first_c)
    assert density == pytest.approx(relative, abs=6e-5)


@pytest.mark.parametrize(
    ("reference", "expected_kgps"),
    [(charge.SAE_COMPRESSOR_REFERENCE, 0.44422), (charge.STANDARD_AIR_REFERENCE, 0.45785)],
)
def test_corrected_flow_depends_on_its_reference(reference, expected_kgps):
    """Arithmetic: 0.431729 kg/s at 303.15 K and 98 kPa."""
    assert charge.corrected_flow_kgps(0.431729, 30.0, 98.0, reference) == pytest.approx(expected_kgps, abs=6e-6)


def test_evaporating_fuel_bounds_the_cooling():
    """Arithmetic: 0.055 kg/s of fuel with 839 kJ/kg in 0.4317 kg/s of air."""
    assert charge.evaporation_cooling_k(0.055, 0.4317, 839e3) == pytest.approx(0.055 * 839e3 / (0.4317 * 1005.0))


def test_pressure_rises_by_ten_to_ninety_percent_in_its_rise_time():
    """First order: tau = 0.45 s/ln 9 = 0.204804 s."""
    tau_s = 0.45 / charge.RISE_TIME_CONSTANTS
    assert tau_s == pytest.approx(0.204804, abs=5e-7)
    start_s, end_s = -tau_s * np.log(0.9), -tau_s * np.log(0.1)
    assert charge.pressure_rise_kpa([start_s, end_s], 100.0, 200.0, 0.45) == pytest.approx([110.0, 190.0], abs=1e-9)
    assert end_s - start_s == pytest.approx(0.45, rel=1e-12)


def test_before_the_step_the_pressure_waits():
    assert charge.pressure_rise_kpa(-1.0, 100.0, 200.0, 0.45) == 100.0


@given(ratio=st.floats(1.0, 4.0), more=st.floats(1e-3, 0.5), efficiency=st.floats(0.4, 0.9))
def test_more_compression_is_hotter_and_better_compressors_cooler(ratio, more, efficiency):
    outlet_c = charge.compressor_outlet_c(25.0, ratio + more, efficiency)
    assert outlet_c > charge.compressor_outlet_c(25.0, ratio, efficiency)
    assert charge.compressor_outlet_c(25.0, ratio + more, efficiency + 0.05) < outlet_c


@given(inlet_c=st.floats(60.0, 200.0), ambient_c=st.floats(0.0, 50.0), effectiveness=st.floats(0.0, 1.0))
def test_effectiveness_comes_back_from_the_temperatures(inlet_c, ambient_c, effectiveness):
    outlet_c = charge.cooled_charge_c(inlet_c, ambient_c, effectiveness)
    assert ambient_c - 1e-9 <= outlet_c <= inlet_c
    assert charge.cooler_effectiveness(inlet_c, outlet_c, ambient_c) == pytest.approx(effectiveness, abs=1e-9)


def test_no_compression_no_number():
    assert np.isnan(charge.compressor_outlet_c(25.0, 0.9, 0.7))
    assert np.isnan(charge.cooler_effectiveness(25.0, 25.0, 25.0))


def test_an_efficiency_of_zero_is_refused():
    with pytest.raises(ValueError, match=r"^efficiency must be above 0, not 0$"):
        charge.compressor_outlet_c(25.0, 2.0, 0.0)
