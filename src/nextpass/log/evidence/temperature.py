"""Celsius or Fahrenheit, where it is not written.

A running engine's coolant lies between 60 and 125 °C: a coolant reading of 150 to 250 is Fahrenheit, one of 60 to 112
might be either (a cold engine in Fahrenheit). Nothing on a running car is much colder than the day, where the day is
known. What is still open takes the unit of the log's other temperatures where they all share one: no logger mixes them.
"""

import numpy as np

from nextpass.log.column import Column
from nextpass.log.evidence.plain import is_plausible, written_unit
from nextpass.log.evidence.situation import Situation
from nextpass.log.evidence.verdict import (
    BY_NAME,
    BY_VALUES,
    CONFIRMED,
    WRITTEN,
    Verdict,
    asked,
    conversion_of,
    impossible,
)
from nextpass.log.vocabulary import ChannelKind
from nextpass.units import unit_of
from nextpass.words import phrase

IN_USE = ("°C", "°F", "K")
# Nothing on a running car is colder than the day's air by more than this.
COLDER_THAN_AIR_K = 6.0
# Where the engine has run for a while its coolant is at least this warm.
WARM_COOLANT_C = 60.0
_HEATED = ("coolant_temperature_c", "oil_temperature_c", "gearbox_oil_temperature_c")
_NOT_COLD = (*_HEATED, "charge_temperature_c", "intake_temperature_c", "ambient_temperature_c", "exhaust_temperature_c")


def judge_temperature(column: Column, kind: ChannelKind, situation: Situation) -> Verdict:
    """Verdict for a temperature."""
    unit = written_unit(column, kind)
    if unit is not None:
        conversion = conversion_of(unit)
        if _is_possible(column, kind, unit.name, situation):
            alone = [name for name in IN_USE if _is_possible(column, kind, name, situation)] == [unit.name]
            return Verdict(
                conversion=conversion,
                unit=unit.name,
                confidence=CONFIRMED if alone else WRITTEN,
                reason=phrase("log.temperature.alone" if alone else "log.written", unit=unit.name),
            )
        fitting = tuple(name for name in IN_USE if _is_possible(column, kind, name, situation))
        return impossible(column, unit.name, fitting or IN_USE)
    possible = [name for name in IN_USE if _is_possible(column, kind, name, situation)]
    if len(possible) == 1:
        return Verdict(
            conversion=conversion_of(unit_of(possible[0], "temperature")),
            unit=possible[0],
            confidence=BY_VALUES,
            reason=phrase("log.temperature.only", low=column.low, high=column.high, unit=possible[0]),
        )
    others = situation.units_seen.get("temperature", frozenset())
    if len(others) == 1 and others <= set(possible):
        (shared,) = others
        return Verdict(
            conversion=conversion_of(unit_of(shared, "temperature")),
            unit=shared,
            confidence=BY_NAME,
            reason=phrase("log.temperature.like_others", unit=shared),
            remark=phrase("log.temperature.taken_like", unit=shared),
        )
    return asked(
        phrase("log.temperature.which", low=column.low, high=column.high, units=", ".join(possible or IN_USE)),
        tuple(possible) or IN_USE,
        phrase("log.unwritten"),
    )


def _is_possible(column: Column, kind: ChannelKind, unit: str, situation: Situation) -> bool:
    celsius = conversion_of(unit_of(unit, "temperature")).apply(column.values)
    if not is_plausible(celsius, kind):
        return False
    middle = float(np.median(celsius))
    air_c = situation.hints.air_temperature_c
    if air_c is not None and kind.name in _NOT_COLD and middle < air_c - COLDER_THAN_AIR_K:
        return False
    if kind.name == "ambient_temperature_c" and air_c is not None:
        # The sensor of a standing car heats up, but not by more than this.
        return abs(middle - air_c) < 25.0
    runs = situation.rpm is not None and situation.rpm.high > 2500.0
    if kind.name == "coolant_temperature_c" and runs:
        return WARM_COOLANT_C * 0.35 < middle < 130.0
    if kind.name in {"charge_temperature_c", "intake_temperature_c"}:
        return middle > (-25.0 if air_c is None else air_c - COLDER_THAN_AIR_K)
    return True
