"""Weather factors against arithmetic of the published formulas (coefficients from memory of the standards)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nextpass.physics import standards

# Dry pressure kPa, air °C, SAE J1349, ISO 1585: worked by hand calculator from the formulas, five decimals.
FACTORS = [
    (99.0, 25.0, 1.00000, 1.00000),
    (95.0, 35.0, 1.07015, 1.07175),
    (101.325, 15.0, 0.95341, 0.95281),
    (82.65, 30.0, 1.24524, 1.25432),
    (96.30, 35.0, 1.05327, 1.05441),
    (99.74, 25.0, 0.99125, 0.99110),
    (101.98, 5.0, 0.92641, 0.92564),
    (94.78, 40.0, 1.08318, 1.08517),
]


@pytest.mark.parametrize(("dry_kpa", "air_c", "sae", "iso"), FACTORS)
def test_factors_follow_the_published_formulas(dry_kpa, air_c, sae, iso):
    assert standards.sae_j1349_factor(dry_kpa, air_c) == pytest.approx(sae, abs=6e-6)
    assert standards.iso_1585_factor(dry_kpa, air_c) == pytest.approx(iso, abs=6e-6)


@pytest.mark.parametrize(
    ("pressure_kpa", "air_c", "din"),
    [(97.0, 35.0, 1.07099), (101.325, 15.0, 0.99144), (83.5, 30.0, 1.23401), (101.3, 20.0, 1.00026)],
)
def test_din_factor_follows_the_published_formula(pressure_kpa, air_c, din):
    assert standards.din_70020_factor(pressure_kpa, air_c) == pytest.approx(din, abs=6e-6)


@pytest.mark.parametrize(
    ("factor", "is_accepted"), [(1.0, True), (0.93, True), (1.07, True), (0.929, False), (1.071, False)]
)
def test_iso_accepts_only_its_band(factor, is_accepted):
    """ISO 1585: 0.93 to 1.07 (memory)."""
    assert standards.iso_1585_applies(factor) == is_accepted


@pytest.mark.parametrize(
    ("dry_kpa", "air_c", "is_accepted"),
    [
        (99.0, 25.0, True),
        (90.0, 35.0, True),
        (105.0, 15.0, True),
        (89.9, 25.0, False),
        (105.1, 25.0, False),
        (99.0, 14.9, False),
        (99.0, 35.1, False),
    ],
)
def test_sae_accepts_only_its_trial_weather(dry_kpa, air_c, is_accepted):
    """SAE J1349: 15 to 35 °C and 90 to 105 kPa dry (memory)."""
    assert standards.sae_j1349_applies(dry_kpa, air_c) == is_accepted


@given(dry_kpa=st.floats(70.0, 104.0), air_c=st.floats(-10.0, 44.0))
def test_thin_or_hot_air_asks_for_a_greater_factor(dry_kpa, air_c):
    for factor in (standards.sae_j1349_factor, standards.iso_1585_factor, standards.din_70020_factor):
        assert factor(dry_kpa, air_c) > factor(dry_kpa + 0.5, air_c)
        assert factor(dry_kpa, air_c) < factor(dry_kpa, air_c + 0.5)


def test_a_dry_pressure_of_zero_is_refused():
    with pytest.raises(ValueError, match=r"^dry_pressure_kpa must be above 0, not 0$"):
        standards.sae_j1349_factor(0.0, 25.0)
