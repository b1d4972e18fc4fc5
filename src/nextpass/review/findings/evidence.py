"""What every finding is drawn from: the channels of one try on one clock, and when the engine truly pulled.

Findings compare channels, so they share the clock of the engine speed (or of the ground speed where a log has none).
Most things are worth saying only while the engine pulls in a gear: the driver's foot down, no shift under way, and a
moment after it, since sensors and turbocharger need that long.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car, PassRecord
from nextpass.log import Log
from nextpass.review.gear import GearTrace
from nextpass.review.phases import Phase
from nextpass.review.speed import GroundSpeed
from nextpass.review.trust import Doubt, Trusted

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

# After a launch or a shift, sensors and control need this long before what they show counts.
SETTLE_S = 0.25
# An interval between samples this many times the usual one, and this long, is a gap: nothing is known inside it.
GAP_INTERVALS, SHORTEST_GAP_S = 4.0, 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Samples `first` to `last` of the shared clock, both included."""

    first: int
    last: int
    start_s: float
    end_s: float

    @property
    def samples(self) -> slice:
        """Slice that takes the stretch out of an array on the shared clock."""
        return slice(self.first, self.last + 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """One try, ready to be judged.

    Parameters
    ----------
    log : Log
        Without the channels that cannot be believed in this try.
    doubts : tuple of Doubt
        What was found wrong with them.
    limits : Mapping[str, float]
        Thresholds by name, as `thresholds.limits_of` gives them.
    time_s : ndarray, shape (n,)
        The shared clock, from the beginning of the try to its end.
    gear : ndarray of int, shape (n,)
        0 where not known.
    is_pulling : ndarray of bool, shape (n,)
        The engine pulls in a gear, settled after the launch or shift.
    """

    car: Car
    record: PassRecord
    log: Log
    doubts: tuple[Doubt, ...]
    motion: GroundSpeed
    trace: GearTrace | None
    phases: tuple[Phase, ...]
    limits: Mapping[str, float]
    time_s: FloatArray
    gear: IntArray
    is_pulling: BoolArray

    @property
    def period_s(self) -> float:
        """Median time between samples of the shared clock [s]."""
        return float(np.median(np.diff(self.time_s))) if self.time_s.size > 1 else 0.04

    @property
    def lift_s(self) -> float:
        """End of the pull [s]."""
        ends = [phase.end_s for phase in self.phases if phase.kind in ("launch", "gear", "shift")]
        return max(ends, default=float(self.motion.time_s[-1]))

    def series(self, name: str) -> FloatArray | None:
        """A channel on the shared clock, None where the log does not have it or it holds nothing in the try."""
        channel = self.log.get(name)
        if channel is None:
            return None
        values = channel.at(self.time_s)
        return values if np.isfinite(values).any() else None

    def smoothed(self, values: FloatArray, mean_s: float, use: BoolArray | None = None) -> FloatArray:
        """Mean over about `mean_s` around each sample, of the samples in `use` alone; nan where there are none."""
        use = np.isfinite(values) if use is None else use & np.isfinite(values)
        width = np.ones(2 * int(0.5 * mean_s / self.period_s + 0.25) + 1)
        count = np.convolve(use.astype(np.float64), width, mode="same")
        total = np.convolve(np.where(use, values, 0.0), width, mode="same")
        return np.where(count > 0.5, total / np.maximum(count, 1.0), np.nan)

    def between(self, start_s: float, end_s: float) -> BoolArray:
        """Which samples lie between two times, both included."""
        return np.asarray((self.time_s >= start_s) & (self.time_s <= end_s))

    def stretches(self, condition: BoolArray, least_s: float = 0.0) -> tuple[Stretch, ...]:
        """Unbroken stretches of a condition that last long enough, each counted to the sample after its last.

        A gap in the log ends a stretch: what held before it need not hold in it.
        """
        # The sample before a gap closes its stretch, the one after it opens another.
        breaks = np.flatnonzero(self._is_gap[:-1] & condition[:-1] & condition[1:]) + 1
        edges = np.flatnonzero(np.diff(np.concatenate([[0], condition.astype(np.int8), [0]])))
        edges = np.sort(np.concatenate([edges, breaks, breaks]))
        found = []
        for first, stop in edges.reshape(-1, 2):
            start_s = float(self.time_s[first])
            end_s = float(self.time_s[stop - 1] + self._steps_s[stop - 1])
            if end_s - start_s >= least_s:
                found.append(Stretch(first=int(first), last=int(stop) - 1, start_s=start_s, end_s=end_s))
        return tuple(found)

    def seconds(self, condition: BoolArray) -> float:
        """How long a condition holds in all, gaps in the log left out [s]."""
        return float(np.sum(np.where(condition, self._steps_s, 0.0)))

    @property
    def _is_gap(self) -> BoolArray:
        """After which samples of the shared clock the log has a gap; never after the last."""
        longest = max(GAP_INTERVALS * self.period_s, SHORTEST_GAP_S)
        return np.append(np.diff(self.time_s) > longest, False)

    @property
    def _steps_s(self) -> FloatArray:
        """How long each sample of the shared clock stands for [s]."""
        steps = np.diff(self.time_s, append=self.time_s[-1])
        return np.where(self._is_gap, self.period_s, steps)

    def by_gear(self, stretches: tuple[Stretch, ...]) -> Mapping[int | None, list[Stretch]]:
        """Stretches by the gear that most of each is in, lowest gear first, an unknown one last."""
        found: dict[int | None, list[Stretch]] = {}
        for stretch in sorted(stretches, key=lambda one: self.gear_of(one) or 99):
            found.setdefault(self.gear_of(stretch), []).append(stretch)
        return found

    def gear_of(self, stretch: Stretch) -> int | None:
        """The gear that most of a stretch is in, None where it is not known."""
        gears = self.gear[stretch.samples]
        known = gears[gears > 0]
        return int(np.bincount(known).argmax()) if known.size else None

    def gears(self) -> tuple[int, ...]:
        """Gears that the engine pulled in, lowest first."""
        return tuple(int(g) for g in np.unique(self.gear[self.is_pulling]) if g > 0)


def gather_evidence(
    car: Car,
    record: PassRecord,
    known: Trusted,
    motion: GroundSpeed,
    trace: GearTrace | None,
    phases: tuple[Phase, ...],
    limits: Mapping[str, float],
) -> Evidence:
    """The channels of one try on one clock, and when the engine pulled.

    Parameters
    ----------
    car, record, known, motion, trace, phases
        What the review has found so far.
    limits : Mapping of str to float
        Thresholds by name.

    Returns
    -------
    Evidence
    """
    time_s = motion.time_s if trace is None else trace.time_s
    gear = np.zeros(time_s.size, dtype=np.int64) if trace is None else trace.gear
    pulling = np.zeros(time_s.size, dtype=np.bool_)
    for phase in phases:
        if phase.kind == "gear":
            pulling |= (time_s >= phase.start_s + SETTLE_S) & (time_s < phase.end_s)
    return Evidence(
        car=car,
        record=record,
        log=known.log,
        doubts=known.doubts,
        motion=motion,
        trace=trace,
        phases=phases,
        limits=limits,
        time_s=time_s,
        gear=gear,
        is_pulling=pulling,
    )
