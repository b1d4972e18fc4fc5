"""What the day did to each pass: air, slope and wind taken out with the fitted car, grip as far as it is known.

Each pass's own setup is simulated in its own conditions and in conditions that all passes share, their mean. The
difference of the two is what the day gave or took. It is done for every version of the car that its passes leave
possible, so that what is uncertain about the correction is known as a covariance between the passes; on top of that
comes a share for what the simulation's equations miss.

The car is fitted to one group alone: a fit that had seen both would explain the change away as weather. So the grip of
a day that the other group had to itself is not known; it stays in as wide as a strip changes from day to day. Within a
day it cancels, but for what drifts: track, tyres, and what the simulation does not see of a cooling afternoon. Passes
that alternate are hardly touched by that; a group that was run wholly before the other is.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car, Conditions, PassRecord
from nextpass.fit import FittedCar
from nextpass.physics import strip
from nextpass.sim import OUTPUTS, Parameters, Versions, drive_many, pack

FloatArray = NDArray[np.float64]

CLOCKS: Final = ("t60ft_s", "t330ft_s", "t660ft_s", "t1000ft_s", "et_s", "trap_mps")
"""Clocks that are compared, in the order of the strip."""

VERSIONS: Final = 16
MISSED_SHARE: Final = 0.5
"""Standard deviation of a correction that the simulation's own equations cause, as a share of it: ten kelvins move a
proving-ground car by 0.18 s, of which the simulation sees between half and all."""
UNSEEN_DAY_GRIP_SD: Final = 0.04
"""Of a day's grip that the fit knows nothing of: a strip changes by some percent between days (common practice)."""

DRIFT_PER_H: Final = np.array([0.010, 0.018, 0.022, 0.026, 0.030, 0.15])
"""Standard deviation of what drifts within a day beside the air, by `CLOCKS` [s/h; m/s an hour for the trap speed]
(common practice: some hundredths of ET over an afternoon). One day differs from another by as much as an hour does."""
USUAL_PAUSE_H: Final = 1.0 / 3.0
"""Between passes whose times are not known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DayEffect:
    """What the day did to n passes, in v versions of the car, on k `CLOCKS` [s; m/s for the trap speed].

    A figure that is made of several clocks, such as a stretch of the strip, is asked for by the weight of each clock,
    shape (k,).

    Parameters
    ----------
    reference : Conditions
        The mean of all passes: what every pass is brought to.
    added : ndarray, shape (v, n, k)
        What the day added to each clock, the best version first.
    unseen : ndarray, shape (d, n, k)
        What one standard deviation of the grip of each day that the fit has not seen does.
    drift : ndarray, shape (e, n, k)
        What one standard deviation of the drift within each day does, and of each day's own level among several.
    """

    reference: Conditions
    added: FloatArray
    unseen: FloatArray
    drift: FloatArray

    def taken_out(self, weights: FloatArray) -> FloatArray:
        """What is to be subtracted from the figure of each pass, shape (n,)."""
        return np.asarray(self.added[0] @ weights)

    def covariance(self, weights: FloatArray) -> FloatArray:
        """Covariance of what is taken out, shape (n, n)."""
        added, unseen, drift = self.added @ weights, self.unseen @ weights, self.drift @ weights
        spread = added[1:] - added[1:].mean(axis=0)
        missed = MISSED_SHARE * added[0]
        known = spread.T @ spread / max(len(added) - 2, 1)
        return np.asarray(known + np.outer(missed, missed) + unseen.T @ unseen + drift.T @ drift)

    def grip_sd(self, weights: FloatArray, contrast: FloatArray) -> float:
        """Standard deviation that the grip of unseen days gives to a difference between passes, shape (n,)."""
        return float(np.sqrt(np.sum((self.unseen @ weights @ contrast) ** 2)))

    def of(self, passes: Sequence[int]) -> "DayEffect":
        """The same for some of the passes, by index."""
        chosen = list(passes)
        return replace(self, added=self.added[:, chosen], unseen=self.unseen[:, chosen], drift=self.drift[:, chosen])


def one_clock(name: str) -> FloatArray:
    """Weights that ask for one clock, shape (k,)."""
    return np.array([float(clock == name) for clock in CLOCKS])


def between(start_m: float, end_m: float) -> FloatArray:
    """Weights that ask for the time from one distance to another, shape (k,).

    Between two beams what the day adds is taken to grow evenly.

    Parameters
    ----------
    start_m, end_m : float
        From the stage line, start before end [m].
    """
    return _at_distance(end_m) - _at_distance(start_m)


def _at_distance(distance_m: float) -> FloatArray:
    beams = np.array([strip.ROLLOUT_M, *strip.BEAMS_M])
    unit = np.eye(len(beams))
    weights = [float(np.interp(distance_m, beams, unit[i])) for i in range(1, len(beams))]
    return np.array([*weights, *[0.0] * (len(CLOCKS) - len(weights))])


def mean_conditions(conditions: Sequence[Conditions]) -> Conditions:
    """The mean of each figure; the site's altitude, which no sum uses, is left open."""
    names = [field.name for field in fields(Conditions) if field.name != "altitude_m"]
    return Conditions(**{name: float(np.mean([getattr(one, name) for one in conditions])) for name in names})


def day_numbers(records: Sequence[PassRecord]) -> list[int]:
    """Number of the day and strip of each pass; one without a date belongs to the day of the pass before it."""
    known: dict[tuple[object, str], int] = {}
    numbers: list[int] = []
    date: object = None
    for record in records:
        date = record.started.date() if record.started is not None else date
        numbers.append(known.setdefault((date, record.strip), len(known)))
    return numbers


def day_effect(fitted: FittedCar, records: Sequence[PassRecord], seen: Sequence[int]) -> DayEffect:
    """What the day did to each pass.

    Parameters
    ----------
    fitted : FittedCar
    records : sequence of PassRecord, length n
        In the order in which they were run.
    seen : sequence of int
        Which of them the car was fitted to, oldest first; empty for a car that is fitted to none of them.

    Returns
    -------
    DayEffect
    """
    reference = mean_conditions([record.conditions for record in records])
    days = day_numbers(records)
    # A fit drops the oldest of many passes.
    fitted_to = list(seen)[len(seen) - min(len(seen), len(fitted.problem.passes)) :]
    seen_days = [days[number] for number in fitted_to]
    versions = [_of_days(version, seen_days, days, fitted) for version in fitted.versions_by_pass(VERSIONS)]
    own = _clocks(fitted.car, versions, records, [record.conditions for record in records])
    brought = _clocks(fitted.car, [_alike(version) for version in versions], records, [reference] * len(records))
    # A version that does not finish says nothing about a clock: it counts as the best one.
    added = np.where(np.isfinite(own - brought), own - brought, (own - brought)[:1])
    unseen = sorted(set(days) - set(seen_days))
    return DayEffect(
        reference=reference,
        added=np.nan_to_num(added),
        unseen=_unseen(fitted.car, _alike(versions[0]), records, reference, [np.array(days) == day for day in unseen]),
        drift=_drift(records, days),
    )


def _drift(records: Sequence[PassRecord], days: Sequence[int]) -> FloatArray:
    """Hours of each pass from the middle of its day times the drift an hour, and levels of days, shape (e, n, k)."""
    hours = USUAL_PAUSE_H * np.arange(len(records), dtype=np.float64)
    times = [record.started for record in records]
    known = [time for time in times if time is not None]
    if len(known) == len(records) and len({time.tzinfo is None for time in known}) == 1:
        hours = np.array([(time - known[0]).total_seconds() / 3600.0 for time in known])
    number = np.array(days)
    parts = []
    for day in range(number.max() + 1):
        then = number == day
        parts.append(np.where(then, hours - hours[then].mean(), 0.0)[:, None] * DRIFT_PER_H)
        if number.max() > 0:
            parts.append(then[:, None] * DRIFT_PER_H)
    return np.stack(parts)


def _of_days(
    version: Sequence[Parameters], seen_days: Sequence[int], days: Sequence[int], fitted: FittedCar
) -> list[Parameters]:
    """A version of the car as it stood on the day of each pass; a day that the fit has not seen has the mean grip."""
    known = dict(zip(seen_days, version[len(version) - len(seen_days) :], strict=True)) if seen_days else {}
    base = version[-1] if version else fitted.parameters
    other = replace(base, grip=_mean_grip(list(known.values()))) if known else base
    return [known.get(day, other) for day in days]


def _alike(version: Sequence[Parameters]) -> list[Parameters]:
    """The same version with one grip, the mean, on every day."""
    return [replace(one, grip=_mean_grip(version)) for one in version]


def _mean_grip(versions: Sequence[Parameters]) -> float:
    return float(np.exp(np.mean([np.log(one.grip) for one in versions])))


def _clocks(
    car: Car,
    versions: Sequence[Sequence[Parameters]],
    records: Sequence[PassRecord],
    conditions: Sequence[Conditions],
) -> FloatArray:
    """Simulated clocks of each pass's own setup, shape (versions, passes, clocks)."""
    rows = np.stack(
        [
            pack(car, Versions.of(of_pass), record.setup, day)
            for of_pass, record, day in zip(zip(*versions, strict=True), records, conditions, strict=True)
        ],
        axis=1,
    )
    columns = [OUTPUTS.index(clock) for clock in CLOCKS]
    return drive_many(rows.reshape(-1, rows.shape[-1]))[:, columns].reshape(len(versions), len(records), len(CLOCKS))


def _unseen(
    car: Car,
    best: Sequence[Parameters],
    records: Sequence[PassRecord],
    reference: Conditions,
    on_day: Sequence[NDArray[np.bool_]],
) -> FloatArray:
    """What one standard deviation of an unseen day's grip does, shape (days, passes, clocks)."""
    if not on_day:
        return np.zeros((1, len(records), len(CLOCKS)))
    better = [replace(one, grip=one.grip * float(np.exp(UNSEEN_DAY_GRIP_SD))) for one in best]
    plain, gripping = _clocks(car, [best, better], records, [reference] * len(records))
    moved = np.nan_to_num(gripping - plain)
    return np.stack([np.where(is_then[:, None], moved, 0.0) for is_then in on_day])
