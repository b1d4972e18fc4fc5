"""Do both banks idle alike: trims of each bank where they have settled, and how evenly the engine runs.

Warm, in closed loop, a minute or so. The short trim hunts about its level, so that a trim's ± comes from the spread
between stretches of the log and not between samples, which are no news of one another.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car
from nextpass.health.trends import ROUGH_IDLE_RPM
from nextpass.health.wear import idle_seconds, swing_rpm
from nextpass.log import Log
from nextpass.measure import Absent, Estimate, Measured
from nextpass.review.findings import limits_of
from nextpass.words import phrase

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

WARM_C: Final = 75.0
"""Coolant below this keeps an engine out of its closed loop or its usual idle (common practice)."""
SETTLING_S: Final = 8.0
"""Closed loop has settled after this (common practice: two or three time constants of the short trim)."""
LEAST_S: Final = 15.0
_STRETCHES = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class IdleBalance:
    """An idle.

    Parameters
    ----------
    seconds : float
        Of settled idle that was used [s].
    idle_rpm : Estimate or Absent
        Mean speed [rpm].
    roughness_rpm : Estimate or Absent
        Standard deviation of the speed about its slow course, without the noise between samples [rpm].
    trim_bank1, trim_bank2 : Estimate or Absent
        Short and long trim together [ratio].
    trims_apart : Estimate or Absent
        Bank 2 less bank 1 [ratio].
    is_warm : bool or None
        None where coolant is not logged.
    verdicts : tuple of str
        What follows, a sentence each.
    """

    seconds: float
    idle_rpm: Measured
    roughness_rpm: Measured
    trim_bank1: Measured
    trim_bank2: Measured
    trims_apart: Measured
    is_warm: bool | None
    verdicts: tuple[str, ...]


def idle_balance(car: Car, log: Log) -> IdleBalance | Absent:
    """The idle of a log.

    Parameters
    ----------
    car : Car
        For its idle speed and thresholds.
    log : Log

    Returns
    -------
    IdleBalance or Absent
        Absent without `LEAST_S` of settled idle.
    """
    time_s, idling = idle_seconds(car, log)
    if not idling.any():
        return Absent(reason=phrase("guided.absent.no_idle"))
    start_s = float(time_s[idling][0]) + SETTLING_S
    settled = idling & (time_s >= start_s)
    seconds = float(np.count_nonzero(settled) * np.median(np.diff(time_s)))
    if seconds < LEAST_S:
        return Absent(reason=phrase("guided.absent.short_idle", seconds=seconds, least=LEAST_S))
    bank1, bank2 = (_trim(log, bank, time_s, settled) for bank in (1, 2))
    coolant = log.get("coolant_temperature_c")
    balance = IdleBalance(
        seconds=seconds,
        idle_rpm=_mean(log["engine_rpm"].values, settled),
        roughness_rpm=_roughness(time_s, log["engine_rpm"].values, settled),
        trim_bank1=bank1,
        trim_bank2=bank2,
        trims_apart=_apart(log, time_s, settled),
        is_warm=None if coolant is None else bool(np.nanmedian(coolant.values) >= WARM_C),
        verdicts=(),
    )
    return _judged(car, balance)


def _stretches(values: FloatArray, settled: BoolArray) -> list[FloatArray]:
    known = values[settled & np.isfinite(values)]
    return [part for part in np.array_split(known, _STRETCHES) if part.size]


def _mean(values: FloatArray, settled: BoolArray) -> Measured:
    means = [float(np.mean(part)) for part in _stretches(values, settled)]
    if len(means) < _STRETCHES:
        return Absent(reason=phrase("guided.absent.no_values"))
    return Estimate.from_sd(float(np.mean(means)), float(np.std(means, ddof=1)) / float(np.sqrt(len(means))))


def _roughness(time_s: FloatArray, values: FloatArray, settled: BoolArray) -> Measured:
    """Spread about a straight line in each stretch, so that a slow course of the idle does not count."""
    spreads = []
    for part_s, part in zip(_stretches(time_s, settled), _stretches(values, settled), strict=True):
        spreads.append(swing_rpm(part_s, part))
    middle = float(np.sqrt(np.mean(np.square(spreads))))
    return Estimate.from_sd(middle, float(np.std(spreads, ddof=1)) / float(np.sqrt(len(spreads))))


def _total_trim(log: Log, bank: int, time_s: FloatArray) -> FloatArray | None:
    parts = [log.get(f"{kind}_trim_bank{bank}") for kind in ("short", "long")]
    known = [part.at(time_s) for part in parts if part is not None]
    return np.asarray(np.sum(known, axis=0)) if known else None


def _trim(log: Log, bank: int, time_s: FloatArray, settled: BoolArray) -> Measured:
    total = _total_trim(log, bank, time_s)
    if total is None:
        return Absent(reason=phrase("ledger.absent.not_logged", channel=f"short_trim_bank{bank}"))
    return _mean(total, settled)


def _apart(log: Log, time_s: FloatArray, settled: BoolArray) -> Measured:
    first, second = (_total_trim(log, bank, time_s) for bank in (1, 2))
    if first is None or second is None:
        return Absent(reason=phrase("guided.absent.one_bank"))
    return _mean(np.asarray(second - first), settled)


def _judged(car: Car, balance: IdleBalance) -> IdleBalance:
    limits = limits_of(car)
    said: list[str] = []
    if balance.is_warm is False:
        said.append(phrase("guided.idle.cold", least=WARM_C))
    apart = balance.trims_apart
    if isinstance(apart, Estimate):
        limit = limits["banks_trim_apart"]
        key = (
            "apart" if abs(apart.value) > limit else "alike" if abs(apart.value) + apart.plus_minus < limit else "near"
        )
        said.append(phrase(f"guided.idle.{key}", percent=100.0 * abs(apart.value), bank=2 if apart.value > 0.0 else 1))
    for bank, trim in ((1, balance.trim_bank1), (2, balance.trim_bank2)):
        if isinstance(trim, Estimate) and abs(trim.value) > limits["trim"]:
            said.append(phrase("guided.idle.trim_high", bank=bank, percent=100.0 * trim.value))
    rough = balance.roughness_rpm
    if isinstance(rough, Estimate):
        said.append(phrase(f"guided.idle.{'rough' if rough.value > ROUGH_IDLE_RPM else 'smooth'}", rpm=rough.value))
    return IdleBalance(
        seconds=balance.seconds,
        idle_rpm=balance.idle_rpm,
        roughness_rpm=rough,
        trim_bank1=balance.trim_bank1,
        trim_bank2=balance.trim_bank2,
        trims_apart=apart,
        is_warm=balance.is_warm,
        verdicts=tuple(said),
    )
