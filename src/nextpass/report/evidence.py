"""The figures under a finding: each with a name in words, in the reader's language and units.

A figure's name in the answer ends in its unit, followed by what it is of the samples (``_max``, ``_p90``); ratios and
differences, which a name does not tell from other values, stand in the tables below.
"""

import math

import numpy as np

from nextpass.report.quantity import quantity_of
from nextpass.report.reader import Reader
from nextpass.review import Finding
from nextpass.units import pressure_decimals
from nextpass.words import keys

# Ratios that people read in percent.
_SHARES = frozenset(
    {
        "launch_dip_ratio",
        "slip_ratio_p90",
        "over_target_ratio_max",
        "wastegate_duty",
        "throttle_min",
        "trim_bank1",
        "trim_bank2",
        "injector_duty_max",
        "injector_duty_guard",
        "injector_duty_with_more_air",
        "rail_pressure_drop",
        "rail_pressure_drop_guard",
        "flow_lost",
        "torque_fade",
        "cooler_effectiveness",
        "free_axle_slip_ratio",
    }
)
# Differences of pressure, which have no zero to count from; a rail's pressure stands over a reference of its own.
_PRESSURE_STEPS = frozenset(
    {
        "over_target_kpa",
        "over_target_kpa_max",
        "below_target_kpa",
        "oscillation_kpa",
        "target_step_kpa",
        "pressure_rise_kpa",
        "rail_pressure_kpa_min",
    }
)
# Differences of temperature.
_TEMPERATURE_STEPS = frozenset({"climb_c", "over_air_c"})
# Readings of the channel that the finding is about, in that channel's unit.
_OF_THE_CHANNEL = frozenset({"reads", "clipped_at"})
_STATISTICS = ("_max", "_min", "_p90", "_cell", "_held", "_set", "_spread")
_UNITS: dict[str, tuple[str, int]] = {
    "_rpm": ("rpm", 0),
    "_deg": ("°", 1),
    "_mps2": ("m/s²", 1),
    "_nm": ("N m", 0),
    "_kj": ("kJ", 0),
    "_kw": ("kW", 1),
    "_hz": ("Hz", 1),
    "_c": ("°C", 0),
    "_k": ("K", 0),
    "_v": ("V", 1),
    "_m": ("m", 0),
    "_s": ("s", 2),
    "_n": ("N", 0),
}


def evidence_shown(finding: Finding, reader: Reader) -> tuple[tuple[str, str], ...]:
    """Names and figures of what a finding rests on.

    Parameters
    ----------
    finding : Finding
        Of any pass, one from an older book included.
    reader : Reader
        Language and units.

    Returns
    -------
    tuple of (str, str)
        Label and figure with unit, in the finding's order; without figures that the log could not give.
    """
    known = [(name, value) for name, value in finding.evidence.items() if math.isfinite(value)]
    return tuple((_label(name, reader), _figure(finding, name, value, reader)) for name, value in known)


def _label(name: str, reader: Reader) -> str:
    key = f"evidence.{name}"
    # An older answer may hold a figure that no finding gives any more.
    return reader.says(key) if key in keys(reader.language) else reader.evidence(name, 0.0)[0]


def _figure(finding: Finding, name: str, value: float, reader: Reader) -> str:
    if name in _SHARES:
        return f"{reader.number(100.0 * value)}\N{NO-BREAK SPACE}%"
    if name in _PRESSURE_STEPS:
        step = reader.pressure_value(value) - reader.pressure_value(0.0)
        return f"{reader.number(step, pressure_decimals(reader.units))}\N{NO-BREAK SPACE}{reader.pressure_step_unit}"
    if name in _TEMPERATURE_STEPS:
        return f"{reader.number(value)}\N{NO-BREAK SPACE}K"
    if name in _OF_THE_CHANNEL and finding.channels:
        quantity = quantity_of(finding.channels[0], reader)
        shown = float(quantity.shown(np.array([value]))[0])
        return f"{reader.number(shown, quantity.decimals)}\N{NO-BREAK SPACE}{quantity.unit}".strip()
    if name == "speed_kmh":
        return f"{reader.speed(value / 3.6)}\N{NO-BREAK SPACE}{reader.speed_unit}"
    if name.startswith("lambda_"):
        return reader.number(value, 3)
    base = name
    for statistic in _STATISTICS:
        base = base.removesuffix(statistic)
    if base.endswith("_kpa"):
        return reader.pressure_with_unit(value)
    ending = max((ending for ending in _UNITS if base.endswith(ending)), key=len, default="")
    if ending:
        unit, decimals = _UNITS[ending]
        return f"{reader.number(value, decimals)}\N{NO-BREAK SPACE}{unit}"
    return reader.number(value) if float(value).is_integer() else reader.evidence(name, value)[1]
