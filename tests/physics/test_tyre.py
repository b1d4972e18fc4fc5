"""Tyre force against commonroad-vehicle-models, pressure and size against arithmetic of their laws."""

import dataclasses

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar
from vehiclemodels.parameters_vehicle2 import parameters_vehicle2
from vehiclemodels.utils.tire_model import formula_longitudinal

from nextpass.physics import tyre

LOAD_N = 4000.0
SLIPS = [0.02, 0.05, 0.08, 0.10, 0.15, 0.20, 0.50, 1.00]


@pytest.fixture(scope="module")
def published():
    """Tyre of the library's parameter set 2, its shifts left out on a copy: the plain formula has none."""
    return dataclasses.replace(parameters_vehicle2().tire, p_hx1=0.0, p_vx1=0.0)


def pull_n(slip_ratio, published):
    peak_n = published.p_dx1 * LOAD_N
    stiffness = published.p_kx1 * LOAD_N / (published.p_cx1 * peak_n)
    return tyre.magic_formula_n(slip_ratio, peak_n, stiffness, published.p_cx1, published.p_ex1)


@pytest.mark.parametrize("slip", SLIPS)
def test_magic_formula_agrees_with_a_published_model(published, slip):
    """The library turns the sign of its slip: what drives is passed as negative there."""
    assert pull_n(slip, published) == pytest.approx(formula_longitudinal(-slip, 0.0, LOAD_N, published), rel=1e-12)
    assert pull_n(-slip, published) == pytest.approx(formula_longitudinal(slip, 0.0, LOAD_N, published), rel=1e-12)


def test_the_published_models_own_shifts_are_not_in_the_plain_formula(published):
    """Unshifted 4529.72 N against 4494.83 N (drive) and -4561.20 N (brake) at 10 %: the library's shifts part them."""
    shifted = parameters_vehicle2().tire
    assert formula_longitudinal(-0.10, 0.0, LOAD_N, shifted) == pytest.approx(4494.83, abs=5e-3)
    assert formula_longitudinal(0.10, 0.0, LOAD_N, shifted) == pytest.approx(-4561.20, abs=5e-3)
    assert pull_n(0.10, published) == pytest.approx(4529.72, abs=5e-3)


def test_peak_of_the_published_tyre(published):
    """4695.60 N at a slip of 0.15034."""
    peak = minimize_scalar(lambda slip: -float(pull_n(slip, published)), bounds=(0.05, 0.4), method="bounded")
    assert peak.x == pytest.approx(0.15034, abs=2e-5)
    assert -peak.fun == pytest.approx(4695.60, abs=5e-3)


def test_stiffness_that_puts_the_peak_at_a_slip():
    """Arithmetic: C 1.65 and a peak at 0.12 give B = 11.70."""
    assert tyre.stiffness_for_peak(0.12, 1.65) == pytest.approx(11.70, abs=5e-3)


@given(peak_slip=st.floats(0.03, 0.4), shape=st.floats(1.2, 1.9))
def test_no_slip_pulls_harder_than_the_peak_slip(peak_slip, shape):
    stiffness = tyre.stiffness_for_peak(peak_slip, shape)
    slips = np.linspace(0.0, 2.0, 401)
    assert tyre.magic_formula_n(peak_slip, 4600.0, stiffness, shape) == pytest.approx(4600.0, rel=1e-12)
    assert np.all(tyre.magic_formula_n(slips, 4600.0, stiffness, shape) <= 4600.0)


def test_a_shape_of_one_has_no_peak():
    assert np.isnan(tyre.stiffness_for_peak(0.12, [1.0, 0.8])).all()


def test_the_two_slips_in_use():
    """ISO 8855: 0.25 is 0.20 over the wheel's own speed (arithmetic)."""
    assert tyre.slip_ratio(25.0, 20.0) == pytest.approx(0.25)
    assert tyre.bounded_slip(0.25) == pytest.approx(0.20)
    assert tyre.slip_ratio(0.0, 20.0) == -1.0


def test_slip_at_standstill_is_not_defined_but_at_the_launch_it_is_finite():
    assert np.isnan(tyre.slip_ratio(3.0, 0.0))
    assert np.isnan(tyre.bounded_slip(-1.0))
    assert tyre.launch_slip_ratio(3.0, 0.0, 1.0) == 3.0
    assert tyre.launch_slip_ratio(25.0, 20.0, 1.0) == tyre.slip_ratio(25.0, 20.0)


def test_unequal_loads_lower_the_sum_of_an_axle():
    """Linear load sensitivity, 10 % per doubling: 3000 and 5000 N pull less than twice 4000 N."""
    loads = np.array([3000.0, 4000.0, 5000.0])
    pulls = loads * tyre.loaded_friction(loads, 1.2, 4000.0, 0.1)
    assert pulls[0] + pulls[2] < 2.0 * pulls[1]
    assert tyre.loaded_friction(8000.0, 1.2, 4000.0, 0.1) == pytest.approx(1.08)


@pytest.mark.parametrize(
    ("gauge_kpa", "from_c", "to_c", "expected_kpa"),
    [(200.0, 15.0, 45.0, 231.37), (150.0, 20.0, 60.0, 184.29), (220.0, 25.0, 5.0, 198.45)],
)
def test_a_heated_tyre_by_absolute_pressure(gauge_kpa, from_c, to_c, expected_kpa):
    """Gay-Lussac on absolute pressure, arithmetic; the ratio of gauge pressures would say 205.24 for the last."""
    assert tyre.heated_pressure_kpa_gauge(gauge_kpa, from_c, to_c) == pytest.approx(expected_kpa, abs=5e-3)


def test_a_cold_tyre_reads_more_at_a_high_strip():
    """Arithmetic: 200 kPa gauge at 101.325 kPa reads 217.83 (217.825) at 83.5 kPa."""
    assert tyre.moved_pressure_kpa_gauge(200.0, 101.325, 83.5) == pytest.approx(217.825, abs=1e-9)


@given(gauge_kpa=st.floats(50.0, 400.0), from_c=st.floats(-10.0, 40.0), to_c=st.floats(-10.0, 120.0))
def test_a_tyre_that_cools_down_again_has_its_pressure_back(gauge_kpa, from_c, to_c):
    hot_kpa = tyre.heated_pressure_kpa_gauge(gauge_kpa, from_c, to_c)
    if hot_kpa >= 0.0:
        assert tyre.heated_pressure_kpa_gauge(hot_kpa, to_c, from_c) == pytest.approx(gauge_kpa, abs=1e-9)


@pytest.mark.parametrize(
    ("size", "diameter_mm"),
    [("285/35R20", 707.5), ("245/45R18", 677.7), ("255/40R20", 712.0), ("325/30R19", 677.6), ("205/55R16", 631.9)],
)
def test_diameter_of_a_size(size, diameter_mm):
    """Arithmetic: rim x 25.4 + 2 x aspect x width, mm."""
    assert tyre.tyre_size(size).diameter_m * 1000.0 == pytest.approx(diameter_mm, abs=1e-9)


def test_section_and_rolling_radius_of_a_size():
    """285/35R20: section 99.75 mm; ETRTO circumference 3.05 d = 2157.9 mm (memory), radius 343.4 mm."""
    size = tyre.tyre_size("285/35R20")
    assert size.section_height_m == pytest.approx(0.09975, abs=1e-12)
    assert 2.0 * np.pi * size.rolling_radius_m == pytest.approx(2.1579, abs=5e-5)
    assert size.rolling_radius_m == pytest.approx(0.3434, abs=6e-5)


@pytest.mark.parametrize("text", ["285/35R20", " 285/35 R20 ", "285/35ZR20 104Y", "P285/35R20"])
def test_a_size_is_read_as_people_write_it(text):
    assert tyre.tyre_size(text) == tyre.TyreSize(width_mm=285.0, aspect=0.35, rim_in=20.0)


@pytest.mark.parametrize("text", ["", "285-35-20", "28x11.5-15", "285/35", "285/35R"])
def test_what_is_no_size_is_refused(text):
    with pytest.raises(ValueError, match=r"is not a tyre size such as 285/35R20$"):
        tyre.tyre_size(text)
