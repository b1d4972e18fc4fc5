"""Lambda, air-fuel ratio on which scale, or equivalence ratio.

Lambda reads 0.6 to 1.6 and an air-fuel ratio 7 to 22: the values tell them apart whatever the header says. An air-fuel
ratio is lambda times the stoichiometric ratio of the scale that the gauge uses, often gasoline's whatever is in the
tank. A warm engine idles in closed loop at lambda 1, so its reading there is the scale.
"""

import numpy as np

from nextpass.log.column import Column
from nextpass.log.evidence.plain import is_plausible, written_unit
from nextpass.log.evidence.situation import Situation, median_where
from nextpass.log.evidence.verdict import BY_VALUES, CONFIRMED, WRITTEN, Conversion, Verdict, asked, conversion_of
from nextpass.log.vocabulary import ChannelKind
from nextpass.units import Unit, air_fuel_ratio
from nextpass.words import Phrase, phrase

# Gasoline's stoichiometric air-fuel ratio as gauges have it: common practice.
GASOLINE_AFR = 14.7
# How near to a known scale the idle reading must lie: closed loop holds lambda 1 within a percent or two.
SCALE_BAND = 0.02
# A written scale is doubted when the idle reads farther from lambda 1 than any tune sets it.
IDLE_BAND = 0.12
LEAST_AFR = 6.0
LAMBDA_RANGE = (0.45, 1.9)


def judge_mixture(column: Column, kind: ChannelKind, situation: Situation) -> Verdict:
    """Verdict for lambda, however it was logged."""
    low, high = np.percentile(column.values, [2, 98])
    unit = written_unit(column, kind)
    if (unit is not None and unit.is_inverse) or {"equivalence", "phi", "eq"} & column.header.words:
        return _judge_equivalence(column, kind, situation)
    if LAMBDA_RANGE[0] < low and high < LAMBDA_RANGE[1] + 0.6:
        says_afr = "afr" in column.header.words or (unit is not None and unit.name.startswith("AFR"))
        return Verdict(
            conversion=Conversion(),
            unit="lambda",
            confidence=BY_VALUES if says_afr else CONFIRMED,
            reason=phrase("log.mixture.is_lambda", low=low, high=high),
            remark=phrase("log.mixture.named_afr") if says_afr else "",
        )
    if low < LEAST_AFR or high > 40.0:
        return asked(
            phrase("log.mixture.neither", low=column.low, high=column.high),
            ("lambda", f"afr@{GASOLINE_AFR}"),
            phrase("log.plain.impossible"),
        )
    if unit is not None and np.isfinite(unit.scale) and unit.name.startswith("AFR"):
        return _judge_written_scale(column, unit, situation)
    return _judge_air_fuel_ratio(column, situation)


def _judge_equivalence(column: Column, kind: ChannelKind, situation: Situation) -> Verdict:
    """Equivalence ratio is one over lambda: over 1 under load, where lambda is under 1; the names get mixed up."""
    loaded = median_where(column.values, situation.pulling(column.time_s))
    if np.isfinite(loaded) and loaded > 1.03:
        conversion = Conversion(is_inverse=True)
        if is_plausible(conversion.apply(column.values), kind):
            return Verdict(
                conversion=conversion,
                unit="equivalence ratio",
                confidence=CONFIRMED,
                reason=phrase("log.mixture.equivalence", loaded=loaded),
            )
    return asked(
        phrase("log.mixture.no_load") if not np.isfinite(loaded) else phrase("log.mixture.as_lambda", loaded=loaded),
        ("equivalence ratio", "lambda"),
        phrase("log.mixture.mixed_up"),
    )


def _judge_written_scale(column: Column, unit: Unit, situation: Situation) -> Verdict:
    """The scale that is written, unless the reading at idle is lambda 1 on another one."""
    idle = median_where(column.values, situation.idling(column.time_s))
    others = [scale for scale in _scales(situation) if abs(idle / scale - 1.0) < SCALE_BAND]
    if others and abs(idle * unit.scale - 1.0) > IDLE_BAND:
        return asked(
            phrase("log.mixture.other_scale", unit=unit.name, idle=idle, scale=others[0]),
            (f"afr@{others[0]:g}", unit.name.lower()),
            phrase("log.disagree"),
        )
    return Verdict(
        conversion=conversion_of(unit), unit=unit.name, confidence=WRITTEN, reason=phrase("log.written", unit=unit.name)
    )


def _scales(situation: Situation) -> dict[float, Phrase]:
    """Stoichiometric ratios that a gauge may have, with what they are of."""
    scales = {GASOLINE_AFR: phrase("log.mixture.gasoline")}
    tank = situation.hints.stoichiometric_afr
    return scales if tank is None else {**scales, round(tank, 2): phrase("log.mixture.tank")}


def _judge_air_fuel_ratio(column: Column, situation: Situation) -> Verdict:
    idle = median_where(column.values, situation.idling(column.time_s))
    scales = _scales(situation)
    choices = tuple(f"afr@{scale:g}" for scale in scales)
    fitting = [scale for scale in scales if abs(idle / scale - 1.0) < SCALE_BAND]
    if len(fitting) == 1 or (len(fitting) == 2 and abs(fitting[0] / fitting[1] - 1.0) < 0.005):
        scale = fitting[0]
        unit = air_fuel_ratio(scale)
        return Verdict(
            conversion=conversion_of(unit),
            unit=unit.name,
            confidence=BY_VALUES,
            reason=phrase("log.mixture.by_idle", idle=idle, of=scales[scale], scale=scale),
        )
    is_shown = np.isfinite(idle)
    question = phrase("log.mixture.which_scale", idle=idle) if is_shown else phrase("log.mixture.no_idle")
    return asked(question, choices, phrase("log.mixture.no_scale"))
