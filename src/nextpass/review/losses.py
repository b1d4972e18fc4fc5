"""Where the time went: the difference of a pass to the same car's limit, by cause and gear.

Reference is the simulation of the fitted car at the setup of the pass, with grip without limit; what a better setup
would bring on top is a cause of its own. Each stretch of the measured pass gains some speed; the reference gains the
same speed in a time of its own. Every stretch has one cause, the first that applies. The pass is run again with the
stretches of a cause put to the reference's time, cause after cause, once in one order and once in the other: the
parts, as means of the two, add up to the whole. Limits: two causes at one moment are not told apart, and the
reference is only as right as the fit.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car
from nextpass.measure import Absent, Estimate
from nextpass.physics.strip import BEAM_1320FT_M
from nextpass.review.findings import Evidence
from nextpass.review.findings.boost import target_pressure
from nextpass.review.findings.knock import retard_channels
from nextpass.review.findings.traction import axle_slip
from nextpass.review.review import ReviewedPass, evidence_of
from nextpass.sim import Parameters, drive, pack, perfect_traction, without_slip

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

Cause = Literal[
    "throttle", "late lift", "shift", "wheel slip", "bog", "torque cut", "pressure", "launch", "rest", "setup"
]
# A tyre that slips more than its peak by this factor has lost pull.
PAST_PEAK = 1.5
SHORT_OF_TARGET = 0.04
CUT_DEG = 1.0
# What a simulated time is good for, as a part of the difference that it explains.
REFERENCE_SD = 0.15
# What is smaller than this goes to the rest.
LEAST_S = 0.002


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss:
    """Time that one cause cost in one gear; `gear` is None where it belongs to none."""

    cause: Cause
    gear: int | None
    seconds: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class LostTime:
    """The whole and its parts, the dearest first; the parts add up to the whole.

    Parameters
    ----------
    whole_s : Estimate
        ET of the pass less that of the limit.
    limit_et_s : float
        The same car with perfect traction at the same guards.
    """

    whole_s: Estimate
    limit_et_s: float
    parts: tuple[Loss, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Stretches:
    """The pass sample by sample: middle speed, own and reference time, and the label of its cause."""

    speed_mps: FloatArray
    own_s: FloatArray
    reference_s: FloatArray
    label: NDArray[np.int64]
    tail_speed_mps: FloatArray
    tail_s: FloatArray


def lost_time(car: Car, reviewed: ReviewedPass, parameters: Parameters) -> LostTime | Absent:
    """Where a pass lost time against the same car's limit.

    Parameters
    ----------
    car : Car
    reviewed : ReviewedPass
    parameters : Parameters
        The car as its passes show it, or `sim.default_parameters`.

    Returns
    -------
    LostTime or Absent
        Absent where the pass has no ET.
    """
    evidence, et = evidence_of(car, reviewed), reviewed.review.timeslip.et_s
    if evidence is None or isinstance(et, Absent):
        reason = et.reason if isinstance(et, Absent) else "the log shows no motion"
        return Absent(reason=reason)
    limit_s = perfect_traction(car, parameters, reviewed.record.conditions).outputs["et_s"]
    reference = drive(without_slip(pack(car, parameters, reviewed.record.setup, reviewed.record.conditions)))
    own_limit_s = reference.outputs["et_s"]
    if not np.isfinite(own_limit_s):
        return Absent(reason="the simulated car does not reach the finish at this setup")
    labels = _labels(evidence)
    stretches = _stretches(evidence, labels, reference.traces["speed_mps"], reference.time_s)
    seconds = _shared_out(stretches, evidence.motion.rollout_m, [label for label, _ in labels])
    seconds = {label: value for label, value in seconds.items() if abs(value) >= LEAST_S and label[0] != "rest"}
    seconds[("rest", None)] = et.value - own_limit_s - sum(seconds.values())
    seconds[("setup", None)] = own_limit_s - limit_s
    whole = Estimate.from_sd(et.value - limit_s, REFERENCE_SD * abs(et.value - limit_s))
    parts = [_loss(label, value, et) for label, value in seconds.items()]
    return LostTime(
        whole_s=Estimate(value=whole.value, plus_minus=float(np.hypot(whole.plus_minus, et.plus_minus))),
        limit_et_s=limit_s,
        parts=tuple(sorted(parts, key=lambda part: -part.seconds.value)),
    )


_Label = tuple[Cause, int | None]


def _loss(label: _Label, value: float, et: Estimate) -> Loss:
    own = Estimate.from_sd(value, REFERENCE_SD * abs(value))
    plus_minus = float(np.hypot(own.plus_minus, 0.3 * et.plus_minus))
    return Loss(cause=label[0], gear=label[1], seconds=Estimate(value=value, plus_minus=plus_minus))


def _labels(evidence: Evidence) -> list[tuple[_Label, BoolArray]]:
    """Each cause and gear with the samples of the shared clock that it has; every sample in one of them."""
    open_ = evidence.between(evidence.motion.moved_s, evidence.time_s[-1])
    found: list[tuple[_Label, BoolArray]] = []
    for cause, where in _CAUSES:
        mine = open_ & where(evidence)
        open_ = open_ & ~mine
        if cause in ("late lift", "launch", "rest"):
            found.append(((cause, None), mine))
            continue
        found += [((cause, int(g) or None), mine & (evidence.gear == g)) for g in np.unique(evidence.gear[mine])]
    return found


def _throttle(evidence: Evidence) -> BoolArray:
    throttle, pedal = evidence.series("throttle"), evidence.series("pedal")
    if throttle is None:
        return np.zeros(evidence.time_s.size, dtype=np.bool_)
    with np.errstate(invalid="ignore"):
        closed = evidence.is_pulling & (throttle < evidence.limits["throttle_closed"])
        return np.asarray(closed if pedal is None else closed & (pedal > evidence.limits["throttle_closed"]))


def _lifted(evidence: Evidence) -> BoolArray:
    return evidence.between(evidence.lift_s, evidence.time_s[-1])


def _in_phase(evidence: Evidence, kind: str) -> BoolArray:
    inside = np.zeros(evidence.time_s.size, dtype=np.bool_)
    for phase in evidence.phases:
        if phase.kind == kind:
            inside |= evidence.between(phase.start_s, phase.end_s)
    return inside


def _slips(evidence: Evidence) -> BoolArray:
    slips = [slip for axle in ("front", "rear") if (slip := axle_slip(evidence, axle)) is not None]
    if not slips:
        return np.zeros(evidence.time_s.size, dtype=np.bool_)
    with np.errstate(invalid="ignore"):
        return np.asarray(np.fmax.reduce(slips) > PAST_PEAK * evidence.car.tyres.peak_slip)


def _bogged(evidence: Evidence) -> BoolArray:
    short = _short(evidence, evidence.limits["bog_shortfall"])
    if evidence.trace is None:
        return np.zeros(evidence.time_s.size, dtype=np.bool_)
    return np.asarray(short & (evidence.trace.engine_rpm < evidence.car.engine.boost_threshold_rpm))


def _cut(evidence: Evidence) -> BoolArray:
    series = [s for name in retard_channels(evidence.log) if (s := evidence.series(name)) is not None]
    if not series:
        return np.zeros(evidence.time_s.size, dtype=np.bool_)
    with np.errstate(invalid="ignore"):
        return np.asarray(np.fmax.reduce(series) >= CUT_DEG)


def _short(evidence: Evidence, part: float = SHORT_OF_TARGET) -> BoolArray:
    pressure, target = evidence.series("manifold_pressure_kpa"), target_pressure(evidence)
    if pressure is None or target is None:
        return np.zeros(evidence.time_s.size, dtype=np.bool_)
    with np.errstate(invalid="ignore"):
        return np.asarray(pressure < (1.0 - part) * target)


_CAUSES: Sequence[tuple[Cause, Callable[[Evidence], BoolArray]]] = (
    ("late lift", _lifted),
    ("shift", lambda evidence: _in_phase(evidence, "shift")),
    ("wheel slip", _slips),
    ("throttle", _throttle),
    ("bog", _bogged),
    ("torque cut", _cut),
    ("launch", lambda evidence: _in_phase(evidence, "launch")),
    ("pressure", _short),
    ("rest", lambda evidence: np.ones(evidence.time_s.size, dtype=np.bool_)),
)


def _stretches(
    evidence: Evidence,
    labels: list[tuple[_Label, BoolArray]],
    reference_mps: FloatArray,
    reference_time_s: FloatArray,
) -> _Stretches:
    motion = evidence.motion
    moving = (motion.time_s >= motion.moved_s) & (motion.distance_m <= BEAM_1320FT_M)
    time_s, speed = motion.time_s[moving], np.maximum(motion.speed_mps[moving], 0.0)
    # First time at which the reference has each speed: rising, with a jump where it shifts.
    rising = np.maximum.accumulate(reference_mps)
    keep = np.concatenate([[True], np.diff(rising) > 0.0])
    reached = np.interp(speed, rising[keep], reference_time_s[keep])
    beyond = keep & (reference_mps > speed[-1])
    at = np.clip(np.searchsorted(evidence.time_s, 0.5 * (time_s[1:] + time_s[:-1])), 0, evidence.time_s.size - 1)
    label = np.full(at.size, len(labels) - 1, dtype=np.int64)
    for place, (_, mask) in enumerate(labels):
        label[mask[at]] = place
    tail = reference_mps[beyond]
    return _Stretches(
        speed_mps=0.5 * (speed[1:] + speed[:-1]),
        own_s=np.diff(time_s),
        reference_s=np.diff(reached),
        label=label,
        tail_speed_mps=0.5 * (tail[1:] + tail[:-1]) if tail.size > 1 else np.full(1, speed[-1]),
        tail_s=np.diff(reference_time_s[beyond]) if tail.size > 1 else np.full(1, 10.0),
    )


def _shared_out(stretches: _Stretches, rollout_m: float, labels: list[_Label]) -> dict[_Label, float]:
    """Time that each label costs: the mean over removing them in one order and in the other."""
    forwards = _removed(stretches, rollout_m, list(range(len(labels))))
    backwards = _removed(stretches, rollout_m, list(range(len(labels)))[::-1])
    costs: dict[_Label, float] = {}
    for place, label in enumerate(labels):
        costs[label] = costs.get(label, 0.0) + 0.5 * (forwards[place] + backwards[place])
    return costs


def _removed(stretches: _Stretches, rollout_m: float, order: list[int]) -> Mapping[int, float]:
    durations = stretches.own_s.copy()
    et_s = _et_s(stretches, durations, rollout_m)
    costs = {}
    for place in order:
        mine = stretches.label == place
        durations[mine] = stretches.reference_s[mine]
        shorter_s = _et_s(stretches, durations, rollout_m)
        costs[place] = et_s - shorter_s
        et_s = shorter_s
    return costs


def _et_s(stretches: _Stretches, durations: FloatArray, rollout_m: float) -> float:
    """ET of the pass with these durations, run on along the reference where it ends short of the beam."""
    speed = np.concatenate([stretches.speed_mps, stretches.tail_speed_mps, stretches.tail_speed_mps[-1:]])
    time = np.concatenate([[0.0], np.cumsum(np.concatenate([durations, stretches.tail_s, [20.0]]))])
    distance = np.concatenate([[0.0], np.cumsum(speed * np.diff(time))])
    rising = np.maximum.accumulate(distance)
    return float(np.interp(BEAM_1320FT_M, rising, time) - np.interp(rollout_m, rising, time))
