"""Units convert by their definitions."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nextpass.errors import UnitError
from nextpass.units import convert

# NIST SP 811 (2008), appendix B.8 (memory), to the digits printed there; horsepower, mph, knot and °F are exact.
DEFINED = [
    (1, "psi", "kPa", 6.894757, 1e-6),
    (1, "bar", "kPa", 100.0, 0.0),
    (1, "inHg", "kPa", 3.386389, 1e-6),
    (1, "mmHg", "Pa", 133.3224, 1e-4),
    (1, "atm", "kPa", 101.325, 0.0),
    (1, "kg/cm2", "kPa", 98.0665, 0.0),
    (1013.25, "mbar", "kPa", 101.325, 1e-12),
    (1013.25, "hPa", "psi", 14.69595, 1e-5),
    (0.25, "MPa", "bar", 2.5, 1e-12),
    (60, "mph", "km/h", 96.56064, 1e-10),
    (1, "kn", "km/h", 1.852, 1e-12),
    (36, "km/h", "m/s", 10.0, 0.0),
    (1, "ft/s", "m/s", 0.3048, 0.0),
    (1, "lb-ft", "Nm", 1.355818, 1e-6),
    (1, "kgf m", "Nm", 9.80665, 0.0),
    (1, "hp", "W", 745.6999, 1e-4),
    (1, "PS", "W", 735.49875, 1e-9),
    (1, "g", "m/s2", 9.80665, 0.0),
    (1, "lb", "kg", 0.45359237, 0.0),
    (1, "in", "mm", 25.4, 1e-12),
    (1320, "ft", "m", 402.336, 1e-10),
    (212, "°F", "°C", 100.0, 1e-12),
    (-40, "°C", "°F", -40.0, 1e-12),
    (25, "°C", "K", 298.15, 0.0),
    (1000, "cc/min", "l/h", 60.0, 1e-12),
    (1, "gal/h", "l/h", 3.785411784, 0.0),
    (180, "deg", "rad", math.pi, 1e-15),
    (57, "%", "fraction", 0.57, 0.0),
    (260, "kJ", "J", 260_000.0, 0.0),
    (1, "lb/min", "g/s", 7.559873, 1e-6),
]


@pytest.mark.parametrize(("value", "source", "target", "expected", "tolerance"), DEFINED)
def test_a_unit_converts_by_its_definition(value, source, target, expected, tolerance):
    assert convert(value, source, target) == pytest.approx(expected, rel=0.0, abs=tolerance)


PAIRS = [(source, target) for _, source, target, _, _ in DEFINED]


@given(value=st.floats(-1e5, 1e5), pair=st.sampled_from(PAIRS))
def test_there_and_back_is_the_same(value, pair):
    source, target = pair
    assert convert(convert(value, source, target), target, source) == pytest.approx(value, rel=1e-12, abs=1e-9)


@pytest.mark.parametrize("percent", range(101))
def test_whole_percentages_become_the_share_that_is_written(percent):
    assert convert(percent, "%", "fraction") == float(f"{percent / 100:.2f}")


@pytest.mark.parametrize(
    ("source", "target", "message"),
    [
        ("kpaa?", "bar", "'kpaa?' is not a known unit; did you mean kPa?"),
        ("furlong", "m", "'furlong' is not a known unit; write a unit such as kPa, km/h or °C"),
        ("psi", "km/h", "'psi' does not convert to 'km/h'; name two units of one quantity"),
        ("psi gauge", "kpa abs", "'psi gauge' does not convert to 'kpa abs'; name two units of one quantity"),
    ],
)
def test_what_does_not_convert_is_refused(source, target, message):
    with pytest.raises(UnitError) as refusal:
        convert(1.0, source, target)
    assert str(refusal.value) == message
