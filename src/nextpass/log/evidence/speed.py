"""Which unit a speed comes in, by the gearing, by the accelerometer, or by another speed of the log.

In gear and off the clutch, engine speed, ratio and rolling radius give the speed of the driven wheels; over a second or
two the accelerometer gives its change; and two speeds of one car are nearly the same. Each test knows when it has
nothing to say. A written unit that a clear test contradicts is a question.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nextpass.log.channel import FloatArray
from nextpass.log.column import Column
from nextpass.log.evidence.plain import is_plausible, written_unit
from nextpass.log.evidence.situation import FEWEST_READINGS, Situation
from nextpass.log.evidence.verdict import (
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
from nextpass.units import Unit, unit_of
from nextpass.words import phrase

IN_USE = ("km/h", "mph", "m/s", "kn")
# The nearest two units in use, knots and miles an hour, differ by 15 %: a test must come nearer than half of that.
NEAR = 0.06
# A slower car says little about a factor.
LEAST_SHARE_OF_TOP = 0.25
# Time over which the accelerometer's change of speed is compared [s].
WINDOW_S = 1.0


@dataclass(frozen=True, slots=True)
class _Test:
    """Scale [m/s per reading] that one test shows, and what it rests on."""

    scale: float
    by: str


def judge_speed(column: Column, kind: ChannelKind, situation: Situation) -> Verdict:
    """Verdict for a speed."""
    turns = next((unit for unit in column.header.units if unit.quantity == "rotation"), None)
    if turns is not None:
        return _judge_turning(turns, situation)
    unit = written_unit(column, kind)
    shown = _shown(column, situation)
    if unit is None:
        return _judge_without_unit(column, kind, shown)
    conversion = conversion_of(unit)
    if not is_plausible(conversion.apply(column.values), kind):
        return impossible(column, str(unit), IN_USE)
    fits = [each.name for each in _in_use() if shown is not None and abs(shown.scale / each.scale - 1.0) < NEAR]
    if fits and unit.name not in fits and unit.name in IN_USE and shown is not None:
        return asked(
            phrase("log.speed.contradicts", unit=str(unit), by=shown.by, shown=fits[0]),
            (fits[0], unit.name),
            phrase("log.disagree"),
        )
    return Verdict(
        conversion=conversion,
        unit=unit.name,
        confidence=CONFIRMED if unit.name in fits else WRITTEN,
        reason=phrase("log.speed.agrees", unit=str(unit), by=shown.by)
        if shown is not None and unit.name in fits
        else phrase("log.written", unit=str(unit)),
    )


def _in_use() -> tuple[Unit, ...]:
    return tuple(unit_of(name, "speed") for name in IN_USE)


def _judge_without_unit(column: Column, kind: ChannelKind, shown: _Test | None) -> Verdict:
    possible = [each for each in _in_use() if is_plausible(conversion_of(each).apply(column.values), kind)]
    fitting = [each for each in possible if shown is not None and abs(shown.scale / each.scale - 1.0) < NEAR]
    if len(fitting) == 1 and shown is not None:
        return Verdict(
            conversion=conversion_of(fitting[0]),
            unit=fitting[0].name,
            confidence=BY_VALUES,
            reason=phrase("log.speed.shown", by=shown.by, unit=fitting[0].name),
        )
    return asked(
        phrase("log.speed.not_told", high=column.high),
        tuple(each.name for each in possible) or IN_USE,
        phrase("log.unwritten"),
    )


def _judge_turning(unit: Unit, situation: Situation) -> Verdict:
    """A wheel's speed in turns: only the rolling radius makes it a speed."""
    radius_m = situation.hints.rolling_radius_m
    if radius_m is None:
        return asked(
            phrase("log.speed.no_radius", unit=str(unit)),
            (unit.name,),
            phrase("log.speed.radius_unknown"),
        )
    scale = unit.scale * 2.0 * np.pi / 60.0 * radius_m
    return Verdict(
        conversion=Conversion(scale=scale),
        unit=unit.name,
        confidence=WRITTEN,
        reason=phrase("log.speed.turns", unit=str(unit), radius_m=radius_m),
    )


def _shown(column: Column, situation: Situation) -> _Test | None:
    for test in (_by_gearing, _by_another_speed, _by_accelerometer):
        found = test(column, situation)
        if found is not None:
            return found
    return None


def _moving(column: Column) -> NDArray[np.intp]:
    return np.flatnonzero(column.values > LEAST_SHARE_OF_TOP * max(column.high, 1e-9))


def _by_gearing(column: Column, situation: Situation) -> _Test | None:
    """Scale from engine speed and overall ratio; without a gear channel the scale at which most rows fit some gear."""
    hints = situation.hints
    if not hints.gear_ratios or hints.final_drive is None or hints.rolling_radius_m is None or situation.rpm is None:
        return None
    rows = _moving(column)
    time_s, readings = column.time_s[rows], column.values[rows]
    rpm = situation.rpm.at(time_s)
    pulls = rpm > 1500.0
    if pulls.sum() < 4 * FEWEST_READINGS:
        return None
    wheel_mps = rpm[pulls] * 2.0 * np.pi / 60.0 * hints.rolling_radius_m / hints.final_drive
    ratios = np.asarray(hints.gear_ratios)
    if situation.gear is not None:
        gear = np.nan_to_num(situation.gear.at(time_s[pulls])).astype(int)
        is_forward = (gear >= 1) & (gear <= ratios.size)
        scales = wheel_mps[is_forward] / ratios[gear[is_forward] - 1] / readings[pulls][is_forward]
        if scales.size < 2 * FEWEST_READINGS:
            return None
        middle = float(np.median(scales))
        spread = float(np.median(np.abs(scales / middle - 1.0)))
        return _Test(middle, phrase("log.speed.gearing")) if spread < 0.04 else None
    return _by_any_gear(wheel_mps, ratios, readings[pulls])


def _by_any_gear(wheel_mps: FloatArray, ratios: FloatArray, readings: FloatArray) -> _Test | None:
    shares = []
    for unit in _in_use():
        misfit = np.abs(np.log(readings[:, None] * unit.scale * ratios[None, :] / wheel_mps[:, None])).min(axis=1)
        shares.append((float(np.mean(misfit < 0.03)), unit.scale))
    (best, scale), (second, _) = sorted(shares, reverse=True)[:2]
    return _Test(scale, phrase("log.speed.gearing")) if best > 0.6 and second < 0.5 * best else None


def _by_another_speed(column: Column, situation: Situation) -> _Test | None:
    """Scale against a speed whose unit is certain; slipping wheels are why only the middle of the ratios counts."""
    rows = _moving(column)
    for name in ("gps_speed_mps", "vehicle_speed_mps", "wheel_speed_fl_mps", "wheel_speed_rl_mps"):
        known = situation.known(name, column.time_s[rows])
        if known is None or np.isfinite(known).sum() < 2 * FEWEST_READINGS:
            continue
        scales = known / column.values[rows]
        middle = float(np.nanmedian(scales))
        if np.nanmedian(np.abs(scales / middle - 1.0)) < 0.05:
            return _Test(middle, name)
    return None


def _by_accelerometer(column: Column, situation: Situation) -> _Test | None:
    """Scale that makes changes of the reading the integral of the acceleration; its bias is fitted along."""
    acceleration = situation.settled.get("longitudinal_acceleration_mps2")
    if acceleration is None or column.values.size < 50:
        return None
    time_s, mps2 = acceleration
    summed = np.concatenate([[0.0], np.cumsum(0.5 * (mps2[1:] + mps2[:-1]) * np.diff(time_s))])
    starts = np.arange(column.time_s[0], column.time_s[-1] - WINDOW_S, WINDOW_S / 2)
    gained = np.interp(starts + WINDOW_S, time_s, summed) - np.interp(starts, time_s, summed)
    read = np.interp(starts + WINDOW_S, column.time_s, column.values) - np.interp(starts, column.time_s, column.values)
    moves = np.abs(read) > 0.02 * column.high
    if moves.sum() < 8:
        return None
    design = np.column_stack([read[moves], np.ones(int(moves.sum()))])
    solution = np.linalg.lstsq(design, gained[moves], rcond=None)[0]
    misfit = gained[moves] - design @ solution
    scale = float(solution[0])
    explained = 1.0 - float(np.var(misfit) / max(np.var(gained[moves]), 1e-12))
    return _Test(scale, phrase("log.speed.accelerometer")) if explained > 0.9 and scale > 0 else None
