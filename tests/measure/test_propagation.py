"""Propagation of ± against the `uncertainties` package, which differentiates exactly."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from nextpass.measure import HALF_WIDTH_90, Estimate, propagated, root_sum_square
from nextpass.physics import motion, strip


def sd(estimate):
    return estimate.plus_minus / HALF_WIDTH_90


def test_density_of_dry_air_from_a_barometer_and_a_thermometer():
    """100.9 +- 0.1 kPa, 290.65 +- 0.5 K: 1.2094 +- 0.0024010 kg/m3."""

    def density(pressure_kpa, temperature_k):
        return pressure_kpa * 1000.0 / (287.05 * temperature_k)

    expected = density(ufloat(100.9, 0.1), ufloat(290.65, 0.5))
    ours = propagated(density, pressure_kpa=Estimate.from_sd(100.9, 0.1), temperature_k=Estimate.from_sd(290.65, 0.5))
    assert ours.value == pytest.approx(expected.nominal_value, rel=1e-12)
    assert sd(ours) == pytest.approx(expected.std_dev, rel=1e-6)
    assert (ours.value, sd(ours)) == pytest.approx((1.2094, 0.0024010), abs=6e-5)


def test_quarter_mile_of_an_uncertain_power_and_mass():
    """300 +- 9 kW, 1795 +- 15 kg at constant power: 10.29 +- 0.10682 s = t sqrt((0.03/3)^2 + (15/1795/3)^2)."""

    def quarter_mile_s(power_w, mass_kg):
        return float(motion.powered_time_s(strip.BEAM_1320FT_M, power_w, mass_kg))

    expected = (9.0 * strip.BEAM_1320FT_M**2 * ufloat(1795.0, 15.0) / (8.0 * ufloat(300e3, 9e3))) ** (1 / 3)
    ours = propagated(quarter_mile_s, power_w=Estimate.from_sd(300e3, 9e3), mass_kg=Estimate.from_sd(1795.0, 15.0))
    # The exact slope at the value against the mean slope over one standard deviation: the bend of a cube root.
    assert (ours.value, sd(ours)) == pytest.approx((expected.nominal_value, expected.std_dev), rel=2e-4)
    assert (ours.value, sd(ours)) == pytest.approx((10.29, 0.106820), rel=3e-4)


@given(slope=st.floats(-50.0, 50.0), value=st.floats(-100.0, 100.0), plus_minus=st.floats(0.0, 10.0))
def test_a_straight_line_is_exact(slope, value, plus_minus):
    ours = propagated(lambda x: slope * x + 3.0, x=Estimate(value=value, plus_minus=plus_minus))
    assert ours.plus_minus == pytest.approx(abs(slope) * plus_minus, rel=1e-6, abs=1e-9)


def test_independent_widths_add_by_their_squares():
    """3-4-5."""
    assert root_sum_square(3.0, 4.0) == 5.0
    assert root_sum_square() == 0.0
