"""What do the data bytes of a service 01 parameter say?

SAE J1979 / ISO 15031-5 as a table: each number within a parameter is an offset plus a scale times an integer of one or
two bytes. Values come in the program's units under the names of log channels. A raw value at its greatest is the end of
the scale and not the car's: a manifold that reads a flat 255 kPa is the parameter's ceiling, so the reading says so.
Scalings are from memory of the standard and held against an independent decoder in the tests.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """One number within a parameter.

    Parameters
    ----------
    channel : str
        Name with its unit; a log channel's where there is one.
    first, size : int
        First data byte, from 0, and number of bytes, high byte first.
    scale, offset : float
        Value = offset + scale x raw, in the unit of the name.
    """

    channel: str
    first: int
    size: int
    scale: float
    offset: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Parameter:
    """One parameter of service 01.

    Parameters
    ----------
    identifier : int
        0x00..0xFF.
    title : str
        In plain words.
    size : int
        Data bytes of an answer.
    quantities : tuple of Quantity
        The numbers in it; none for a pattern of bits, which `nextpass.obd.status` reads.
    """

    identifier: int
    title: str
    size: int
    quantities: tuple[Quantity, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One number of an answer.

    Parameters
    ----------
    channel : str
        Name with its unit.
    value : float
        In that unit; percentages are ratios.
    is_at_ceiling : bool
        The raw value is the greatest that the bytes hold: the true one may lie above.
    """

    channel: str
    value: float
    is_at_ceiling: bool


_LITRES_AN_HOUR, _MINUTE_S, _KILOMETRE_M = 0.05, 60.0, 1000.0
_OF_255, _OF_128 = 1.0 / 255.0, 1.0 / 128.0


def _numbers(identifier: int, title: str, *quantities: Quantity) -> Parameter:
    last = quantities[-1]
    return Parameter(identifier=identifier, title=title, size=last.first + last.size, quantities=quantities)


def _byte(identifier: int, title: str, channel: str, scale: float = 1.0, offset: float = 0.0) -> Parameter:
    return _numbers(identifier, title, Quantity(channel=channel, first=0, size=1, scale=scale, offset=offset))


def _word(identifier: int, title: str, channel: str, scale: float = 1.0, offset: float = 0.0) -> Parameter:
    return _numbers(identifier, title, Quantity(channel=channel, first=0, size=2, scale=scale, offset=offset))


def _bits(identifier: int, title: str, size: int) -> Parameter:
    return Parameter(identifier=identifier, title=title, size=size, quantities=())


def _narrow_sensor(sensor: int) -> Parameter:
    return _numbers(
        0x13 + sensor,
        f"oxygen sensor {sensor}, narrow band",
        Quantity(channel=f"oxygen_sensor{sensor}_v", first=0, size=1, scale=1.0 / 200.0),
        Quantity(channel=f"oxygen_sensor{sensor}_trim", first=1, size=1, scale=_OF_128, offset=-1.0),
    )


def _wide_sensor_v(sensor: int) -> Parameter:
    return _numbers(
        0x23 + sensor,
        f"oxygen sensor {sensor}, wide band, voltage",
        Quantity(channel=f"lambda_sensor{sensor}", first=0, size=2, scale=2.0 / 65536.0),
        Quantity(channel=f"lambda_sensor{sensor}_v", first=2, size=2, scale=8.0 / 65536.0),
    )


def _wide_sensor_ma(sensor: int) -> Parameter:
    return _numbers(
        0x33 + sensor,
        f"oxygen sensor {sensor}, wide band, current",
        Quantity(channel=f"lambda_sensor{sensor}", first=0, size=2, scale=2.0 / 65536.0),
        Quantity(channel=f"lambda_sensor{sensor}_ma", first=2, size=2, scale=1.0 / 256.0, offset=-128.0),
    )


def _pressures(identifier: int, title: str, size: int, *channels: str) -> Parameter:
    # 1/32 kPa a bit, one word after the other behind a byte that says which of them the car supports.
    parts = (Quantity(channel=channel, first=1 + 2 * k, size=2, scale=0.03125) for k, channel in enumerate(channels))
    return Parameter(identifier=identifier, title=title, size=size, quantities=tuple(parts))


_TABLE = (
    _bits(0x00, "supported parameters 01 to 20", 4),
    _bits(0x01, "lamp, codes and monitors since clearing", 4),
    _bits(0x02, "code that stored the freeze frame", 2),
    _bits(0x03, "fuel system status", 2),
    _byte(0x04, "calculated load", "engine_load", _OF_255),
    _byte(0x05, "coolant temperature", "coolant_temperature_c", 1.0, -40.0),
    _byte(0x06, "short trim, bank 1", "short_trim_bank1", _OF_128, -1.0),
    _byte(0x07, "long trim, bank 1", "long_trim_bank1", _OF_128, -1.0),
    _byte(0x08, "short trim, bank 2", "short_trim_bank2", _OF_128, -1.0),
    _byte(0x09, "long trim, bank 2", "long_trim_bank2", _OF_128, -1.0),
    _byte(0x0A, "fuel pressure over air", "rail_pressure_kpa", 3.0),
    _byte(0x0B, "manifold pressure", "manifold_pressure_kpa"),
    _word(0x0C, "engine speed", "engine_rpm", 0.25),
    _byte(0x0D, "vehicle speed", "vehicle_speed_mps", 1.0 / 3.6),
    _byte(0x0E, "ignition advance, cylinder 1", "ignition_advance_deg", 0.5, -64.0),
    _byte(0x0F, "intake temperature", "intake_temperature_c", 1.0, -40.0),
    _word(0x10, "mass air flow", "mass_air_flow_kgps", 1e-5),
    _byte(0x11, "throttle position", "throttle", _OF_255),
    *(_narrow_sensor(sensor) for sensor in range(1, 9)),
    _word(0x1F, "time since start", "run_time_s"),
    _bits(0x20, "supported parameters 21 to 40", 4),
    _word(0x21, "distance with the lamp on", "distance_with_lamp_m", _KILOMETRE_M),
    _word(0x22, "rail pressure over manifold", "rail_pressure_kpa", 0.079),
    _word(0x23, "rail pressure over air", "rail_pressure_kpa", 10.0),
    *(_wide_sensor_v(sensor) for sensor in range(1, 9)),
    _byte(0x2C, "commanded exhaust recirculation", "exhaust_recirculation", _OF_255),
    _byte(0x2E, "commanded evaporative purge", "evaporative_purge", _OF_255),
    _byte(0x2F, "fuel level", "fuel_level", _OF_255),
    _byte(0x30, "warm-ups since clearing", "warm_ups_since_clear"),
    _word(0x31, "distance since clearing", "distance_since_clear_m", _KILOMETRE_M),
    _byte(0x33, "barometric pressure", "barometric_pressure_kpa"),
    *(_wide_sensor_ma(sensor) for sensor in range(1, 9)),
    *(
        _word(0x3C + k, f"catalyst temperature, {place}", f"catalyst_temperature_{name}_c", 0.1, -40.0)
        for k, (place, name) in enumerate(
            (
                ("bank 1 sensor 1", "bank1_1"),
                ("bank 2 sensor 1", "bank2_1"),
                ("bank 1 sensor 2", "bank1_2"),
                ("bank 2 sensor 2", "bank2_2"),
            )
        )
    ),
    _bits(0x40, "supported parameters 41 to 60", 4),
    _bits(0x41, "monitors of this drive", 4),
    _word(0x42, "control unit voltage", "battery_v", 1e-3),
    _word(0x43, "absolute load", "absolute_load", _OF_255),
    _word(0x44, "commanded lambda", "lambda_target", 2.0 / 65536.0),
    _byte(0x45, "relative throttle position", "relative_throttle", _OF_255),
    _byte(0x46, "ambient temperature", "ambient_temperature_c", 1.0, -40.0),
    _byte(0x47, "throttle position B", "throttle_b", _OF_255),
    _byte(0x49, "pedal position D", "pedal", _OF_255),
    _byte(0x4A, "pedal position E", "pedal_e", _OF_255),
    _byte(0x4C, "commanded throttle", "throttle_target", _OF_255),
    _word(0x4D, "time with the lamp on", "time_with_lamp_s", _MINUTE_S),
    _word(0x4E, "time since clearing", "time_since_clear_s", _MINUTE_S),
    _numbers(
        0x4F,
        "full scales of other parameters",
        Quantity(channel="full_scale_lambda", first=0, size=1, scale=1.0),
        Quantity(channel="full_scale_sensor_v", first=1, size=1, scale=1.0),
        Quantity(channel="full_scale_sensor_ma", first=2, size=1, scale=1.0),
        Quantity(channel="full_scale_manifold_kpa", first=3, size=1, scale=10.0),
    ),
    _bits(0x51, "fuel type", 1),
    _byte(0x52, "ethanol in the fuel", "ethanol", _OF_255),
    _word(0x59, "rail pressure, absolute", "rail_pressure_absolute_kpa", 10.0),
    _byte(0x5A, "relative pedal position", "relative_pedal", _OF_255),
    _byte(0x5C, "oil temperature", "oil_temperature_c", 1.0, -40.0),
    _word(0x5E, "fuel rate", "fuel_rate_l_h", _LITRES_AN_HOUR),
    _bits(0x60, "supported parameters 61 to 80", 4),
    _byte(0x61, "torque asked for, of the reference", "torque_target", 0.01, -1.25),
    _byte(0x62, "torque given, of the reference", "torque_given", 0.01, -1.25),
    _word(0x63, "reference torque", "reference_torque_nm"),
    # Its last byte holds the states of the control.
    _pressures(
        0x70,
        "boost pressure control",
        10,
        "target_pressure_kpa",
        "charge_pressure_kpa",
        "target_pressure_b_kpa",
        "charge_pressure_b_kpa",
    ),
    _bits(0x80, "supported parameters 81 to A0", 4),
    _pressures(0x87, "manifold pressure, fine", 5, "manifold_pressure_kpa", "manifold_pressure_b_kpa"),
    _bits(0xA0, "supported parameters A1 to C0", 4),
    _bits(0xC0, "supported parameters C1 to E0", 4),
)

PARAMETERS: Final[Mapping[int, Parameter]] = MappingProxyType({parameter.identifier: parameter for parameter in _TABLE})
"""Parameters of service 01 that are understood, by identifier."""


def decode_parameter(identifier: int, data: bytes) -> tuple[Reading, ...]:
    """Numbers of one parameter's data bytes.

    Parameters
    ----------
    identifier : int
        0x00..0xFF.
    data : bytes
        Behind the identifier in the answer; more bytes than the parameter has are left alone.

    Returns
    -------
    tuple of Reading
        Empty for a pattern of bits.

    Raises
    ------
    ValueError
        On an identifier that is not in `PARAMETERS`, or too few bytes.

    References
    ----------
    SAE J1979 / ISO 15031-5 (memory).
    """
    parameter = PARAMETERS.get(identifier)
    if parameter is None:
        raise ValueError(f"parameter {identifier:02X} is not known")
    if len(data) < parameter.size:
        raise ValueError(f"parameter {identifier:02X} has {parameter.size} data bytes, not {len(data)}")
    return tuple(_reading(quantity, data) for quantity in parameter.quantities)


def manifold_pressure_kpa(data: bytes, full_scale_kpa: float) -> Reading:
    """Manifold pressure of parameter 0B on a car that announces a wider scale.

    Parameters
    ----------
    data : bytes
        The one data byte.
    full_scale_kpa : float
        What parameter 4F says of it, its fourth byte times ten [kPa]; 0 for the usual 255.

    Returns
    -------
    Reading

    References
    ----------
    SAE J1979, parameter 4F (memory).
    """
    scale = (full_scale_kpa or 255.0) / 255.0
    return _reading(replace(PARAMETERS[0x0B].quantities[0], scale=scale), data)


def _reading(quantity: Quantity, data: bytes) -> Reading:
    raw = int.from_bytes(data[quantity.first : quantity.first + quantity.size], "big")
    return Reading(
        channel=quantity.channel,
        value=quantity.offset + quantity.scale * raw,
        is_at_ceiling=raw == (1 << 8 * quantity.size) - 1,
    )
