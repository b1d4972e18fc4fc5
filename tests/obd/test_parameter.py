"""Service 01 parameters against the independent decoder of the `obd` package (used in tests only)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from obd import commands
from obd.protocols.protocol import Message

from nextpass.obd import parameter

# Identifier, data, channel, value in the program's units: SAE J1979 arithmetic.
WORKED = [
    (0x04, "80", "engine_load", 0.50196),
    (0x05, "7B", "coolant_temperature_c", 83.0),
    (0x06, "80", "short_trim_bank1", 0.0),
    (0x07, "8A", "long_trim_bank1", 0.078125),
    (0x08, "70", "short_trim_bank2", -0.125),
    (0x09, "80", "long_trim_bank2", 0.0),
    (0x0A, "64", "rail_pressure_kpa", 300.0),
    (0x0B, "FF", "manifold_pressure_kpa", 255.0),
    (0x0C, "1A F8", "engine_rpm", 1726.0),
    (0x0D, "64", "vehicle_speed_mps", 100.0 / 3.6),
    (0x0E, "90", "ignition_advance_deg", 8.0),
    (0x0F, "46", "intake_temperature_c", 30.0),
    (0x10, "0F A0", "mass_air_flow_kgps", 0.040),
    (0x11, "80", "throttle", 0.50196),
    (0x14, "5A 80", "oxygen_sensor1_v", 0.450),
    (0x14, "5A 80", "oxygen_sensor1_trim", 0.0),
    (0x1F, "02 58", "run_time_s", 600.0),
    (0x21, "00 64", "distance_with_lamp_m", 100e3),
    (0x22, "13 88", "rail_pressure_kpa", 395.0),
    (0x23, "07 D0", "rail_pressure_kpa", 20000.0),
    (0x24, "80 00 80 00", "lambda_sensor1", 1.0),
    (0x24, "80 00 80 00", "lambda_sensor1_v", 4.0),
    (0x2C, "80", "exhaust_recirculation", 0.50196),
    (0x2F, "80", "fuel_level", 0.50196),
    (0x30, "0A", "warm_ups_since_clear", 10.0),
    (0x31, "00 64", "distance_since_clear_m", 100e3),
    (0x33, "65", "barometric_pressure_kpa", 101.0),
    (0x34, "80 00 C0 00", "lambda_sensor1", 1.0),
    (0x34, "80 00 C0 00", "lambda_sensor1_ma", 64.0),
    (0x3C, "13 88", "catalyst_temperature_bank1_1_c", 460.0),
    (0x42, "31 38", "battery_v", 12.6),
    (0x43, "01 80", "absolute_load", 1.50588),
    (0x44, "73 33", "lambda_target", 0.89999),
    (0x45, "20", "relative_throttle", 0.12549),
    (0x46, "3C", "ambient_temperature_c", 20.0),
    (0x49, "4D", "pedal", 0.30196),
    (0x4C, "80", "throttle_target", 0.50196),
    (0x4F, "02 05 40 41", "full_scale_manifold_kpa", 650.0),
    (0x52, "D9", "ethanol", 0.85098),
    (0x59, "07 D0", "rail_pressure_absolute_kpa", 20000.0),
    (0x5C, "82", "oil_temperature_c", 90.0),
    (0x5E, "01 90", "fuel_rate_l_h", 20.0),
    (0x61, "FA", "torque_target", 1.25),
    (0x63, "02 BC", "reference_torque_nm", 700.0),
    (0x70, "3F 1C 20 1B 80 00 00 00 00 00", "target_pressure_kpa", 225.0),
    (0x70, "3F 1C 20 1B 80 00 00 00 00 00", "charge_pressure_kpa", 220.0),
    (0x87, "01 1A 40 00 00", "manifold_pressure_kpa", 210.0),
]

# What the other decoder has in another unit: its value times this is ours.
FACTORS = {
    "kilometer_per_hour": 1.0 / 3.6,
    "percent": 0.01,
    "gram_per_second": 1e-3,
    "gps": 1e-3,
    "kilometer": 1e3,
    "minute": 60.0,
}

# Seen in its source: whole numbers of the fixed scales below are rounded there.
ROUNDED = {0x44: 6e-4, 0x22: 1e-3}


def independent(identifier, data):
    """Value and unit that the other decoder makes of the same bytes."""
    message = Message([])
    message.data = bytearray([0x41, identifier]) + bytearray(data)
    quantity = commands[1][identifier].decode([message])
    return float(quantity.magnitude), str(quantity.units)


@pytest.mark.parametrize(("identifier", "data", "channel", "value"), WORKED, ids=str)
def test_parameter_follows_the_standard(identifier, data, channel, value):
    readings = {
        reading.channel: reading.value for reading in parameter.decode_parameter(identifier, bytes.fromhex(data))
    }
    assert readings[channel] == pytest.approx(value, abs=6e-6 if value < 10.0 else 1e-9)


ONE_NUMBER = [
    one.identifier
    for one in parameter.PARAMETERS.values()
    if len(one.quantities) == 1 and one.identifier < len(commands[1])
]


@pytest.mark.parametrize("identifier", ONE_NUMBER, ids=lambda identifier: f"{identifier:02X}")
@pytest.mark.parametrize("fill", [0x00, 0x01, 0x40, 0x80, 0xC9, 0xFF])
def test_single_numbers_agree_with_an_independent_decoder(identifier, fill):
    """Exact but for its rounded scale of 44, which is 0.0000305 for 2/65536."""
    one = parameter.PARAMETERS[identifier]
    (reading,) = parameter.decode_parameter(identifier, bytes([fill] * one.size))
    value, unit = independent(identifier, bytes([fill] * one.size))
    expected = value * FACTORS.get(unit, 1.0)
    assert reading.value == pytest.approx(expected, rel=ROUNDED.get(identifier, 1e-9), abs=1e-9)


@pytest.mark.parametrize("identifier", [*range(0x24, 0x2C), *range(0x34, 0x3C)], ids=lambda one: f"{one:02X}")
def test_second_number_of_wide_sensors_agrees_with_an_independent_decoder(identifier):
    """It returns only volts or milliamperes, the volts by 8/65535: 4.00006 for 4.00000."""
    data = bytes.fromhex("80 00 C0 00")
    _, second = parameter.decode_parameter(identifier, data)
    value, _ = independent(identifier, data)
    assert second.value == pytest.approx(value, rel=2e-5)


@pytest.mark.parametrize("sensor", range(1, 9))
def test_narrow_sensors_agree_with_an_independent_decoder(sensor):
    voltage, _ = parameter.decode_parameter(0x13 + sensor, bytes([0x5A, 0x80]))
    assert voltage.channel == f"oxygen_sensor{sensor}_v"
    assert voltage.value == pytest.approx(independent(0x13 + sensor, bytes([0x5A, 0x80]))[0], rel=1e-12)


@pytest.mark.parametrize("identifier", [one for one in parameter.PARAMETERS if one < len(commands[1])])
def test_sizes_agree_with_an_independent_decoder(identifier):
    """It counts service and identifier, two bytes, with the data; 0 where it does not say."""
    theirs = commands[1][identifier].bytes
    assert theirs in (0, parameter.PARAMETERS[identifier].size + 2)


def test_a_manifold_at_the_end_of_its_scale_says_so():
    """255 kPa is where one byte ends: 1.55 bar over standard air."""
    (top,) = parameter.decode_parameter(0x0B, b"\xff")
    (below,) = parameter.decode_parameter(0x0B, b"\xfe")
    assert (top.value, top.is_at_ceiling) == (255.0, True)
    assert (below.value, below.is_at_ceiling) == (254.0, False)


def test_a_wider_scale_is_taken_from_parameter_4f():
    """650 kPa announced: half the byte is 326.3 kPa (arithmetic)."""
    assert parameter.manifold_pressure_kpa(b"\x80", 650.0).value == pytest.approx(128.0 * 650.0 / 255.0, rel=1e-12)
    assert parameter.manifold_pressure_kpa(b"\x80", 0.0).value == 128.0


@given(identifier=st.sampled_from(sorted(parameter.PARAMETERS)), data=st.binary(min_size=10, max_size=12))
def test_every_known_parameter_takes_any_bytes(identifier, data):
    for reading in parameter.decode_parameter(identifier, data):
        assert reading.channel
        assert abs(reading.value) < 1e8


def test_an_unknown_parameter_is_refused():
    with pytest.raises(ValueError, match=r"^parameter F7 is not known$"):
        parameter.decode_parameter(0xF7, b"\x00")


def test_a_short_answer_is_refused():
    with pytest.raises(ValueError, match=r"^parameter 0C has 2 data bytes, not 1$"):
        parameter.decode_parameter(0x0C, b"\x1a")
