"""What the day did to each pass: air, slope, wind and the day's grip, taken out with the fitted car.

Each pass's own setup is simulated in its own conditions and in conditions that all passes share, their mean. The
difference of the two is what the day gave or took. It is done for every version of the car that the passes leave
possible, so that what is uncertain about the correction is known as a covariance between the passes; on top of that
comes a share for what the simulation's equations miss. A day that the fit has not seen keeps the width of a strip.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car, Conditions, PassRecord
from nextpass.fit import FittedCar
from nextpass.physics import strip
from nextpass.sim import OUTPUTS, Parameters, drive_many, pack

FloatArray = NDArray[np.float64]

CLOCKS: Final = ("t60ft_s", "t330ft_s", "t660ft_s", "t1000ft_s", "et_s", "trap_mps")
"""Clocks that are compared, in the order of the strip."""

VERSIONS: Final = 16
MISSED_SHARE: Final = 0.2
"""Standard deviation of a correction that the simulation's own equations cause, as a share of it: weather that moves a
proving-ground car by 0.3 s is followed to within 0.06 s."""
UNSEEN_DAY_GRIP_SD: Final = 0.04
"""Of a day's grip that the fit knows nothing of: a strip changes by some percent between days (common practice)."""


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
    by_grip : ndarray, shape (n, k)
        The part of the best version's that is the day's grip.
    unseen : ndarray, shape (d, n, k)
        What one standard deviation of the grip of each day that the fit has not seen does.
    """

    reference: Conditions
    added: FloatArray
    by_grip: FloatArray
    unseen: FloatArray

    def taken_out(self, weights: FloatArray) -> FloatArray:
        """What is to be subtracted from the figure of each pass, shape (n,)."""
        return np.asarray(self.added[0] @ weights)

    def grip_taken_out(self, weights: FloatArray) -> FloatArray:
        """The part of it that is the day's grip, shape (n,)."""
        return np.asarray(self.by_grip @ weights)

    def covariance(self, weights: FloatArray) -> FloatArray:
        """Covariance of what is taken out, shape (n, n)."""
        added, unseen = self.added @ weights, self.unseen @ weights
        spread = added[1:] - added[1:].mean(axis=0)
        missed = MISSED_SHARE * added[0]
        known = spread.T @ spread / max(len(added) - 2, 1)
        return np.asarray(known + np.outer(missed, missed) + unseen.T @ unseen)

    def of(self, passes: Sequence[int]) -> "DayEffect":
        """The same for some of the passes, by index."""
        chosen = list(passes)
        return replace(self, added=self.added[:, chosen], by_grip=self.by_grip[chosen], unseen=self.unseen[:, chosen])


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


def day_effect(fitted: FittedCar, records: Sequence[PassRecord]) -> DayEffect:
    """What the day did to each pass.

    Parameters
    ----------
    fitted : FittedCar
        Fitted to these passes, oldest first; of many to the newest.
    records : sequence of PassRecord, length n
        Oldest first.

    Returns
    -------
    DayEffect
    """
    reference = mean_conditions([record.conditions for record in records])
    versions = _versions(fitted, records)
    own, brought = (_clocks(fitted.car, versions, records, reference, kind) for kind in ("own", "reference"))
    by_grip = _clocks(fitted.car, versions[:1], records, reference, "grip") - brought[:1]
    # A version that does not finish says nothing about a clock: it counts as the best one.
    added = np.where(np.isfinite(own - brought), own - brought, (own - brought)[:1])
    return DayEffect(
        reference=reference,
        added=np.nan_to_num(added),
        by_grip=np.nan_to_num(by_grip[0]),
        unseen=_unseen(fitted, records, versions[0], reference),
    )


def _versions(fitted: FittedCar, records: Sequence[PassRecord]) -> list[list[Parameters]]:
    """Each version of the car as it stood on each pass's day; a day that the fit has not seen has the mean grip."""
    numbers = day_numbers(records)
    found = []
    for version in fitted.versions_by_pass(VERSIONS):
        if not version:
            found.append([fitted.parameters] * len(records))
            continue
        seen = dict(zip(numbers[-len(version) :], version, strict=True))
        mean = replace(version[0], grip=_mean_grip(list(seen.values())))
        found.append([seen.get(number, mean) for number in numbers])
    return found


def _mean_grip(versions: Sequence[Parameters]) -> float:
    return float(np.exp(np.mean([np.log(one.grip) for one in versions])))


def _clocks(
    car: Car, versions: list[list[Parameters]], records: Sequence[PassRecord], reference: Conditions, kind: str
) -> FloatArray:
    """Simulated clocks, shape (versions, passes, clocks): on the own day, by the day's grip alone, or as brought."""
    rows = []
    for version in versions:
        shared = _mean_grip(version)
        for record, one in zip(records, version, strict=True):
            as_driven = replace(one, grip=shared) if kind == "reference" else one
            rows.append(pack(car, as_driven, record.setup, record.conditions if kind == "own" else reference))
    columns = [OUTPUTS.index(clock) for clock in CLOCKS]
    return drive_many(np.stack(rows))[:, columns].reshape(len(versions), len(records), len(CLOCKS))


def _unseen(
    fitted: FittedCar, records: Sequence[PassRecord], best: list[Parameters], reference: Conditions
) -> FloatArray:
    """What one standard deviation of an unseen day's grip does, shape (days, passes, clocks); nought where seen."""
    numbers = np.array(day_numbers(records))
    known = set(numbers[len(numbers) - len(fitted.problem.passes) :].tolist())
    days = [day for day in range(numbers.max() + 1) if day not in known]
    if not days:
        return np.zeros((1, len(records), len(CLOCKS)))
    better = [[replace(one, grip=one.grip * float(np.exp(UNSEEN_DAY_GRIP_SD))) for one in best]]
    as_own = ([best], better)
    plain, gripping = (_clocks(fitted.car, versions, records, reference, "grip")[0] for versions in as_own)
    moved = np.nan_to_num(gripping - plain)
    return np.stack([np.where((numbers == day)[:, None], moved, 0.0) for day in days])
