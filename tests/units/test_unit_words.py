"""Unit words as people and loggers write them."""

import numpy as np
import pytest

from nextpass.errors import UnitError
from nextpass.units import read_unit, unit_of

# Words and what they mean: quantity, unit, and a value that shows the scale by the unit's definition.
WORDS = {
    "km/h": ("speed", 3.6, 1.0),
    "KPH": ("speed", 3.6, 1.0),
    "mph": ("speed", 1.0, 0.44704),
    "kn": ("speed", 1.0, 1852.0 / 3600.0),
    "U/min": ("rotation", 900.0, 900.0),
    "1/min": ("rotation", 900.0, 900.0),
    "min-1": ("rotation", 900.0, 900.0),
    "rpm x1000": ("rotation", 6.5, 6500.0),
    "m/s²": ("acceleration", 2.0, 2.0),
    "m/s^2": ("acceleration", 2.0, 2.0),
    "g": ("acceleration", 1.0, 9.80665),
    "[°C]": ("temperature", 20.0, 20.0),
    "degF": ("temperature", 212.0, 100.0),
    "Â°F": ("temperature", 32.0, 0.0),
    "\ufffdC": ("temperature", 20.0, 20.0),
    "K": ("temperature", 273.15, 0.0),
    "psi": ("pressure", 14.5037738, 100.0),
    "inHg": ("pressure", 29.92, 101.32077),
    "mbar": ("pressure", 1013.25, 101.325),
    "hPa": ("pressure", 1013.25, 101.325),
    "%": ("ratio", 50.0, 0.5),
    "lb-ft": ("torque", 100.0, 135.5818),
    "ft·lb": ("torque", 100.0, 135.5818),
    "° KW": ("angle", 12.0, 12.0),
    "Grad KW": ("angle", 12.0, 12.0),
    "kg/h": ("mass_flow", 3600.0, 1.0),
    "lb/min": ("mass_flow", 1.0, 0.45359237 / 60.0),
    "ms": ("time", 1500.0, 1.5),
    "µs": ("time", 1500.0, 0.0015),
    "hp": ("power", 1.0, 0.7456999),
    "PS": ("power", 1.0, 0.73549875),
    "cc/min": ("volume_flow", 1000.0, 60.0),
}


@pytest.mark.parametrize(("word", "expected"), WORDS.items())
def test_a_word_means_its_unit(word, expected):
    quantity, value, canonical = expected
    assert unit_of(word, quantity).to_canonical(value) == pytest.approx(canonical, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize(
    ("word", "shown"),
    {
        "psig": "psi gauge",
        "psia": "psi absolute",
        "PSI(g)": "psi gauge",
        "bar abs": "bar absolute",
        "bar(a)": "bar absolute",
        "barg": "bar gauge",
        "bar_abs": "bar absolute",
        "kPa absolute": "kPa absolute",
        "mbar rel": "mbar gauge",
        "kPa": "kPa",
        "psi": "psi",
        "psi gauge@101.325": "psi gauge@101.325",
        "bar gauge @ 84.2 kPa": "bar gauge@84.2",
    }.items(),
)
def test_a_pressure_says_what_it_counts_from_only_where_the_word_does(word, shown):
    assert str(unit_of(word, "pressure")) == shown


def test_an_air_fuel_ratio_needs_its_scale():
    assert np.isnan(unit_of("AFR", "mixture").scale)
    assert unit_of("afr@14.7", "mixture").to_canonical(14.7) == pytest.approx(1.0)


def test_an_equivalence_ratio_is_one_over_lambda():
    assert unit_of("phi", "mixture").to_canonical([1.25, 0.8]) == pytest.approx([0.8, 1.25])


def test_one_word_may_mean_units_of_several_quantities():
    assert {unit.quantity for unit in read_unit("g")} == {"acceleration", "mass"}


@pytest.mark.parametrize("word", ["furlong", "Bank 1", "", "abs", "gauge", "@"])
def test_what_is_no_unit_is_none(word):
    assert read_unit(word) == () or all(unit.quantity == "state" for unit in read_unit(word))


def test_a_unit_of_another_quantity_is_refused_with_those_that_fit():
    with pytest.raises(UnitError) as refusal:
        unit_of("psi", "temperature")
    assert str(refusal.value) == "'psi' is not a unit of temperature; write one of °C, °F, K"
