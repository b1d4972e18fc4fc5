"""Absolute or gauge, and the unit where none is written.

With the engine stopped an absolute sensor shows the barometer and a gauge sensor nothing; at idle the manifold of a
throttled engine lies 20 to 85 kPa under the barometer, so an absolute sensor shows a positive reading well under it and
a gauge sensor a negative one. No absolute sensor reads below zero. A target is read as its sensor is when only then the
two agree under load. Where none of this shows, only a name that says `absolute` may decide, and a log that has no
barometer cannot turn gauge into absolute at all.
"""

from dataclasses import dataclass, replace

import numpy as np

from nextpass.log.channel import FloatArray
from nextpass.log.column import Column
from nextpass.log.evidence.plain import is_plausible, written_unit
from nextpass.log.evidence.situation import FEWEST_READINGS, Situation, median_where
from nextpass.log.evidence.verdict import (
    BY_NAME,
    BY_VALUES,
    CONFIRMED,
    WRITTEN,
    Conversion,
    Verdict,
    asked,
    conversion_of,
)
from nextpass.log.vocabulary import ChannelKind
from nextpass.units import Reference, Unit, unit_of

# A reading below this is no absolute pressure of an engine, allowing for noise about zero.
BELOW_ABSOLUTE_KPA = -4.0
# How near to the barometer, or to nothing, a sensor at rest shows it.
REST_BAND_KPA = 12.0
# Manifold pressure of an idling throttled engine, as a share of the barometer (absolute) or below it (gauge).
IDLE_ABSOLUTE_SHARE = (0.15, 0.88)
IDLE_GAUGE_KPA = -12.0
# A target and its sensor agree under load within this, and disagree by more than the second when misread.
FOLLOWS_KPA = 30.0
MISREAD_KPA = 40.0
STANDARD_KPA = 101.325
IN_USE = ("kPa", "bar", "psi", "mbar", "inHg")


@dataclass(frozen=True, slots=True)
class _Reference:
    reference: Reference
    confidence: float
    reason: str
    remark: str = ""
    floor_kpa: float = -np.inf


def judge_pressure(column: Column, kind: ChannelKind, situation: Situation) -> Verdict:
    """Verdict for a pressure."""
    unit = written_unit(column, kind)
    if kind.name == "barometric_pressure_kpa":
        return _judge_barometer(column, kind, unit)
    if unit is None:
        return _judge_without_unit(column, kind, situation)
    if kind.reference == "as logged":
        return _judge_as_logged(column, kind, unit)
    found = _reference(column, kind, unit, situation)
    if isinstance(found, Verdict):
        return found
    return _verdict(column, kind, unit, found, situation)


def pressure_as_told(unit: Unit, kind: ChannelKind, situation: Situation) -> Verdict:
    """Verdict for a pressure whose unit and reference a person has told; only the barometer may be missing."""
    return _counted_from(unit, kind, _Reference(unit.reference, 1.0, "by answer"), situation)


def _judge_barometer(column: Column, kind: ChannelKind, unit: Unit | None) -> Verdict:
    names = IN_USE if unit is None else (unit.name,)
    fitting = [
        each
        for name in names
        if is_plausible(conversion_of(each := unit_of(name, "pressure")).apply(column.values), kind)
    ]
    if len(fitting) == 1:
        return Verdict(
            conversion=conversion_of(fitting[0]),
            unit=f"{fitting[0].name} absolute",
            confidence=CONFIRMED if unit is not None else BY_VALUES,
            reason=f"{column.low:g} to {column.high:g} {fitting[0].name} is the pressure of the air",
        )
    return asked(
        f"readings of {column.low:g} to {column.high:g} are not the pressure of the air in {', '.join(names)}",
        names,
        "values impossible",
    )


def _judge_as_logged(column: Column, kind: ChannelKind, unit: Unit) -> Verdict:
    conversion = conversion_of(unit)
    if not is_plausible(conversion.apply(column.values), kind):
        return asked(
            f"{unit} is written, but readings of {column.low:g} to {column.high:g} are not possible in it",
            (unit.name,),
            "unit written, values impossible",
        )
    return Verdict(
        conversion=conversion, unit=str(unit), confidence=WRITTEN, reason=f"{unit} is written, kept as logged"
    )


def _judge_without_unit(column: Column, kind: ChannelKind, situation: Situation) -> Verdict:
    verdicts = {
        f"{name} {found.reference}": verdict
        for name in IN_USE
        if isinstance(found := _reference(column, kind, unit_of(name, "pressure"), situation), _Reference)
        and found.confidence >= BY_VALUES
        and not (verdict := _verdict(column, kind, unit_of(name, "pressure"), found, situation)).question
    }
    if kind.reference != "as logged" and len(verdicts) == 1:
        verdict = next(iter(verdicts.values()))
        return replace(
            verdict, confidence=BY_VALUES, reason=f"no unit written; only {verdict.unit} fits: {verdict.reason}"
        )
    return asked(
        f"no unit is written and readings of {column.low:g} to {column.high:g} fit several",
        tuple(verdicts) or tuple(IN_USE),
        "no unit written",
    )


def _reference(column: Column, kind: ChannelKind, unit: Unit, situation: Situation) -> _Reference | Verdict:
    """What the pressure counts from, or the question."""
    said = unit.reference or column.header.reference
    shown = _shown_reference(column, kind, unit, situation)
    if shown is None and not said and "map" in column.header.words and column.low * unit.scale > 10.0:
        remark = "taken as absolute by its name: no reading at idle or with the engine stopped confirms it"
        return _Reference("absolute", BY_NAME, "a manifold absolute pressure by its name", remark)
    if shown is None and not said:
        return asked(
            "absolute or gauge? No reading at idle or with the engine stopped shows it",
            (f"{unit.name} absolute", f"{unit.name} gauge"),
            f"{unit.name} is written, what it counts from is not",
        )
    if shown is None:
        return _Reference(said, WRITTEN, f"{said} is written")
    if said and said != shown.reference:
        return asked(
            f"{said} is written, but {shown.reason}, as only {shown.reference} does",
            (f"{unit.name} {shown.reference}", f"{unit.name} {said}"),
            "what is written and what the values show disagree",
        )
    return replace(shown, confidence=CONFIRMED) if said else shown


def _shown_reference(column: Column, kind: ChannelKind, unit: Unit, situation: Situation) -> _Reference | None:
    kpa = column.values * unit.scale + unit.offset
    if kind.name == "target_pressure_kpa":
        return _as_its_sensor(column, kpa, situation)
    # The least one percent, not the least reading: one spike must not decide.
    least = float(np.percentile(kpa, 1))
    if least < BELOW_ABSOLUTE_KPA:
        return _Reference("gauge", BY_VALUES, f"it reads down to {column.low:g} {unit.name}, below nothing")
    at_rest = _at_rest(kpa, column, unit, situation)
    if at_rest is not None or kind.name != "manifold_pressure_kpa":
        return at_rest
    return _at_idle(kpa, column, unit, situation)


def _at_rest(kpa: FloatArray, column: Column, unit: Unit, situation: Situation) -> _Reference | None:
    """Engine stopped; for sensors that see the air around while the engine idles, idle will do as well."""
    rest = median_where(kpa, situation.stopped(column.time_s))
    when = "with the engine stopped"
    if not np.isfinite(rest) and {"charge", "exhaust"} & column.header.words:
        rest, when = median_where(kpa, situation.idling(column.time_s)), "at idle"
    if not np.isfinite(rest):
        return None
    reading = f"it reads {rest / unit.scale:.4g} {unit.name} {when}"
    if abs(rest) < REST_BAND_KPA:
        return _Reference("gauge", BY_VALUES, reading)
    if abs(rest - (situation.barometric_pressure_kpa or STANDARD_KPA)) < REST_BAND_KPA + (
        0.0 if situation.barometric_pressure_kpa else 25.0
    ):
        return _Reference("absolute", BY_VALUES, reading)
    return None


def _at_idle(kpa: FloatArray, column: Column, unit: Unit, situation: Situation) -> _Reference | None:
    idle = median_where(kpa, situation.idling(column.time_s))
    if not np.isfinite(idle):
        return None
    reading = f"it reads {idle / unit.scale:.4g} {unit.name} at idle"
    barometer = situation.barometric_pressure_kpa or STANDARD_KPA
    if idle < IDLE_GAUGE_KPA:
        return _Reference("gauge", BY_VALUES, reading)
    if IDLE_ABSOLUTE_SHARE[0] * barometer < idle < IDLE_ABSOLUTE_SHARE[1] * barometer:
        return _Reference("absolute", BY_VALUES, reading)
    if abs(idle) < 1.5:
        remark = f"it shows no vacuum: readings at or below {max(column.low, 0.0):g} {unit.name} were left out"
        return _Reference("gauge", BY_VALUES, reading, remark, floor_kpa=max(float(np.min(kpa)), 0.0) + 0.5)
    return None


def _as_its_sensor(column: Column, kpa: FloatArray, situation: Situation) -> _Reference | None:
    """Whichever of the two puts the target where the manifold pressure truly was under full load."""
    barometer = situation.barometric_pressure_kpa
    manifold = situation.known("manifold_pressure_kpa", column.time_s)
    if barometer is None or manifold is None:
        return None
    pulling = situation.pulling(column.time_s) & np.isfinite(manifold) & (manifold > 0.9 * barometer)
    if pulling.sum() < FEWEST_READINGS:
        return None
    if_absolute = float(np.median(np.abs(kpa[pulling] - manifold[pulling])))
    if_gauge = float(np.median(np.abs(kpa[pulling] + barometer - manifold[pulling])))
    better, worse = sorted((if_absolute, if_gauge))
    if better > FOLLOWS_KPA or worse < MISREAD_KPA or worse - better < MISREAD_KPA:
        return None
    reference: Reference = "absolute" if if_absolute < if_gauge else "gauge"
    return _Reference(reference, BY_VALUES, f"the manifold pressure follows it within {better:.3g} kPa under load")


def _verdict(column: Column, kind: ChannelKind, unit: Unit, found: _Reference, situation: Situation) -> Verdict:
    verdict = _counted_from(unit, kind, found, situation)
    if verdict.question or is_plausible(verdict.conversion.apply(column.values), kind):
        return verdict
    return asked(
        f"readings of {column.low:g} to {column.high:g} {unit.name} {found.reference} are not possible here",
        (f"{unit.name} absolute", f"{unit.name} gauge"),
        "values impossible",
    )


def _counted_from(unit: Unit, kind: ChannelKind, found: _Reference, situation: Situation) -> Verdict:
    """The conversion, over the barometer where the channel counts from the other end than its sensor."""
    barometer = situation.barometric_pressure_kpa
    offset = unit.offset
    if found.reference != kind.reference:
        if barometer is None:
            return asked(
                f"it is {found.reference}, and without the barometric pressure it cannot be made {kind.reference} "
                f"({found.reason})",
                (),
                "no barometric pressure in the log or the conditions",
            )
        offset += barometer if found.reference == "gauge" else -barometer
    return Verdict(
        conversion=Conversion(scale=unit.scale, offset=offset, floor=found.floor_kpa / unit.scale),
        unit=f"{unit.name} {found.reference}",
        confidence=found.confidence,
        reason=f"{unit.name} {found.reference}: {found.reason}",
        remark=found.remark,
    )
