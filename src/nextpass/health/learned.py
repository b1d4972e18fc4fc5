"""What the car had learned before and after it was reset or taught anew, and whether the teaching was done right.

A learning run under the wrong conditions teaches the wrong values: a cold box, a slope, a flat battery. Where a log
of the run is at hand, what such a run needs is checked in it.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType
from typing import Final

import numpy as np
from numpy.typing import NDArray

from nextpass.car import LedgerEntry
from nextpass.log import Log
from nextpass.measure import Absent, Estimate, Measured
from nextpass.physics import atmosphere
from nextpass.words import phrase

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """One thing that a learning run needs: a figure between two bounds; an infinite bound is none."""

    figure: str
    low: float = -math.inf
    high: float = math.inf


# Common practice: an idle is learned warm and in park, a clutch with its oil at working temperature on level ground,
# a throttle with the engine off. Level means less than 2 % of slope.
_WARM = Need(figure="coolant_temperature_c", low=80.0, high=110.0)
_BATTERY = Need(figure="battery_v", low=12.2)
_STANDING = Need(figure="speed_mps", high=0.5)
_LEVEL = Need(figure="slope", low=-0.02, high=0.02)

NEEDS: Final[Mapping[str, tuple[Need, ...]]] = MappingProxyType(
    {
        "idle": (
            _WARM,
            _STANDING,
            Need(figure="gear", low=0.0, high=0.0),
            Need(figure="throttle", high=0.15),
            _BATTERY,
        ),
        "clutch": (
            _WARM,
            Need(figure="gearbox_oil_temperature_c", low=50.0, high=90.0),
            _STANDING,
            _LEVEL,
            _BATTERY,
        ),
        "throttle": (Need(figure="engine_rpm", high=50.0), _STANDING, _BATTERY),
    }
)
"""By what is taught; the item of an entry names one of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Precondition:
    """One need, what the log shows of it, and whether it was met; None where the log cannot tell."""

    figure: str
    low: float
    high: float
    found: Measured
    is_met: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LearnedChange:
    """What one reset or learning run did.

    Parameters
    ----------
    when : datetime
    item : str
    before, after : Mapping[str, float or str]
        Learned values last read before it, and first read after it; empty where none were.
    preconditions : tuple of Precondition
        Empty without a log of the run.
    """

    when: datetime
    item: str
    before: Mapping[str, float | str]
    after: Mapping[str, float | str]
    preconditions: tuple[Precondition, ...]


def learned_changes(entries: Sequence[LedgerEntry], logs: Mapping[int, Log]) -> tuple[LearnedChange, ...]:
    """Every reset and learning run with the values before and after it.

    Parameters
    ----------
    entries : sequence of LedgerEntry
        The oldest first.
    logs : Mapping[int, Log]
        Logs of the runs by the index of their entry.
    """
    found = []
    for place, entry in enumerate(entries):
        if entry.kind not in ("reset", "relearn"):
            continue
        read = [(i, other) for i, other in enumerate(entries) if other.kind == "learned" and other.item == entry.item]
        before = [other for i, other in read if i < place]
        after = [other for i, other in read if i > place]
        found.append(
            LearnedChange(
                when=entry.when,
                item=entry.item,
                before=before[-1].values if before else {},
                # What is read with the run itself counts as after it.
                after=entry.values or (after[0].values if after else {}),
                preconditions=preconditions_of(entry.item, logs[place]) if place in logs else (),
            )
        )
    return tuple(found)


def preconditions_of(item: str, log: Log) -> tuple[Precondition, ...]:
    """Whether a log shows what a learning run needs.

    Parameters
    ----------
    item : str
        What is taught: the first of `NEEDS` that it names; nothing is checked for another item.
    log : Log
        Of the run.
    """
    needs = next((needs for name, needs in NEEDS.items() if name in item.lower()), ())
    return tuple(_checked(need, log) for need in needs)


def _checked(need: Need, log: Log) -> Precondition:
    found = _figure(need.figure, log)
    met: bool | None = None
    if isinstance(found, Estimate):
        inside = need.low <= found.low and found.high <= need.high
        outside = found.high < need.low or found.low > need.high
        met = True if inside else False if outside else None
    return Precondition(figure=need.figure, low=need.low, high=need.high, found=found, is_met=met)


def _figure(name: str, log: Log) -> Measured:
    if name == "speed_mps":
        return _highest(log, ("vehicle_speed_mps", "gps_speed_mps", "wheel_speed_fl_mps"))
    if name == "slope":
        return _slope(log)
    channel = log.get(name)
    values = np.empty(0) if channel is None else channel.values[np.isfinite(channel.values)]
    if values.size == 0:
        return Absent(reason=phrase("ledger.absent.not_logged", channel=name))
    low, middle, high = np.percentile(values, [2, 50, 98])
    return Estimate(value=float(middle), plus_minus=float(max(high - middle, middle - low)))


def _highest(log: Log, names: Sequence[str]) -> Measured:
    for name in names:
        channel = log.get(name)
        if channel is not None and np.isfinite(channel.values).any():
            return Estimate(value=float(np.nanpercentile(channel.values, 98)), plus_minus=0.0)
    return Absent(reason=phrase("ledger.absent.not_logged", channel=names[0]))


# An accelerometer that nobody has levelled reads the slope to about a per cent (common practice).
_UNLEVELLED_MPS2 = 0.12


def _slope(log: Log) -> Measured:
    """Slope of the ground from the longitudinal accelerometer of a car that stands."""
    channel = log.get("longitudinal_acceleration_mps2")
    if channel is None or not np.isfinite(channel.values).any():
        return Absent(reason=phrase("ledger.absent.not_logged", channel="longitudinal_acceleration_mps2"))
    felt = float(np.nanmedian(channel.values))
    return Estimate(
        value=felt / atmosphere.GRAVITY_MPS2,
        plus_minus=Estimate.from_sd(0.0, _UNLEVELLED_MPS2).plus_minus / atmosphere.GRAVITY_MPS2,
    )
