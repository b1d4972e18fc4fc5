"""Percent or fraction; for fuel trims also a factor about 1 or a percentage about 100.

A reading above 1.5 is percent. A channel that went to its end must have read 1 or 100 there; one that stayed below 1.5
all the time may be a fraction or a percentage of nearly nothing, and only a full-throttle pull can tell.
"""

import numpy as np

from nextpass.log.column import Column
from nextpass.log.evidence.plain import is_plausible, written_unit
from nextpass.log.evidence.situation import Situation, median_where
from nextpass.log.evidence.verdict import BY_VALUES, CONFIRMED, WRITTEN, Conversion, Verdict, asked, impossible
from nextpass.log.vocabulary import ChannelKind
from nextpass.words import phrase

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
            reason=phrase("log.written", unit=unit.name),
        )
    if high > most:
        if is_plausible(PERCENT.apply(column.values), kind) and unit is None:
            return Verdict(
                conversion=PERCENT,
                unit="%",
                confidence=BY_VALUES,
                reason=phrase("log.ratio.percent", high=column.high),
            )
        return asked(
            phrase("log.ratio.no_fraction" if unit else "log.ratio.neither", low=column.low, high=column.high),
            ("%", "fraction"),
            phrase("log.plain.impossible"),
        )
    shows_full = kind.name in _FULL_IN_A_PULL and 0.7 < high <= 1.1
    if unit is not None or shows_full:
        return Verdict(
            conversion=FRACTION,
            unit="fraction",
            confidence=CONFIRMED if unit is not None and shows_full else WRITTEN if unit is not None else BY_VALUES,
            reason=phrase("log.ratio.written") if unit is not None else phrase("log.ratio.fraction", high=high),
        )
    if column.low == column.high == 0.0:
        return Verdict(conversion=FRACTION, unit="fraction", confidence=BY_VALUES, reason=phrase("log.ratio.nothing"))
    return asked(phrase("log.ratio.which", high=column.high), ("%", "fraction"), phrase("log.unwritten"))


def _judge_percent(column: Column, kind: ChannelKind, high: float, pulled: float) -> Verdict:
    if kind.name in _FULL_IN_A_PULL and np.isfinite(pulled) and pulled <= MOST_AS_FRACTION:
        return asked(
            phrase("log.ratio.pulled", pulled=pulled),
            ("fraction", "%"),
            phrase("log.disagree"),
        )
    # In a long log the pull is a hundredth of the rows: counts of a byte pass there for a few stray readings.
    if kind.name in _FULL_IN_A_PULL and not is_plausible(PERCENT.apply(np.array([pulled])), kind):
        return impossible(column, "%", ("%", "-"))
    if not is_plausible(PERCENT.apply(column.values), kind):
        return impossible(column, "%", ("%",))
    is_sure = high > max(MOST_AS_FRACTION, kind.plausible[1])
    return Verdict(
        conversion=PERCENT,
        unit="%",
        confidence=CONFIRMED if is_sure else WRITTEN,
        reason=phrase("log.ratio.sure") if is_sure else phrase("log.written", unit="%"),
    )


def _judge_trim(column: Column, kind: ChannelKind) -> Verdict:
    unit = written_unit(column, kind)
    middle, spread = float(np.median(column.values)), float(np.percentile(np.abs(column.values), 98))
    if abs(middle - 1.0) < 0.4 and column.low > 0.4 and unit is None:
        return _trim(Conversion(offset=-1.0), "factor", phrase("log.ratio.factor", middle=middle))
    if abs(middle - 100.0) < 40.0 and column.low > 40.0:
        return _trim(Conversion(scale=0.01, offset=-1.0), "% about 100", phrase("log.ratio.about_100", middle=middle))
    if unit is not None and unit.name == "%":
        if is_plausible(PERCENT.apply(column.values), kind):
            return Verdict(conversion=PERCENT, unit="%", confidence=WRITTEN, reason=phrase("log.written", unit="%"))
        return impossible(column, "%", ("%", "fraction"))
    if unit is not None and unit.name == "fraction" and is_plausible(column.values, kind):
        return Verdict(conversion=FRACTION, unit="fraction", confidence=WRITTEN, reason=phrase("log.ratio.written"))
    if spread > 1.0 and is_plausible(PERCENT.apply(column.values), kind):
        return _trim(PERCENT, "%", phrase("log.ratio.from_0", spread=spread))
    return asked(phrase("log.ratio.which_from_0", spread=spread), ("%", "fraction"), phrase("log.unwritten"))


def _trim(conversion: Conversion, unit: str, reason: str) -> Verdict:
    return Verdict(conversion=conversion, unit=unit, confidence=BY_VALUES, reason=reason)
