"""Unit, axis and sign of an accelerometer, held against the change of the vehicle's speed.

No car of this trade pulls or brakes at more than about 2.5 g on a prepared strip for long: readings that never pass 3
are g, readings of 5 and more m/s². The forward axis is the one that follows the change of speed; where it follows with
the other sign the sensor was mounted backwards, and that is said.
"""

import numpy as np

from nextpass.log.column import Column
from nextpass.log.evidence.plain import is_plausible, written_unit
from nextpass.log.evidence.situation import FEWEST_READINGS, Situation
from nextpass.log.evidence.verdict import (
    BY_VALUES,
    CONFIRMED,
    DOUBTFUL,
    WRITTEN,
    Conversion,
    Verdict,
    asked,
    conversion_of,
    impossible,
)
from nextpass.log.vocabulary import ChannelKind
from nextpass.units import unit_of
from nextpass.words import phrase

MOST_AS_G = 3.0
LEAST_AS_MPS2 = 4.5
FOLLOWS = 0.7
# Time over which the change of speed is taken [s]: longer than a wheel's flutter, shorter than a gear.
WINDOW_S = 0.5


def judge_acceleration(column: Column, kind: ChannelKind, situation: Situation) -> Verdict:
    """Verdict for one axis of an accelerometer."""
    unit = written_unit(column, kind)
    confidence, reason = WRITTEN, phrase("log.written", unit=str(unit))
    if unit is None:
        swing = float(np.percentile(np.abs(column.values - np.median(column.values)), 99))
        name = "g" if swing < MOST_AS_G and column.high < 5.0 else "m/s2" if swing > LEAST_AS_MPS2 else ""
        if not name:
            return asked(phrase("log.acceleration.swings", swing=swing), ("g", "m/s2"), phrase("log.unwritten"))
        if name == "g" and swing < 0.15:
            return asked(phrase("log.acceleration.hardly", swing=swing), ("g", "m/s2"), phrase("log.unwritten"))
        unit = unit_of(name, "acceleration")
        confidence, reason = BY_VALUES, phrase("log.acceleration.by_swing", swing=swing, unit=name)
    conversion = conversion_of(unit)
    if not is_plausible(conversion.apply(column.values), kind):
        return impossible(column, str(unit), ("g", "m/s2"))
    verdict = Verdict(conversion=conversion, unit=unit.name, confidence=confidence, reason=reason)
    return _with_sign(verdict, column, situation) if kind.name == "longitudinal_acceleration_mps2" else verdict


def _with_sign(verdict: Verdict, column: Column, situation: Situation) -> Verdict:
    """The forward axis checked by the change of speed, whose unit does not matter for a correlation."""
    follows = _correlation_with_speed(column, situation)
    says_axis = {"longitudinal", "long"} & column.header.words
    if follows is None:
        if says_axis:
            return verdict
        return asked(phrase("log.acceleration.no_change"), (verdict.unit,), phrase("log.acceleration.no_axis"))
    if follows > FOLLOWS:
        return Verdict(
            conversion=verdict.conversion,
            unit=verdict.unit,
            confidence=max(verdict.confidence, CONFIRMED if verdict.confidence >= WRITTEN else BY_VALUES),
            reason=phrase("log.acceleration.follows", reason=verdict.reason, correlation=follows),
        )
    if follows < -FOLLOWS:
        return Verdict(
            conversion=Conversion(scale=-verdict.conversion.scale, offset=-verdict.conversion.offset),
            unit=verdict.unit,
            confidence=verdict.confidence,
            reason=phrase("log.acceleration.turned", reason=verdict.reason, correlation=follows),
            remark=phrase("log.acceleration.braking"),
        )
    if says_axis:
        return verdict
    return asked(
        phrase("log.acceleration.which_axis", correlation=follows),
        (verdict.unit,),
        phrase("log.acceleration.no_axis"),
        DOUBTFUL,
    )


def _correlation_with_speed(column: Column, situation: Situation) -> float | None:
    speed = situation.speed
    if speed is None or column.values.size < 50 or not speed.high > speed.low:
        return None
    middle = np.arange(column.time_s[0] + WINDOW_S / 2, column.time_s[-1] - WINDOW_S / 2, WINDOW_S / 4)
    if middle.size < FEWEST_READINGS:
        return None
    change = np.interp(middle + WINDOW_S / 2, speed.time_s, speed.values) - np.interp(
        middle - WINDOW_S / 2, speed.time_s, speed.values
    )
    summed = np.concatenate([[0.0], np.cumsum(0.5 * (column.values[1:] + column.values[:-1]) * np.diff(column.time_s))])
    mean = np.interp(middle + WINDOW_S / 2, column.time_s, summed) - np.interp(
        middle - WINDOW_S / 2, column.time_s, summed
    )
    # A damaged number may be so great that its square is none.
    with np.errstate(over="ignore", invalid="ignore"):
        spreads = float(np.std(change)), float(np.std(mean))
    if not min(spreads) > 1e-9 or not np.isfinite(spreads).all():
        return None
    return float(np.corrcoef(change, mean)[0, 1])
