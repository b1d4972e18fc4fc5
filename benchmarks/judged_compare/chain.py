"""Passes of the proving ground before and after a change whose worth is known, from their logs to the verdict."""

import tempfile
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from nextpass.car import Car, Conditions
from nextpass.compare import Group, Verdict, compare_groups
from nextpass.files import read_pass
from nextpass.fit import fit_car
from nextpass.log import hints_for, open_log
from nextpass.measure import Absent, Estimate
from nextpass.proving import ProvingCar, any_logger, drive_pass, fleet, mean_et, write_pass_folder
from nextpass.review import ReviewedPass, review_pass

NOON = datetime(2026, 5, 2, 12, tzinfo=UTC)
PASSES_A_SIDE = 3
# An afternoon that cools: by so much from pass to pass [K].
AIR_COOLS_K, TRACK_COOLS_K = 0.7, 1.2
# What the change is: a share less lost in the driveline, which no setting and no car file knows of.
LESS_LOST = 0.015


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One comparison and the truth [s]: the gain as stated, by the means alone, and as it truly is."""

    car: str
    is_one_day: bool
    true_s: float
    plain_s: float
    stated: Estimate
    verdict: Verdict


def judged(number: int, is_one_day: bool, helps: bool) -> Judged:
    """One comparison.

    Parameters
    ----------
    number : int
        Chooses car, logger and luck.
    is_one_day : bool
        Alternating on one day with strip clocks, or each group on a day of its own.
    helps : bool
        Whether anything was changed at all.
    """
    entry = fleet(12, 1)[number % 12]
    changed = _less_lost(entry.car) if helps else entry.car
    rng = np.random.default_rng([number, 77])
    days = [day_of(entry.conditions, rng) for _ in range(2)]
    with tempfile.TemporaryDirectory(prefix="compared-") as place:
        sides: list[list[ReviewedPass]] = [[], []]
        for turn in range(2 * PASSES_A_SIDE):
            side = turn % 2 if is_one_day else turn // PASSES_A_SIDE
            air = cooled(days[0 if is_one_day else side], turn)
            outcome = drive_pass((entry.car, changed)[side], entry.strip, air, entry.baseline, 1000 * number + turn)
            folder = Path(place) / f"pass{turn + 1}"
            write_pass_folder(outcome, any_logger(number, rate_hz=40.0), folder, number=turn + 1, with_timeslip=True)
            started = NOON + timedelta(days=0 if is_one_day else 9 * side, minutes=20 * turn)
            sides[side].append(_reviewed(entry.car.believed, folder, started))
        groups = [Group(label=label, passes=tuple(side)) for label, side in zip(("a", "b"), sides, strict=True)]
        fitted = fit_car(entry.car.believed, groups[0].passes)
        (one,) = compare_groups(fitted, groups, 0)
    means = [
        np.mean([run.record.clocks.et_s for run in side]) for side in sides if all(run.record.clocks for run in side)
    ]
    truth = [
        mean_et(car, entry.strip, days[0], [entry.baseline], list(range(24)))[0][0] for car in (entry.car, changed)
    ]
    decisive = one.decisive
    assert not isinstance(decisive, Absent)
    return Judged(
        car=entry.car.name,
        is_one_day=is_one_day,
        true_s=float(truth[0] - truth[1]) if helps else 0.0,
        plain_s=float(means[0] - means[1]),
        stated=decisive.gain,
        verdict=decisive.verdict,
    )


def _less_lost(car: ProvingCar) -> ProvingCar:
    return replace(
        car, driveline=replace(car.driveline, efficiency=min(car.driveline.efficiency * (1.0 + LESS_LOST), 0.99))
    )


def cooled(day: Conditions, turn: int) -> Conditions:
    """A day after so many passes."""
    return replace(
        day,
        air_temperature_c=day.air_temperature_c - AIR_COOLS_K * turn,
        track_temperature_c=day.track_temperature_c - TRACK_COOLS_K * turn,
    )


def day_of(first: Conditions, rng: np.random.Generator) -> Conditions:
    """Another day: its air, track and wind by chance."""
    air_c = first.air_temperature_c + float(rng.normal(0.0, 4.0))
    return replace(
        first,
        air_temperature_c=round(air_c, 1),
        pressure_kpa=round(first.pressure_kpa + float(rng.normal(0.0, 0.7)), 1),
        track_temperature_c=round(air_c + float(rng.uniform(4.0, 15.0))),
        headwind_mps=round(float(rng.normal(0.0, 1.2)), 1),
    )


def _reviewed(car: Car, folder: Path, started: datetime) -> ReviewedPass:
    record = replace(read_pass(folder, car), started=started)
    log = open_log(record.logs[0], hints_for(car, record))
    return ReviewedPass(record=record, log=log, review=review_pass(car, record, log))
