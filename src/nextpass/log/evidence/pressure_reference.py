"""Whether a pressure is absolute or gauge, by what it reads with the engine stopped, at idle and under load.

With the engine stopped an absolute sensor shows the barometer and a gauge sensor nothing; at idle the manifold of a
throttled engine lies 20 to 85 kPa under the barometer, so an absolute sensor shows a positive reading well under it and
a gauge sensor a negative one. No absolute sensor reads below zero. A target is read as its sensor is when only then the
two agree under load. Where none of this shows, only a name that says `absolute` may decide.
"""

from dataclasses import dataclass, replace

import numpy as np

from nextpass.log.channel import FloatArray
from nextpass.log.column import Column
from nextpass.log.evidence.situation import FEWEST_READINGS, STANDARD_KPA, Situation, median_where
from nextpass.log.evidence.verdict import BY_NAME, BY_VALUES, CONFIRMED, WRITTEN, Verdict, asked
from nextpass.log.vocabulary import ChannelKind
from nextpass.units import Reference, Unit, unit_of
from nextpass.words import phrase

# Pressure units of gauges and control units, the likeliest first.
IN_USE = ("kPa", "bar", "psi", "mbar", "inHg")
# A reading below this is no absolute pressure of an engine, allowing for noise about zero.
BELOW_ABSOLUTE_KPA = -4.0
# How near to the barometer, or to nothing, a sensor at rest shows it; wider where the barometer is not known.
REST_BAND_KPA = 12.0
REST_BAND_UNKNOWN_KPA = 37.0
# A gauge sensor at rest may count from a standard atmosphere up in the mountains, and then reads this far below zero.
REST_BAND_BELOW_KPA = 30.0
# Manifold pressure of an idling throttled engine, as a share of the barometer (absolute) or below it (gauge).
IDLE_ABSOLUTE_SHARE = (0.15, 0.88)
IDLE_GAUGE_KPA = -12.0
# A target and its sensor agree under load within this, and disagree by more than the second when misread.
FOLLOWS_KPA = 30.0
MISREAD_KPA = 40.0


@dataclass(frozen=True, slots=True)
class FoundReference:
    """What a pressure counts from, and why; readings at or below `floor_kpa` (as logged) show nothing."""

    reference: Reference
    confidence: float
    reason: str
    remark: str = ""
    floor_kpa: float = -np.inf


def find_reference(column: Column, kind: ChannelKind, unit: Unit, situation: Situation) -> FoundReference | Verdict:
    """Absolute or gauge, or the question that must be answered."""
    said = unit.reference or column.header.reference
    weak = _weak_vacuum(column, kind, unit, situation)
    if weak is not None:
        return weak
    shown = _shown_reference(column, kind, unit, situation)
    if shown is None and not said and "map" in column.header.words and column.low * unit.scale > 10.0:
        remark = phrase("log.pressure.unconfirmed")
        return FoundReference("absolute", BY_NAME, phrase("log.pressure.by_name"), remark)
    if shown is None and not said:
        return asked(
            phrase("log.pressure.which"),
            (f"{unit.name} absolute", f"{unit.name} gauge"),
            phrase("log.pressure.no_reference", unit=unit.name),
        )
    if shown is None:
        return FoundReference(said, WRITTEN, phrase("log.written", unit=said))
    if said and said != shown.reference:
        return asked(
            phrase("log.pressure.contradicts", said=said, reason=shown.reason, shown=shown.reference),
            (f"{unit.name} {shown.reference}", f"{unit.name} {said}"),
            phrase("log.disagree"),
        )
    return replace(shown, confidence=CONFIRMED) if said else shown


def _weak_vacuum(column: Column, kind: ChannelKind, unit: Unit, situation: Situation) -> Verdict | None:
    """The question for a gauge pressure whose idle pulls next to no vacuum: it is of another unit, most likely."""
    if kind.name != "manifold_pressure_kpa":
        return None
    reading = median_where(column.values, situation.idling(column.time_s))
    if not IDLE_GAUGE_KPA < reading * unit.scale < BELOW_ABSOLUTE_KPA:
        return None
    barometer = situation.barometric_pressure_kpa or STANDARD_KPA
    low, high = (share * barometer - barometer for share in IDLE_ABSOLUTE_SHARE)
    fitting = [name for name in IN_USE if low < reading * unit_of(name, "pressure").scale < high]
    return asked(
        phrase("log.pressure.weak_vacuum", reading=reading, unit=unit.name),
        tuple(f"{name} gauge" for name in (*fitting, unit.name)),
        phrase("log.disagree"),
    )


def _shown_reference(column: Column, kind: ChannelKind, unit: Unit, situation: Situation) -> FoundReference | None:
    kpa = column.values * unit.scale + unit.offset
    if kind.name == "target_pressure_kpa":
        return _as_its_sensor(column, kpa, situation)
    # The least one percent, not the least reading: one spike must not decide.
    least = float(np.percentile(kpa, 1))
    if least < BELOW_ABSOLUTE_KPA:
        return FoundReference("gauge", BY_VALUES, phrase("log.pressure.below", low=column.low, unit=unit.name))
    at_rest = _at_rest(kpa, column, unit, situation)
    if at_rest is not None or kind.name != "manifold_pressure_kpa":
        return at_rest
    return _at_idle(kpa, column, unit, situation)


def _at_rest(kpa: FloatArray, column: Column, unit: Unit, situation: Situation) -> FoundReference | None:
    """Engine stopped; for sensors that see the air around while the engine idles, idle will do as well."""
    rest = median_where(kpa, situation.stopped(column.time_s))
    said = "log.pressure.stopped"
    if not np.isfinite(rest) and {"charge", "exhaust"} & column.header.words:
        rest, said = median_where(kpa, situation.idling(column.time_s)), "log.pressure.idle"
    if not np.isfinite(rest):
        return None
    reading = phrase(said, reading=rest / unit.scale, unit=unit.name)
    if -REST_BAND_BELOW_KPA < rest < REST_BAND_KPA:
        return FoundReference("gauge", BY_VALUES, reading)
    barometer = situation.barometric_pressure_kpa
    band = REST_BAND_UNKNOWN_KPA if barometer is None else REST_BAND_KPA
    if abs(rest - (barometer or STANDARD_KPA)) < band:
        return FoundReference("absolute", BY_VALUES, reading)
    return None


def _at_idle(kpa: FloatArray, column: Column, unit: Unit, situation: Situation) -> FoundReference | None:
    idle = median_where(kpa, situation.idling(column.time_s))
    if not np.isfinite(idle):
        return None
    reading = phrase("log.pressure.idle", reading=idle / unit.scale, unit=unit.name)
    barometer = situation.barometric_pressure_kpa or STANDARD_KPA
    if idle < IDLE_GAUGE_KPA:
        return FoundReference("gauge", BY_VALUES, reading)
    if IDLE_ABSOLUTE_SHARE[0] * barometer < idle < IDLE_ABSOLUTE_SHARE[1] * barometer:
        return FoundReference("absolute", BY_VALUES, reading)
    if abs(idle) < 1.5:
        remark = phrase("log.pressure.no_vacuum", floor=max(column.low, 0.0), unit=unit.name)
        return FoundReference("gauge", BY_VALUES, reading, remark, floor_kpa=max(float(np.min(kpa)), 0.0) + 0.5)
    return None


def _as_its_sensor(column: Column, kpa: FloatArray, situation: Situation) -> FoundReference | None:
    """Whichever of the two puts the target where the manifold pressure truly was under full load."""
    barometer = situation.barometric_pressure_kpa
    manifold = situation.known("manifold_pressure_kpa", column.time_s)
    if barometer is None or manifold is None:
        return None
    pulling = situation.pulling(column.time_s) & np.isfinite(manifold) & (manifold > 0.9 * barometer)
    if pulling.sum() < FEWEST_READINGS:
        return None
    if_absolute = float(np.median(np.abs(kpa[pulling] - manifold[pulling])))
    zero = barometer if situation.gauge_zero_kpa is None else situation.gauge_zero_kpa
    if_gauge = float(np.median(np.abs(kpa[pulling] + zero - manifold[pulling])))
    better, worse = sorted((if_absolute, if_gauge))
    if better > FOLLOWS_KPA or worse < MISREAD_KPA or worse - better < MISREAD_KPA:
        return None
    reference: Reference = "absolute" if if_absolute < if_gauge else "gauge"
    return FoundReference(reference, BY_VALUES, phrase("log.pressure.followed", misfit_kpa=better))
