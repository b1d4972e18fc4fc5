"""Simulated against measured: the weighted differences that the fit makes small, many versions of a car at once."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car
from nextpass.fit.evidence import CLOCK_FLOOR, CLOCK_TIME, KINDS, PEAKS_SD, PassEvidence
from nextpass.fit.learnable import Learnable, parameters_at, versions_at
from nextpass.fit.peaks import FINISH_M
from nextpass.measure import HALF_WIDTH_90, Estimate
from nextpass.sim import OUTPUTS, TRACES, Parameters, pack, sample_many, until, with_pass_luck

FloatArray = NDArray[np.float64]

RATE_HZ = 40.0
# What belongs to one pass and not to the car: grip and the driver's release; grip of a day where passes of several days
# teach [logarithm; common practice: a strip changes by a few percent over a day and twice that between days].
PASS_GRIP_SD, PASS_RELEASE_SD, DAY_GRIP_SD = 0.02, 0.12, 0.04
PER_PASS = 2
# A clutch does not bite twice alike [logarithm of the torque it is fed, from memory]. One pass cannot tell this from
# the release, so that no pass is given its own; a pass to come is.
PASS_FEED_SD = 0.03
# A wheel that spins is far off or not at all; differences of its speed are compressed beyond this [m/s], and of engine
# speed beyond this [rpm], so that a spin that comes a tenth late does not outweigh the rest.
_SPIN_KNEE_MPS, _RPM_KNEE = 1.5, 400.0
# Neighbouring samples of one quantity err together; a sample counts as this share of a new one.
_NEW_SHARE = 0.25
_SHIFT_PHASE = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """A car, what can be learnt of it, and the passes that teach it.

    A point is a vector of standard deviations: of each learnable, then grip and release of each pass, then grip of
    each day. With passes of one day alone the day cannot be told from the car, and has no place in the point. Only
    what was seen until `horizon_s` after the rollout counts.
    """

    car: Car
    centre: Parameters
    what: tuple[Learnable, ...]
    passes: tuple[PassEvidence, ...]
    horizon_s: float = np.inf

    @property
    def days(self) -> int:
        """Days with a place in the point."""
        days = len({one.day for one in self.passes})
        return days if days > 1 else 0

    @property
    def size(self) -> int:
        """Length of a point."""
        return len(self.what) + PER_PASS * len(self.passes) + self.days

    @property
    def shared(self) -> list[int]:
        """Places in a point that act on every pass, or on all of a day."""
        n = len(self.what)
        return [*range(n), *range(n + PER_PASS * len(self.passes), self.size)]

    def own(self, number: int) -> list[int]:
        """Places in a point that act on one pass alone."""
        first = len(self.what) + PER_PASS * number
        return list(range(first, first + PER_PASS))

    def place(self, name: str) -> int:
        """Place in a point of a learnable."""
        return [one.name for one in self.what].index(name)

    def alike(self, number: int) -> list[tuple[int, int, float]]:
        """Places that act on a pass as one of its own does: the place, the pass's own, and how many times as much."""
        own_grip, own_release = self.own(number)
        friction, release = self.place("peak_friction"), self.place("launch_release_s")
        found = [
            (friction, own_grip, self.what[friction].sd / PASS_GRIP_SD),
            (release, own_release, self.what[release].sd / PASS_RELEASE_SD),
        ]
        if self.days:
            found.append((self._day_place(self.passes[number].day), own_grip, DAY_GRIP_SD / PASS_GRIP_SD))
        return found

    def sizes(self) -> list[int]:
        """Number of residuals of each pass."""
        return [
            sum(name in one.clocks for name in CLOCK_FLOOR)
            + sum(name in one.peaks for name in PEAKS_SD)
            + one.time_s.size * sum(kind in one.series for kind in KINDS)
            for one in self.passes
        ]

    def day_grip(self, points: FloatArray, day: int) -> FloatArray:
        """Logarithm of a day's grip factor at a point, shape (n,), or at many, shape (m, n)."""
        return points[..., self._day_place(day)] * DAY_GRIP_SD if self.days else np.zeros(points.shape[:-1])

    def _day_place(self, day: int) -> int:
        return self.size - self.days + day

    def parameters(self, point: FloatArray) -> Parameters:
        """The car at a point, for a pass of middling luck on a middling day."""
        return parameters_at(self.car, self.centre, self.what, point[: len(self.what)])

    def _luck(self, points: FloatArray, number: int) -> tuple[FloatArray, FloatArray]:
        """Factors on grip and release time of one pass at many points, shape (m,) each."""
        grip, release = points[:, self.own(number)].T
        day = self.day_grip(points, self.passes[number].day)
        return np.exp(grip * PASS_GRIP_SD + day), np.exp(release * PASS_RELEASE_SD)

    def rows(self, points: FloatArray, numbers: Sequence[int]) -> FloatArray:
        """Packed rows of some passes at many points, shape (points, passes, row)."""
        versions = versions_at(self.car, self.centre, self.what, points[:, : len(self.what)])
        packed = []
        for number in numbers:
            one = self.passes[number]
            rows = pack(self.car, versions, one.setup, one.conditions)
            packed.append(until(with_pass_luck(rows, *self._luck(points, number)), self._end_m(one)))
        return np.stack(packed, axis=1)

    def _end_m(self, one: PassEvidence) -> float:
        """Distance to simulate so that even a version that is too fast covers the horizon [m]."""
        if not one.time_s.size or self.horizon_s > one.time_s[-1]:
            return FINISH_M
        return min(1.5 * float(np.interp(self.horizon_s, one.time_s, one.distance_m)) + 5.0, FINISH_M)


def with_luck(version: Parameters, log_grip: float, log_release: float, log_feed: float = 0.0) -> Parameters:
    """A version of the car with the luck of one pass: logarithms of the factors on grip, release time and feed."""
    return replace(
        version,
        grip=version.grip * float(np.exp(log_grip)),
        launch_release_s=version.launch_release_s * float(np.exp(log_release)),
        launch_feed=version.launch_feed * float(np.exp(log_feed)),
    )


def residuals(problem: Problem, points: FloatArray, numbers: Sequence[int]) -> list[FloatArray]:
    """Weighted differences of some passes at many points.

    Parameters
    ----------
    problem : Problem
    points : ndarray, shape (m, size)
    numbers : sequence of int
        Which passes.

    Returns
    -------
    list of ndarray, shape (m, n of that pass), one a pass
        In standard deviations; 0 where nothing was measured.
    """
    rows = problem.rows(points, numbers)
    ends = [
        min(float(problem.passes[i].time_s[-1]), problem.horizon_s) for i in numbers if problem.passes[i].time_s.size
    ]
    longest = max(ends, default=0.0)
    count = int((longest + 4.0) * RATE_HZ) if longest else 0
    outputs, traces = sample_many(rows.reshape(-1, rows.shape[-1]), count, RATE_HZ)
    outputs = outputs.reshape(len(points), len(numbers), -1)
    traces = traces.reshape(len(points), len(numbers), count, traces.shape[-1])
    return [
        _pass_residuals(problem, problem.passes[number], outputs[:, i], traces[:, i])
        for i, number in enumerate(numbers)
    ]


def _pass_residuals(problem: Problem, one: PassEvidence, outputs: FloatArray, traces: FloatArray) -> FloatArray:
    parts = [_clock_residuals(one, outputs, problem.horizon_s), _peak_residuals(one, outputs, problem.horizon_s)]
    if one.time_s.size:
        simulated = _on_grid(one, outputs, traces)
        late = one.time_s > problem.horizon_s
        for kind in KINDS:
            if kind in one.series:
                off = _series_residuals(one, simulated, kind)
                off[:, late] = 0.0
                parts.append(off)
    return np.concatenate(parts, axis=1)


def _clock_residuals(one: PassEvidence, outputs: FloatArray, horizon_s: float) -> FloatArray:
    columns = []
    for name in CLOCK_FLOOR:
        if name in one.clocks:
            off = _off(outputs, name, one.clocks[name])
            at_s = one.clocks[CLOCK_TIME[name]].value if CLOCK_TIME[name] in one.clocks else np.inf
            columns.append(np.nan_to_num(off, nan=50.0) if at_s <= horizon_s else np.zeros(len(off)))
    return np.stack(columns, axis=1) if columns else np.zeros((len(outputs), 0))


def _peak_residuals(one: PassEvidence, outputs: FloatArray, horizon_s: float) -> FloatArray:
    whole = not one.time_s.size or horizon_s >= one.time_s[-1]
    columns = []
    for name in PEAKS_SD:
        if name in one.peaks:
            off = _off(outputs, name, one.peaks[name])
            columns.append(np.nan_to_num(off) if whole else np.zeros(len(off)))
    return np.stack(columns, axis=1) if columns else np.zeros((len(outputs), 0))


def _off(outputs: FloatArray, name: str, measured: Estimate) -> FloatArray:
    """An output of each version less its measurement, in standard deviations of the latter, shape (m,)."""
    return np.asarray((outputs[:, OUTPUTS.index(name)] - measured.value) * HALF_WIDTH_90 / measured.plus_minus)


def _on_grid(one: PassEvidence, outputs: FloatArray, traces: FloatArray) -> dict[str, FloatArray]:
    """Traces of each version on the pass's grid, shape (m, n) each."""
    rolled = outputs[:, OUTPUTS.index("rollout_s")]
    place = (np.nan_to_num(rolled, nan=0.0)[:, None] + one.time_s[None, :]) * RATE_HZ
    last = traces.shape[1] - 2
    index = np.clip(np.floor(place).astype(np.intp), 0, last)
    part = np.clip(place - index, 0.0, 1.0)[..., None]
    lines = np.arange(len(traces))[:, None]
    values = traces[lines, index] * (1.0 - part) + traces[lines, index + 1] * part
    named = {name: values[..., i] for i, name in enumerate(TRACES)}
    named["front_spin_mps"] = named["front_wheel_mps"] - named["speed_mps"]
    named["rear_spin_mps"] = named["rear_wheel_mps"] - named["speed_mps"]
    shifting = traces[lines, index, TRACES.index("phase")] == _SHIFT_PHASE
    for name in ("engine_rpm", "injector_duty", "front_spin_mps", "rear_spin_mps"):
        named[name] = np.where(shifting, np.nan, named[name])
    # A standing car has no spin, and the clutch decides its wheels.
    return named


def _series_residuals(one: PassEvidence, simulated: dict[str, FloatArray], kind: str) -> FloatArray:
    series = one.series[kind]
    off = simulated[kind] - series.values
    if kind.endswith("spin_mps"):
        off = _compressed(simulated[kind], _SPIN_KNEE_MPS) - _compressed(series.values, _SPIN_KNEE_MPS)
    elif kind == "engine_rpm":
        off = _compressed(off, _RPM_KNEE)
    return np.asarray(np.nan_to_num(off / series.sd, nan=0.0) * np.sqrt(_NEW_SHARE))


def _compressed(values: FloatArray, knee: float) -> FloatArray:
    return np.asarray(knee * np.arcsinh(values / knee))
