"""Percent or fraction; for fuel trims also a factor about 1 or a percentage about 100.

A reading above 1.5 is percent. A channel that went to its end must have read 1 or 100 there; one that stayed below 1.5
all the time may be a fraction or a percentage of nearly nothing, and only a full-throttle pull can tell.
"""

import numpy as np

from nextpass.log.column import Column
from nextpass.log.evidence.plain import is_plausible, written_unit
from nextpass.log.evidence.situation import Situation, median_where
from nextpass.log.evidence.verdict import BY_VALUES, CONFIRMED, WRITTEN, Conversion, Verdict, asked
from nextpass.log.vocabulary import ChannelKind

# No share that a car logs is more than this as a fraction (engine load apart, whose range says so).
MOST_AS_FRACTION = 1.5
# Channels that go to their end in a full-throttle pull.
_FULL_IN_A_PULL = frozenset({"throttle", "throttle_target", "pedal"})
PERCENT = Conversion(scale=0.01)
FRACTION = Conversion()


def judge_ratio(column: Column, kind: ChannelKind, situation: Situation) -> Verdict:
    """Verdict for a share, a duty or a fuel trim."""
    if "_trim_" in kind.name:
        return _judge_trim(column, kind)
    unit = written_unit(column, kind)
    most = max(MOST_AS_FRACTION, kind.plausible[1])
    high = float(np.percentile(column.values, 99.5))
    pulled = median_where(column.values, situation.pulling(column.time_s))
    if unit is not None and unit.name == "%":
        return _judge_percent(column, kind, high, pulled)
    if unit is not None and unit.name not in {"fraction", "%"}:
        return Verdict(
            conversion=Conversion(scale=unit.scale),
            unit=unit.name,
            confidence=WRITTEN,
            reason=f"{unit.name} is written",
        )
    if high > most:
        if is_plausible(PERCENT.apply(column.values), kind) and unit is None:
            return Verdict(
                conversion=PERCENT, unit="%", confidence=BY_VALUES, reason=f"it reads up to {column.high:g}: percent"
            )
        return asked(
            f"readings of {column.low:g} to {column.high:g} are no fraction"
            + (", as is written" if unit else " and no percentage"),
            ("%", "fraction"),
            "values impossible",
        )
    shows_full = kind.name in _FULL_IN_A_PULL and 0.7 < high <= 1.1
    if unit is not None or shows_full:
        return Verdict(
            conversion=FRACTION,
            unit="fraction",
            confidence=CONFIRMED if unit is not None and shows_full else WRITTEN if unit is not None else BY_VALUES,
            reason="a fraction is written" if unit is not None else f"it reads {high:.3g} at its end: a fraction",
        )
    if column.low == column.high == 0.0:
        return Verdict(conversion=FRACTION, unit="fraction", confidence=BY_VALUES, reason="it reads nothing but 0")
    return asked(f"percent or fraction? It reads no more than {column.high:g}", ("%", "fraction"), "no unit written")


def _judge_percent(column: Column, kind: ChannelKind, high: float, pulled: float) -> Verdict:
    if kind.name in _FULL_IN_A_PULL and np.isfinite(pulled) and pulled <= MOST_AS_FRACTION:
        return asked(
            f"% is written, but it reads only {pulled:.3g} in a full-throttle pull, as a fraction does",
            ("fraction", "%"),
            "unit written, values speak against it",
        )
    if not is_plausible(PERCENT.apply(column.values), kind):
        return asked(
            f"% is written, but readings of {column.low:g} to {column.high:g} are not possible in it",
            ("%",),
            "unit written, values impossible",
        )
    is_sure = high > max(MOST_AS_FRACTION, kind.plausible[1])
    return Verdict(
        conversion=PERCENT,
        unit="%",
        confidence=CONFIRMED if is_sure else WRITTEN,
        reason="% is written" + (", and it reads more than a fraction can" if is_sure else ""),
    )


def _judge_trim(column: Column, kind: ChannelKind) -> Verdict:
    unit = written_unit(column, kind)
    middle, spread = float(np.median(column.values)), float(np.percentile(np.abs(column.values), 98))
    if abs(middle - 1.0) < 0.4 and column.low > 0.4 and unit is None:
        return _trim(Conversion(offset=-1.0), "factor", f"it lies about 1 (median {middle:.3g}): a factor")
    if abs(middle - 100.0) < 40.0 and column.low > 40.0:
        return _trim(Conversion(scale=0.01, offset=-1.0), "% about 100", f"it lies about 100 (median {middle:.3g})")
    if unit is not None and unit.name == "%":
        if is_plausible(PERCENT.apply(column.values), kind):
            return Verdict(conversion=PERCENT, unit="%", confidence=WRITTEN, reason="% is written")
        return asked("% is written, but its readings are not possible in it", ("%", "fraction"), "values impossible")
    if unit is not None and unit.name == "fraction" and is_plausible(column.values, kind):
        return Verdict(conversion=FRACTION, unit="fraction", confidence=WRITTEN, reason="a fraction is written")
    if spread > 1.0 and is_plausible(PERCENT.apply(column.values), kind):
        return _trim(PERCENT, "%", f"it reads up to {spread:.3g} from 0: percent")
    return asked(
        f"percent or fraction? It reads no more than {spread:.3g} from 0", ("%", "fraction"), "no unit written"
    )


def _trim(conversion: Conversion, unit: str, reason: str) -> Verdict:
    return Verdict(conversion=conversion, unit=unit, confidence=BY_VALUES, reason=reason)
