"""Tyre pressure and size, and the upshifts, against arithmetic of their laws."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nextpass.workbench import cold_pressure_sum, gearing_sum, hot_pressure_sum, size_sum


@pytest.mark.parametrize(
    ("set_kpa", "set_c", "hot_c", "hot_kpa"), [(200.0, 15.0, 45.0, 231.37), (150.0, 20.0, 60.0, 184.29)]
)
def test_pressure_when_hot(set_kpa, set_c, hot_c, hot_kpa):
    """Gay-Lussac on absolute pressure, 101.325 kPa outside."""
    hot = hot_pressure_sum(set_kpa, set_c, hot_c, 101.325).of("hot_pressure_kpa_gauge")
    assert hot.value == pytest.approx(hot_kpa, abs=5e-3)
    assert 5.0 < hot.plus_minus < 10.0


@given(hot_kpa=st.floats(100.0, 300.0), hot_c=st.floats(20.0, 90.0), cold_c=st.floats(-5.0, 35.0))
def test_what_is_set_cold_comes_to_what_was_wanted_hot(hot_kpa, hot_c, cold_c):
    cold = cold_pressure_sum(hot_kpa, hot_c, cold_c, 98.0).of("cold_pressure_kpa_gauge").value
    hot = hot_pressure_sum(cold, cold_c, hot_c, 98.0).of("hot_pressure_kpa_gauge").value
    assert hot == pytest.approx(hot_kpa, abs=1e-9)


def test_size_and_what_it_does_to_the_speed():
    """285/35R20: 707.5 mm, ETRTO 343.4 mm; 245/45R18: 677.7 mm, so 4.4 % more speed at like rpm (arithmetic)."""
    size = size_sum("285/35R20", instead_of="245/45R18")
    assert size.of("diameter_m").value == pytest.approx(0.7075, abs=1e-12)
    assert size.of("section_height_m").value == pytest.approx(0.09975, abs=1e-12)
    assert size.of("rolling_radius_m").value == pytest.approx(0.3434, abs=6e-5)
    assert size.of("turns_a_km").value == pytest.approx(1000.0 / (3.05 * 0.7075), rel=1e-9)
    assert size.of("gearing_factor").value == pytest.approx(707.5 / 677.7, rel=1e-9)


def test_a_new_size_alone_changes_no_gearing():
    with pytest.raises(KeyError, match="gearing_factor"):
        size_sum("285/35R20").of("gearing_factor")


def test_upshifts_of_a_worked_box(car):
    """4.06/2.30/1.59/1.25 from 7000 rpm: 3965.5, 4839.1, 5503.1 rpm and 36.49, 28.05, 20.52 kJ (arithmetic)."""
    box = gearing_sum(car, 7000.0)
    assert [box.of("landing_rpm", gear).value for gear in (1, 2, 3)] == pytest.approx(
        [3965.5, 4839.1, 5503.1], abs=0.05
    )
    energies = [box.of("shift_energy_j", gear).value for gear in (1, 2, 3)]
    assert energies == pytest.approx([36.49e3, 28.05e3, 20.52e3], abs=6.0)
    assert box.of("rpm_drop", 1).value == pytest.approx(7000.0 - 3965.5, abs=0.05)


def test_speed_at_the_shift(car):
    """2 pi 0.347 m 7000/60/(ratio x 3.70) (arithmetic), known to 1 % of the rolling radius."""
    speed = gearing_sum(car, 7000.0).of("shift_speed_mps", 4)
    assert speed.value == pytest.approx(2.0 * math.pi * 0.347 * 7000.0 / 60.0 / (1.25 * 3.70), rel=1e-12)
    assert speed.plus_minus == pytest.approx(0.01 * speed.value, rel=1e-9)


def test_the_top_gear_shifts_no_further(car):
    with pytest.raises(KeyError, match="landing_rpm"):
        gearing_sum(car, 7000.0).of("landing_rpm", 4)


def test_a_shift_below_the_boost_threshold_is_cautioned(car):
    assert gearing_sum(car, 4000.0).cautions == (
        "A shift lands below the rpm at which the turbocharger holds its target",
    )
    assert gearing_sum(car, 7000.0).cautions == ()
    assert gearing_sum(car, 7400.0).cautions == ("Shift rpm is above the rev limit",)
