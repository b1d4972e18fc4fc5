"""How a gear is coded: as itself, counted from nothing, one too high, or with signs of its own for neutral and reverse.

In gear and off the clutch engine speed over road speed is one figure a gear, and those figures stand to each other as
the car's ratios do. The offset that moves every figure onto its own ratio is the coding. A reading that no gear has is
neutral where it comes only while the car stands, else it says nothing. Without the car's ratios only a reading of 0
that drives can be told; a car that moves off in a reading above 1 raises a question.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import reduce

import numpy as np
from numpy.typing import NDArray

from nextpass.log.channel import FloatArray
from nextpass.log.column import Column
from nextpass.log.evidence.situation import Situation
from nextpass.log.evidence.verdict import BY_VALUES, CONFIRMED, WRITTEN, Conversion, Verdict, asked, together
from nextpass.log.vocabulary import ChannelKind
from nextpass.units import unit_of
from nextpass.words import Phrase, phrase

OFFSETS = (0, 1, -1, 2, -2)
# Below this share of its top speed a car is launching or rolling out with the clutch open.
DRIVING_SHARE = 0.15
DRIVING_RPM = 1200.0
STANDING_SHARE = 0.02
FEWEST_ROWS = 8
# Natural logarithms of rpm over speed: scatter within one gear (slip, rounding), fit to the ratios (tyre, radius), and
# by how much the next coding must fit worse. Neighbouring ratios differ by 0.2 and more.
LOCKED = 0.06
FITS = 0.08
WORSE = 0.06
# Spread of rpm over speed within one reading from which on it cannot be one gear: wider than any two neighbours.
SEVERAL_GEARS = 0.7
# Share of the rows from which on readings without a gear, or between two, make another thing of the column.
MOST_STRANGE = 0.3
MOST_STANDING_MOVES = 0.05
_SPEED_UNITS = ("km/h", "mph", "m/s", "kn")


@dataclass(frozen=True, slots=True)
class _Coding:
    """What is added to a reading to make it the gear, and what shows it."""

    offset: int
    reason: Phrase
    is_shown: bool


def judge_gear(column: Column, kind: ChannelKind, situation: Situation) -> Verdict:
    """Verdict for the gear, or for the gear to come."""
    whole = column.values == np.round(column.values)
    top = len(situation.hints.gear_ratios) or int(kind.plausible[1])
    coding = _coding(column, kind, situation)
    if isinstance(coding, Verdict):
        return coding
    gears = column.values + coding.offset
    strange = (gears < kind.plausible[0]) | (gears > top)
    codes = np.unique(column.values[strange & whole]).tolist()
    neutral = [code for code in codes if _only_standing(column, code, situation)]
    if float(np.mean((strange | ~whole) & ~np.isin(column.values, neutral))) > MOST_STRANGE:
        question = phrase("log.gear.no_gears", low=column.low, high=column.high, top=top)
        return asked(question, ("", "-"), phrase("log.plain.impossible"))
    meanings = tuple((code, 0.0 if code in neutral else np.nan) for code in codes)
    conversion = Conversion(offset=float(coding.offset), is_whole=True, stands_for=meanings)
    remarks: list[str] = [phrase("log.gear.offset", offset=coding.offset)] if coding.offset else []
    remarks += [phrase("log.gear.neutral" if code in neutral else "log.gear.no_gear", code=code) for code in codes]
    confidence = (BY_VALUES if coding.offset else CONFIRMED) if coding.is_shown else WRITTEN
    return Verdict(
        conversion=conversion,
        unit="",
        confidence=confidence,
        reason=coding.reason,
        remark=reduce(together, remarks, ""),
    )


def _coding(column: Column, kind: ChannelKind, situation: Situation) -> _Coding | Verdict:
    unproven = _Coding(0, phrase("log.gear.unproven"), is_shown=False)
    if kind.name == "target_gear":
        return _like_the_gear(column, situation) or unproven
    driving = _driving(column, situation)
    if driving is None:
        return unproven
    readings, figures = driving
    locked = _locked(readings, figures)
    if not locked:
        several = _drives_in_one_reading(readings, figures)
        return unproven if several is None else several
    if situation.hints.gear_ratios:
        return _by_ratios(locked, situation) or unproven
    return _by_order(locked) or _moves_off_above_one(column, locked, situation) or unproven


def _driving(column: Column, situation: Situation) -> tuple[FloatArray, FloatArray] | None:
    """Readings while the car drives, and the logarithm of engine speed over the speed as it is logged."""
    if situation.rpm is None or situation.speed is None or not situation.speed.high > 0:
        return None
    speed, rpm = situation.speed.at(column.time_s), situation.rpm.at(column.time_s)
    drives = (speed > DRIVING_SHARE * situation.speed.high) & (rpm > DRIVING_RPM)
    if drives.sum() < FEWEST_ROWS:
        return None
    return column.values[drives], np.log(rpm[drives] / speed[drives])


def _locked(readings: FloatArray, figures: FloatArray) -> Mapping[int, float]:
    """The figure of each reading in which it stays the same."""
    locked: dict[int, float] = {}
    for code in np.unique(readings[readings == np.round(readings)]).tolist():
        own = figures[readings == code]
        middle = float(np.median(own))
        if own.size >= FEWEST_ROWS and float(np.median(np.abs(own - middle))) < LOCKED:
            locked[int(code)] = middle
    return locked


def _drives_in_one_reading(readings: FloatArray, figures: FloatArray) -> Verdict | None:
    """The question whether it is a selector's position, where one reading goes through several gears."""
    code = float(np.median(readings))
    own = figures[readings == code]
    if own.size < 0.8 * readings.size or np.ptp(np.percentile(own, [5, 95])) < SEVERAL_GEARS:
        return None
    question = phrase("log.gear.selector", code=code)
    return asked(question, ("", "-"), phrase("log.gear.one_reading"))


def _by_ratios(locked: Mapping[int, float], situation: Situation) -> _Coding | None:
    """The offset at which the figures stand to each other as the ratios do."""
    for units in _unit_choices(situation):
        fits = sorted((_misfit(locked, offset, units, situation), abs(offset), offset) for offset in OFFSETS)
        (best, _, offset), (second, _, _) = fits[:2]
        if best < FITS and second > best + WORSE and (len(locked) > 2 or len(units) == 1):
            return _Coding(offset, phrase("log.gear.by_ratios", gears=len(locked)), is_shown=True)
    return None


def _unit_choices(situation: Situation) -> list[tuple[str, ...]]:
    """Units in which the speed may be: the written one first, then any, since headers err."""
    units = () if situation.speed is None else situation.speed.header.units
    written = [(unit.name,) for unit in units if unit.quantity == "speed"]
    return [*written[:1], _SPEED_UNITS]


def _misfit(locked: Mapping[int, float], offset: int, units: tuple[str, ...], situation: Situation) -> float:
    """Mean distance of the figures from the ratios at an offset, in the unit that fits best; inf off the gearbox."""
    hints = situation.hints
    codes = np.array(list(locked))
    gears = codes + offset
    if hints.final_drive is None or hints.rolling_radius_m is None or gears.min() < 1:
        return float("inf")
    if gears.max() > len(hints.gear_ratios):
        return float("inf")
    turns = hints.final_drive * 60.0 / (2.0 * np.pi * hints.rolling_radius_m)
    expected = np.log(np.asarray(hints.gear_ratios)[gears - 1] * turns)
    distance = np.array(list(locked.values())) - expected
    return min(float(np.mean(np.abs(distance - np.log(unit_of(name, "speed").scale)))) for name in units)


def _by_order(locked: Mapping[int, float]) -> _Coding | None:
    """Without ratios: a reading of 0 that drives, and at a shorter ratio than 1, is the first gear."""
    if 0 not in locked or 1 not in locked or not locked[0] > locked[1] + 2.0 * LOCKED:
        return None
    return _Coding(1, phrase("log.gear.zero_drives"), is_shown=True)


def _moves_off_above_one(column: Column, locked: Mapping[int, float], situation: Situation) -> Verdict | None:
    """Without ratios: the question whether it counts too high, where the car moves off in its lowest reading, above 1.

    A car may move off in second gear, and then only its ratios tell.
    """
    lowest = min(locked)
    if situation.speed is None or lowest < 2 or bool(np.any((column.values > 0) & (column.values < lowest))):
        return None
    share = situation.speed.at(column.time_s) / situation.speed.high
    stood = np.flatnonzero(share <= STANDING_SHARE)
    drove = np.flatnonzero(share > DRIVING_SHARE)
    drove = drove[drove > stood[0]] if stood.size else drove[:0]
    if not drove.size:
        return None
    last_stood = int(stood[stood < drove[0]][-1])
    if bool(np.any(column.values[last_stood + 1 : drove[0] + 1] != lowest)):
        return None
    return asked(phrase("log.gear.moves_off", code=lowest), ("", "-"), phrase("log.gear.unproven"))


def _like_the_gear(column: Column, situation: Situation) -> _Coding | None:
    """The gear to come is most of the time the gear that is engaged."""
    gear = situation.gear
    if gear is None or "gear" not in situation.settled:
        return None
    engaged = gear.at(column.time_s)
    shares = {offset: float(np.mean(column.values + offset == engaged)) for offset in (0, 1, -1)}
    offset = max(shares, key=lambda each: shares[each])
    return _Coding(offset, phrase("log.gear.like_gear"), is_shown=True) if shares[offset] > 0.5 else None


def _only_standing(column: Column, code: float, situation: Situation) -> bool:
    if situation.speed is None or not situation.speed.high > 0:
        return False
    at: NDArray[np.bool_] = column.values == code
    speed = situation.speed.at(column.time_s[at])
    moves = float(np.mean(speed > STANDING_SHARE * situation.speed.high))
    return moves < MOST_STANDING_MOVES
