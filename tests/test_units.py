"""Units convert by their definitions, and are shown as a person asks."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nextpass.errors import UnitError
from nextpass.units import (
    ShownUnits,
    absolute_kpa,
    convert,
    gauge_kpa,
    pressure_difference_text,
    pressure_text,
    pressure_unit_text,
    shown_units,
    speed_text,
)

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


def test_gauge_counts_from_the_barometer():
    assert gauge_kpa(210.0, 98.2) == pytest.approx(111.8)
    assert absolute_kpa(gauge_kpa(210.0, 98.2), 98.2) == 210.0


@pytest.mark.parametrize(
    ("words", "text"),
    [
        ("", "2.10 bar abs"),
        ("bar", "2.10 bar abs"),
        ("kpa", "210 kPa abs"),
        ("psi", "30.5 psi abs"),
        ("gauge", "1.12 bar gauge"),
        ("psi,gauge", "16.2 psi gauge"),
        ("KPA gauge", "112 kPa gauge"),
    ],
)
def test_a_pressure_is_shown_as_asked(words, text):
    # 210 kPa under 98.2 kPa: 111.8 kPa gauge; by 6.894757 kPa/psi 30.46 and 16.22 psi.
    assert pressure_text(210.0, shown_units(words), 98.2) == text


@pytest.mark.parametrize(("pressure", "text"), [("bar", "+0.05 bar"), ("kpa", "+5 kPa"), ("psi", "+0.7 psi")])
def test_a_difference_of_pressures_counts_from_nothing(pressure, text):
    assert pressure_difference_text(5.0, ShownUnits(pressure=pressure, reference="gauge")) == text


@pytest.mark.parametrize(("words", "text"), [("km/h", "197.8 km/h"), ("kmh", "197.8 km/h"), ("mph", "122.9 mph")])
def test_a_speed_is_shown_as_asked(words, text):
    assert speed_text(197.8 / 3.6, shown_units(words)) == text


def test_every_step_of_five_kilopascal_shows_in_every_unit():
    for pressure in ("bar", "kpa", "psi"):
        shown = ShownUnits(pressure=pressure)
        texts = {pressure_text(float(kpa), shown, 100.0) for kpa in range(100, 265, 5)}
        assert len(texts) == 33


def test_a_shown_pressure_names_what_it_counts_from():
    assert pressure_unit_text(ShownUnits(pressure="psi", reference="gauge")) == "psi gauge"


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ("gauges", "'gauges' is not a way to show units; did you mean gauge?"),
        (
            "furlong",
            "'furlong' is not a way to show units; write bar, kpa or psi, absolute or gauge, km/h or mph",
        ),
        ("bar psi", "'bar psi' asks for two ways to show one thing; write bar or psi"),
    ],
)
def test_what_cannot_be_shown_is_refused(words, message):
    with pytest.raises(UnitError) as refusal:
        shown_units(words)
    assert str(refusal.value) == message
