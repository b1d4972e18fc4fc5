"""Does each fuel pump build pressure by itself, how fast, how high, and does the rail hold it afterwards?

Engine off, each pump run alone for some seconds with a rest before it. A weak pump builds slowly and stops short of
the regulator; a leaking check valve or injector lets the pressure fall away at rest. A second pump that does not come
in shows no rise at all.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car
from nextpass.log import Channel, Log
from nextpass.measure import Absent, Estimate, Measured
from nextpass.words import phrase

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

STAGES: Final = ("fuel_pump_duty", "second_pump_on")
"""Channels that say that a pump runs, in staging order."""
REACHES: Final = 0.95
"""A healthy pump reaches this share of the rated pressure against the regulator (common practice)."""
SLOW_BUILD_S: Final = 0.8
"""It takes no longer than this to two thirds of its rise, twice the usual (common practice)."""
HOLDS_S: Final = 60.0
"""A tight rail falls away with a time constant longer than this (common practice)."""
CAME_IN_KPA: Final = 8.0
"""A rise that is no sensor noise."""

_ON, _LEAST_STAGE_S = 0.5, 1.0
# Before a pump is run the rail must have fallen, or there is nothing to build.
_ROOM_SHARE = 0.15


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpStage:
    """One pump run alone.

    Parameters
    ----------
    channel : str
        What said that it ran.
    start_s, end_s : float
        On the log's clock [s].
    rise_kpa : float
        Of the rail pressure while it ran [kPa].
    reached_kpa : Estimate
        Pressure at the end of the run [kPa].
    build_s : Estimate or Absent
        Time to 63 % of the rise [s]; Absent where the rail was full before.
    decay_s : Estimate or Absent
        Time constant of the fall in the rest after it [s].
    came_in : bool or None
        Whether pressure rose, or was held full; None where the rail was full and at rest held just as well.
    """

    channel: str
    start_s: float
    end_s: float
    rise_kpa: float
    reached_kpa: Estimate
    build_s: Measured
    decay_s: Measured
    came_in: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpTest:
    """All pumps that were run alone, and what follows."""

    stages: tuple[PumpStage, ...]
    rated_kpa: float
    verdicts: tuple[str, ...]


def pump_test(car: Car, log: Log) -> PumpTest | Absent:
    """Pumps run one by one in a log.

    Parameters
    ----------
    car : Car
        For the rated pressure of its rail.
    log : Log

    Returns
    -------
    PumpTest or Absent
        Absent without rail pressure, or where no pump was run alone.
    """
    rail = log.get("rail_pressure_kpa")
    if rail is None:
        return Absent(reason=phrase("ledger.absent.not_logged", channel="rail_pressure_kpa"))
    runs = _runs(log, rail.time_s)
    if not runs:
        return Absent(reason=phrase("guided.absent.no_pump_alone"))
    rated = car.fuel_system.rated_pressure_kpa
    ends = [first for _, first, _ in runs[1:]] + [rail.time_s.size]
    stages = tuple(
        _stage(rail, channel, first, stop, until) for (channel, first, stop), until in zip(runs, ends, strict=True)
    )
    return PumpTest(stages=stages, rated_kpa=rated, verdicts=_verdicts(stages, rated))


def _runs(log: Log, time_s: FloatArray) -> list[tuple[str, int, int]]:
    """Channel, first sample and the one after the last of each pump run alone, in order."""
    on: dict[str, BoolArray] = {}
    for name in STAGES:
        channel = log.get(name)
        if channel is not None:
            with np.errstate(invalid="ignore"):
                on[name] = channel.at(time_s) > _ON
    found = []
    for name, runs in on.items():
        others = [other for key, other in on.items() if key != name]
        alone = runs & ~np.any(others, axis=0) if others else runs
        edges = np.flatnonzero(np.diff(np.concatenate([[0], alone.astype(np.int8), [0]]))).reshape(-1, 2)
        for first, stop in edges:
            if time_s[min(stop, time_s.size - 1)] - time_s[first] >= _LEAST_STAGE_S:
                found.append((name, int(first), int(stop)))
    return sorted(found, key=lambda run: run[1])


def _stage(rail: Channel, channel: str, first: int, stop: int, until: int) -> PumpStage:
    time_s, pressure = rail.time_s, rail.values
    few = max(3, int(0.3 / max(float(np.median(np.diff(time_s))), 1e-3)))
    before = float(np.nanmedian(pressure[max(first - few, 0) : max(first, 1)]))
    last = pressure[max(stop - 3 * few, first) : stop]
    reached = float(np.nanmedian(last))
    noise = float(np.nanstd(np.diff(last))) / np.sqrt(2.0)
    rise = reached - before
    decay = _decay(time_s[stop:until], pressure[stop:until])
    return PumpStage(
        channel=channel,
        start_s=float(time_s[first]),
        end_s=float(time_s[min(stop, time_s.size - 1)]),
        rise_kpa=rise,
        reached_kpa=Estimate.from_sd(reached, noise / float(np.sqrt(last.size))),
        build_s=_build(time_s[first:stop], pressure[first:stop], before, reached, noise),
        decay_s=decay,
        came_in=_came_in(rise, reached, before, decay, float(time_s[stop - 1] - time_s[first])),
    )


def _came_in(rise: float, reached: float, before: float, decay: Measured, ran_s: float) -> bool | None:
    if rise > CAME_IN_KPA:
        return True
    # Without the pump the rail would have gone on falling as it does at rest.
    fall = before * (1.0 - float(np.exp(-ran_s / decay.value))) if isinstance(decay, Estimate) else 0.0
    if fall > CAME_IN_KPA:
        return bool(reached > before - 0.5 * fall)
    return False if reached < CAME_IN_KPA else None


def _build(time_s: FloatArray, pressure: FloatArray, before: float, reached: float, noise: float) -> Measured:
    """Time to 63 % of the rise, between samples; its ± from the noise over the slope there and the sampling."""
    rise = reached - before
    if rise < max(_ROOM_SHARE * reached, 5.0 * noise):
        return Absent(reason=phrase("guided.absent.rail_full"))
    level = before + (1.0 - float(np.exp(-1.0))) * rise
    above = np.flatnonzero(pressure >= level)
    if above.size == 0 or above[0] == 0:
        return Absent(reason=phrase("guided.absent.rail_full"))
    k = int(above[0])
    part = (level - pressure[k - 1]) / (pressure[k] - pressure[k - 1])
    step = float(time_s[k] - time_s[k - 1])
    slope = (pressure[k] - pressure[k - 1]) / step
    crossed = float(time_s[k - 1] + part * step - time_s[0])
    # Between which two samples the pump was switched on is not known either.
    sd = float(np.hypot(noise / max(slope, 1e-6), step / np.sqrt(12.0)))
    return Estimate.from_sd(crossed, sd)


def _decay(time_s: FloatArray, pressure: FloatArray) -> Measured:
    """Time constant of an exponential fall at rest."""
    if time_s.size < 8 or float(np.nanmedian(pressure[:5])) < 3.0 * CAME_IN_KPA:
        return Absent(reason=phrase("guided.absent.no_rest"))
    known = np.isfinite(pressure) & (pressure > CAME_IN_KPA)
    x, y = time_s[known] - time_s[0], np.log(pressure[known])
    if x.size < 8:
        return Absent(reason=phrase("guided.absent.no_rest"))
    (slope, level), covariance = np.polyfit(x, y, 1, cov=True)
    del level
    sd = float(np.sqrt(covariance[0, 0]))
    if slope > -2.0 * sd:
        return Absent(reason=phrase("guided.absent.no_fall"))
    return Estimate.from_sd(-1.0 / float(slope), sd / float(slope) ** 2)


def _verdicts(stages: tuple[PumpStage, ...], rated_kpa: float) -> tuple[str, ...]:
    said: list[str] = []
    for stage in stages:
        pump = phrase(f"guided.pumps.{stage.channel}")
        if stage.came_in is False:
            said.append(phrase("guided.pumps.not_in", pump=pump))
            continue
        if stage.came_in is None:
            said.append(phrase("guided.pumps.cannot_tell", pump=pump))
            continue
        if stage.reached_kpa.value < REACHES * rated_kpa:
            share = 100.0 * stage.reached_kpa.value / rated_kpa
            said.append(phrase("guided.pumps.short", pump=pump, percent=share))
        elif isinstance(stage.build_s, Estimate) and stage.build_s.low > SLOW_BUILD_S:
            said.append(phrase("guided.pumps.slow", pump=pump, seconds=stage.build_s.value))
        else:
            said.append(phrase("guided.pumps.sound", pump=pump))
    decays = [stage.decay_s.value for stage in stages if isinstance(stage.decay_s, Estimate)]
    if decays:
        key = "holds" if min(decays) > HOLDS_S else "leaks"
        said.append(phrase(f"guided.pumps.{key}", seconds=min(decays)))
    return tuple(said)
