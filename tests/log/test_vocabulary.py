"""The vocabulary is data that hangs together: names, units, ranges, aliases."""

import pytest

from nextpass.log import vocabulary
from nextpass.log.names import name_matches, read_header, shared_aliases
from nextpass.units import CANONICAL, canonical_unit

CHANNELS = vocabulary().channels
# Words by which German names are known; every second quantity must have one.
GERMAN = (
    "druck",
    "temperatur",
    "drehzahl",
    "geschwindigkeit",
    "kupplung",
    "getriebe",
    "zuend",
    "kraftstoff",
    "einspritz",
)


def test_there_are_about_a_hundred_channels_and_more_by_cylinder_and_wheel():
    assert len(CHANNELS) >= 150
    assert len({name.rstrip("0123456789_cdeg") for name in CHANNELS}) >= 90


@pytest.mark.parametrize("name", CHANNELS)
def test_the_unit_stands_at_the_end_of_the_name(name):
    suffix = CANONICAL[CHANNELS[name].quantity]
    bare = name.removesuffix("_gauge")
    assert (
        bare.endswith(f"_{suffix}")
        if suffix
        else not bare.endswith(tuple(f"_{unit}" for unit in CANONICAL.values() if unit))
    )
    assert name.endswith("_gauge") == (CHANNELS[name].reference == "gauge")


@pytest.mark.parametrize("name", CHANNELS)
def test_a_channel_is_described_and_its_range_is_one(name):
    kind = CHANNELS[name]
    low, high = kind.plausible
    assert low < high
    assert kind.reaches < high
    assert kind.meaning.endswith(".")
    assert len(kind.aliases) >= 2 or "{" in name or "cyl" in name or "tyre" in name
    assert canonical_unit(kind.quantity).scale == 1.0
    assert (kind.quantity == "pressure") == bool(kind.reference)


def test_no_name_belongs_to_two_channels():
    assert shared_aliases() == {}


@pytest.mark.parametrize("name", CHANNELS)
def test_every_alias_leads_to_its_channel_first(name):
    for alias in CHANNELS[name].aliases:
        best = name_matches(read_header(alias).words)[0]
        assert (best.channel, best.score) == (name, 1.0), alias


def test_the_aliases_speak_two_languages():
    text = " ".join(alias for kind in CHANNELS.values() for alias in kind.aliases)
    assert all(word in text for word in GERMAN)


# A name, what it must not be taken for at once, and why: a word of it means another thing.
APART = {
    "Lambda Target": "lambda_bank1",
    "Boost Target": "manifold_pressure_kpa",
    "Knock Retard Cyl 3": "knock_retard_deg",
    "EGT Cylinder 2": "exhaust_temperature_c",
    "Gearbox Oil Temp": "oil_temperature_c",
    "GPS Speed": "vehicle_speed_mps",
    "Fuel Pressure Target": "rail_pressure_kpa",
    "Throttle Target": "throttle",
    "STFT B2": "short_trim_bank1",
    "Coolant Pressure": "coolant_temperature_c",
    "Clutch 2 Pressure": "clutch_a_pressure_kpa",
    "Ladedruck Soll": "manifold_pressure_kpa",
}


@pytest.mark.parametrize(("name", "wrong"), APART.items())
def test_a_word_too_many_is_another_channel(name, wrong):
    best = name_matches(read_header(name).words)[0]
    assert best.score == 1.0
    assert best.channel != wrong


def test_a_prefix_that_nobody_knows_does_not_hide_a_name():
    (best, *_) = name_matches(read_header("Xq7 Coolant Temp").words)
    assert best.channel == "coolant_temperature_c"
    assert best.score < 1.0


COMPOUNDS = {
    "Motordrehzahl": "engine_rpm",
    "Motoröltemperatur": "oil_temperature_c",
    "Getriebeöltemperatur": "gearbox_oil_temperature_c",
    "Kraftstoffdruck": "rail_pressure_kpa",
    "Kupplungsdruck 1": "clutch_a_pressure_kpa",
    "Saugrohrdruck": "manifold_pressure_kpa",
    "Ladelufttemperatur": "charge_temperature_c",
    "Drosselklappenwinkel": "throttle",
    "WheelSpeedFrontLeft": "wheel_speed_fl_mps",
    "enginespeed": "engine_rpm",
    "coolanttemp": "coolant_temperature_c",
}


@pytest.mark.parametrize(("name", "channel"), COMPOUNDS.items())
def test_compounds_come_apart_at_known_words(name, channel):
    assert name_matches(read_header(name).words)[0].channel == channel
