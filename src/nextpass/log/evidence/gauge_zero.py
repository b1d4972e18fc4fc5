"""What a gauge pressure counts from: the air around, or a standard atmosphere.

A gauge sensor counts from the air around it. Many control units log boost as absolute pressure minus a standard
atmosphere instead, wherever they are: at 1500 m the two differ by 17 kPa. With the engine stopped the first reads
nothing and the second the difference; a logged target must read what the setup asks for; and an idling engine's
manifold has a plausible pressure with one and perhaps not with the other. Near sea level the two are the same.
"""

from dataclasses import dataclass

import numpy as np

from nextpass.log.channel import FloatArray
from nextpass.log.column import Column
from nextpass.log.evidence.plain import written_unit
from nextpass.log.evidence.situation import FEWEST_READINGS, STANDARD_KPA, Situation, median_where
from nextpass.log.evidence.verdict import Verdict, asked
from nextpass.log.vocabulary import ChannelKind, vocabulary
from nextpass.units import Unit
from nextpass.words import Phrase, phrase

# Up to this difference of the two nothing needs to be said; up to the second the air around is taken with a remark.
ALIKE_KPA = 1.5
SMALL_KPA = 5.0
# Manifold pressure of an idling engine at standstill, absolute: common practice, cams and loads allowed for.
IDLE_KPA = (25.0, 62.0)
# How near to the setup's pressures the steps of a logged target come: what rounding to a tenth of a psi explains.
AGREES_KPA = 1.5
# How much worse the other zero must fit than the one that is taken.
WORSE_KPA = 1.5
# Share of the rows under load that a step of the target must hold to count.
LEAST_STEP_SHARE = 0.03


@dataclass(frozen=True, slots=True)
class GaugeZero:
    """The absolute pressure [kPa] that a gauge pressure counts from; `shown_kpa` is nan where it is the air around."""

    kpa: float
    shown_kpa: float
    reason: str
    remark: str = ""


def find_gauge_zero(column: Column, kind: ChannelKind, unit: Unit, situation: Situation) -> GaugeZero | Verdict:
    """What the column counts from, or the question that must be answered."""
    if np.isfinite(unit.zero_kpa):
        return GaugeZero(unit.zero_kpa, unit.zero_kpa, "")
    barometer = situation.barometric_pressure_kpa
    if situation.gauge_zero_kpa is not None:
        return _zero(situation.gauge_zero_kpa, barometer, phrase("log.zero.as_manifold"))
    if barometer is None:
        return _without_barometer(unit, situation)
    gap = abs(barometer - STANDARD_KPA)
    if gap <= ALIKE_KPA:
        return GaugeZero(barometer, np.nan, "")
    kpa = column.values * unit.scale
    found = (
        _at_rest(kpa, column, barometer, situation)
        or _by_setup(unit, barometer, situation)
        or (_at_idle(kpa, column, barometer, situation) if kind.name == "manifold_pressure_kpa" else None)
    )
    if found is not None:
        return found
    if gap <= SMALL_KPA:
        where = "higher" if barometer < STANDARD_KPA else "lower"
        remark = phrase(f"log.zero.small_{where}", gap_kpa=gap)
        return GaugeZero(barometer, np.nan, "", remark)
    return asked(
        phrase("log.zero.which", barometer_kpa=barometer),
        (f"{unit.name} gauge@{barometer:.4g}", f"{unit.name} gauge@{STANDARD_KPA:g}"),
        phrase("log.zero.differ", gap_kpa=gap),
    )


def _zero(kpa: float, barometer: float | None, reason: str) -> GaugeZero:
    is_air = barometer is not None and kpa == barometer
    return GaugeZero(kpa, np.nan if is_air else kpa, reason)


def _named(kpa: float, barometer: float) -> Phrase:
    return phrase("log.zero.air") if kpa == barometer else phrase("log.zero.standard", kpa=STANDARD_KPA)


def _without_barometer(unit: Unit, situation: Situation) -> GaugeZero | Verdict:
    """A target that reads the setup's pressures over a standard atmosphere needs no barometer."""
    misfit = _setup_misfit(STANDARD_KPA, unit, situation)
    if misfit is not None and misfit < AGREES_KPA:
        reason = phrase("log.zero.target_standard", misfit_kpa=misfit)
        return GaugeZero(STANDARD_KPA, STANDARD_KPA, reason)
    return asked(
        phrase("log.zero.no_barometer"),
        (f"{unit.name} gauge@{STANDARD_KPA:g}",),
        phrase("log.zero.nowhere"),
    )


def _at_rest(kpa: FloatArray, column: Column, barometer: float, situation: Situation) -> GaugeZero | None:
    rest = median_where(kpa, situation.stopped(column.time_s))
    if not np.isfinite(rest):
        return None
    zero = min((barometer, STANDARD_KPA), key=lambda each: abs(rest - (barometer - each)))
    return _zero(zero, barometer, phrase("log.zero.stopped", zero=_named(zero, barometer)))


def _by_setup(unit: Unit, barometer: float, situation: Situation) -> GaugeZero | None:
    fits = [(_setup_misfit(zero, unit, situation), zero) for zero in (barometer, STANDARD_KPA)]
    known = sorted((misfit, zero) for misfit, zero in fits if misfit is not None)
    if len(known) < 2 or known[0][0] > AGREES_KPA or known[1][0] < known[0][0] + WORSE_KPA:
        return None
    misfit, zero = known[0]
    reason = phrase("log.zero.target", misfit_kpa=misfit, zero=_named(zero, barometer))
    return _zero(zero, barometer, reason)


def _setup_misfit(zero_kpa: float, unit: Unit, situation: Situation) -> float | None:
    """Median distance of the target's steps under load from the nearest pressure of the setup [kPa]."""
    target, setup = situation.target, situation.hints.setup_pressures_kpa
    if target is None or not setup or target.header.reference == "absolute":
        return None
    own = written_unit(target, vocabulary().channels["target_pressure_kpa"]) or unit
    readings = target.values[situation.pulling(target.time_s)] * own.scale
    if readings.size < FEWEST_READINGS:
        return None
    steps, counts = np.unique(readings, return_counts=True)
    steps = steps[counts >= LEAST_STEP_SHARE * readings.size]
    if steps.size < 2:
        return None
    distance = np.abs(steps[:, None] + zero_kpa - np.asarray(setup)[None, :]).min(axis=1)
    return float(np.median(distance))


def _at_idle(kpa: FloatArray, column: Column, barometer: float, situation: Situation) -> GaugeZero | None:
    idle = median_where(kpa, situation.idling(column.time_s))
    plausible = [zero for zero in (barometer, STANDARD_KPA) if IDLE_KPA[0] < idle + zero < IDLE_KPA[1]]
    if len(plausible) != 1:
        return None
    zero = plausible[0]
    reason = phrase("log.zero.idle", zero=_named(zero, barometer), idle_kpa=idle + zero)
    remark = phrase("log.zero.check", reason=reason)
    return GaugeZero(zero, np.nan if zero == barometer else zero, reason, remark)
