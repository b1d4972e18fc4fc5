"""Pressures and speeds are shown in the units that a person asks for."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nextpass.errors import UnitError
from nextpass.units import (
    ShownUnits,
    pressure_decimals,
    pressure_kpa,
    pressure_step_unit,
    pressure_unit_text,
    shown_pressure,
    shown_speed,
    shown_units,
    speed_unit_text,
)

SHOWN = st.builds(
    ShownUnits,
    pressure=st.sampled_from(("bar", "kpa", "psi")),
    reference=st.sampled_from(("absolute", "gauge")),
    speed=st.sampled_from(("kmh", "mph")),
)


def text(kpa, shown, barometer_kpa):
    return f"{shown_pressure(kpa, shown, barometer_kpa):.{pressure_decimals(shown)}f} {pressure_unit_text(shown)}"


@pytest.mark.parametrize(
    ("words", "expected"),
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
def test_a_pressure_is_shown_as_asked(words, expected):
    # 210 kPa under 98.2 kPa: 111.8 kPa gauge; by 6.894757 kPa/psi 30.46 and 16.22 psi.
    assert text(210.0, shown_units(words), 98.2) == expected


@given(kpa=st.floats(0.0, 600.0), shown=SHOWN, barometer_kpa=st.floats(60.0, 108.0))
def test_a_shown_pressure_can_be_taken_back(kpa, shown, barometer_kpa):
    seen = shown_pressure(kpa, shown, barometer_kpa)
    assert pressure_kpa(seen, shown, barometer_kpa) == pytest.approx(kpa, abs=1e-9)


@pytest.mark.parametrize("pressure", ["bar", "kpa", "psi"])
def test_every_step_of_five_kilopascal_shows(pressure):
    shown = ShownUnits(pressure=pressure)
    assert len({text(float(kpa), shown, 100.0) for kpa in range(100, 265, 5)}) == 33


def test_a_step_of_pressure_counts_from_nothing():
    assert pressure_step_unit(ShownUnits(pressure="psi", reference="gauge")) == "psi"


@pytest.mark.parametrize(
    ("words", "unit", "value"), [("km/h", "km/h", 197.8), ("kmh", "km/h", 197.8), ("mph", "mph", 122.907)]
)
def test_a_speed_is_shown_as_asked(words, unit, value):
    # 1 mph = 1.609344 km/h exactly.
    shown = shown_units(words)
    assert shown_speed(197.8 / 3.6, shown) == pytest.approx(value, abs=5e-4)
    assert speed_unit_text(shown) == unit


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
