"""Units that the header states, or that only one order of magnitude fits: rotation, voltage, time, angle, state.

Where the unit is not written and several are in use for the quantity, only the values may choose, and only if exactly
one unit puts them inside the channel's plausible range.
"""

import numpy as np

from nextpass.log.channel import FloatArray
from nextpass.log.column import Column
from nextpass.log.evidence.verdict import (
    BY_NAME,
    BY_VALUES,
    CONFIRMED,
    WRITTEN,
    Conversion,
    Verdict,
    asked,
    conversion_of,
    impossible,
)
from nextpass.log.vocabulary import ChannelKind
from nextpass.units import Unit, canonical_unit, unit_of
from nextpass.words import phrase

# Share of the readings that may lie outside the plausible range: start-up values, a connector that shook.
MOST_OUTSIDE = 0.02
# Quantities whose unit nobody writes because there is only one in use.
_ONLY_UNIT = {"rotation": "rpm", "angle": "deg", "voltage": "V", "state": "", "turn_rate": "deg/s", "frequency": "Hz"}
# What else is in use, where a value far off shows it.
_OTHERS = {
    "rotation": ("rpm", "1000 rpm"),
    "voltage": ("V", "mV"),
    "time": ("s", "ms", "us"),
    "angle": ("deg",),
    "state": ("-",),
    "turn_rate": ("deg/s", "rad/s"),
}


def is_plausible(values: FloatArray, kind: ChannelKind) -> bool:
    """Whether nearly all canonical values lie where the channel can truly be, and reach what it must."""
    low, high = kind.plausible
    finite = values[np.isfinite(values)]
    # What reads nothing but 0 does not run: an engine that stands still says so in every unit.
    if finite.size and finite.max() < kind.reaches and finite.any():
        return False
    # Half a percent of the span: 100.4 % of a throttle is a calibration, not another unit.
    slack = 0.005 * (high - low)
    return bool(finite.size == 0 or np.mean((finite < low - slack) | (finite > high + slack)) <= MOST_OUTSIDE)


def written_unit(column: Column, kind: ChannelKind) -> Unit | None:
    """The unit of this quantity that the header states."""
    return next((unit for unit in column.header.units if unit.quantity == kind.quantity), None)


def judge_plain(column: Column, kind: ChannelKind) -> Verdict:
    """Verdict for a quantity whose unit is written or has only one that fits."""
    unit = written_unit(column, kind)
    if kind.name.startswith("knock_retard"):
        return _judge_retard(column, unit)
    if unit is not None:
        return _judge_written(column, kind, unit)
    fitting = [
        each
        for name in _OTHERS.get(kind.quantity, ())
        if is_plausible(conversion_of(each := unit_of(name, kind.quantity)).apply(column.values), kind)
    ]
    if fitting and fitting[0].name == _ONLY_UNIT.get(kind.quantity):
        return Verdict(
            conversion=conversion_of(fitting[0]),
            unit=fitting[0].name,
            confidence=CONFIRMED if kind.quantity == "state" else BY_VALUES,
            reason=phrase("log.plain.not_needed")
            if kind.quantity == "state"
            else phrase("log.plain.only_one", unit=fitting[0].name),
        )
    if len(fitting) == 1 and np.ptp(column.values) > 0:
        return Verdict(
            conversion=conversion_of(fitting[0]),
            unit=fitting[0].name,
            confidence=BY_VALUES,
            reason=phrase("log.plain.only_fits", unit=fitting[0].name, low=column.low, high=column.high),
        )
    return asked(
        phrase("log.plain.not_told", low=column.low, high=column.high),
        tuple(each.name for each in fitting) or (canonical_unit(kind.quantity).name,),
        phrase("log.unwritten"),
    )


def _judge_written(column: Column, kind: ChannelKind, unit: Unit) -> Verdict:
    conversion = conversion_of(unit)
    if is_plausible(conversion.apply(column.values), kind):
        return Verdict(
            conversion=conversion, unit=str(unit), confidence=WRITTEN, reason=phrase("log.written", unit=str(unit))
        )
    return impossible(column, str(unit), (str(unit),))


def _judge_retard(column: Column, unit: Unit | None) -> Verdict:
    """Knock retard counts positive inside; loggers write it with either sign, but never with both."""
    if column.low < -0.2 and column.high > 0.2:
        return asked(
            phrase("log.plain.which_sign", low=column.low, high=column.high),
            ("deg",),
            phrase("log.plain.both_signs"),
        )
    is_negative = column.low < -0.2
    reason = phrase("log.plain.negative" if is_negative else "log.plain.not_negative")
    return Verdict(
        conversion=Conversion(scale=-1.0 if is_negative else 1.0),
        unit="deg",
        confidence=WRITTEN if unit is not None else BY_NAME,
        reason=reason,
    )
