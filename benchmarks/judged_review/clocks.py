"""Clocks of the review against the truth, by what the log had to tell speed."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from nextpass.car import Car, Setup
from nextpass.files import read_pass
from nextpass.log import hints_for, open_log
from nextpass.measure import Estimate
from nextpass.proving import Entry, Outcome, SensorSet, any_logger, drive_pass, fleet, write_pass_folder
from nextpass.review import review_pass

FLEET_SEED = 4711
SENSOR_SETS: tuple[SensorSet, ...] = (
    "everything",
    "accelerometer and gps",
    "accelerometer and wheels",
    "wheels",
    "gps",
    "undriven axle",
)
CLOCKS = ("t60ft_s", "t330ft_s", "t660ft_s", "t1000ft_s", "et_s", "trap_mps")
# A hotter setup for each third car of every drive layout, so that wheels of all of them spin too.
HOTTER_KPA = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One pass: what its log had, and by clock the error and the stated half width, in s or as a part of the speed.

    `radius_known` says that the car file was given the true rolling radius.
    """

    sensors: str
    rate_hz: float
    radius_known: bool
    errors: dict[str, float]
    stated: dict[str, float]


def judged_clocks(cars: int, place: Path) -> list[Judged]:
    """Every car with every set of sensors, each with a logger drawn anew."""
    judged = []
    for index, entry in enumerate(fleet(cars, FLEET_SEED)):
        outcome = drive_pass(entry.car, entry.strip, entry.conditions, _setup(entry, index), seed=100 + index)
        judged += list(_of_outcome(entry, outcome, index, place))
    return judged


def _setup(entry: Entry, index: int) -> Setup:
    if (index // 3) % 3 != 2:
        return entry.baseline
    adjuster = entry.car.believed.adjusters["gear_pressure_cap_kpa"]
    caps = tuple(adjuster.on_step(cap + HOTTER_KPA) for cap in entry.baseline.gear_pressure_cap_kpa)
    return entry.baseline.with_values(gear_pressure_cap_kpa=caps)


def _of_outcome(entry: Entry, outcome: Outcome, index: int, place: Path) -> Iterator[Judged]:
    share = entry.car.driveline.front_drive_share
    for kind, sensors in enumerate(SENSOR_SETS):
        if sensors == "undriven axle" and 0.0 < share < 1.0:
            continue
        logger = any_logger(index * 17 + kind, sensors=sensors)
        folder = write_pass_folder(outcome, logger, place / f"{index}-{kind}")
        believed = entry.car.believed
        yield _judge(believed, outcome, folder, radius_known=False)
        if sensors == "accelerometer and wheels":
            known = replace(believed, tyres=replace(believed.tyres, rolling_radius_m=entry.car.tyres.rolling_radius_m))
            yield _judge(known, outcome, folder, radius_known=True)


def _judge(car: Car, outcome: Outcome, folder: Path, *, radius_known: bool) -> Judged:
    record = read_pass(folder, car)
    log = open_log(record.logs[0], hints_for(car, record))
    review = review_pass(car, record, log)
    errors, stated = {}, {}
    for name in CLOCKS:
        found, true = getattr(review.timeslip, name), getattr(outcome.clocks, name)
        if true is None or not isinstance(found, Estimate):
            continue
        unit = true if name.endswith("_mps") else 1.0
        errors[name], stated[name] = (found.value - true) / unit, found.plus_minus / unit
    sensors = ", ".join(review.ground_speed.sensors) if review.ground_speed else "none"
    return Judged(sensors=sensors, rate_hz=log.quality.rate_hz, radius_known=radius_known, errors=errors, stated=stated)


def clocks_table(judged: Sequence[Judged]) -> str:
    """Table by sensors: how far off, how often within the target, how often the stated ± held the truth."""
    lines = [
        "| the log has | passes | 60 ft: median, 90 % | ET: median, 90 %, worst | trap: 90 % | ± of ET | held |",
        "|---|---|---|---|---|---|---|",
    ]
    groups = {(one.sensors, one.radius_known) for one in judged}
    for sensors, known in sorted(groups, key=lambda group: _spread(judged, *group)):
        mine = [one for one in judged if one.sensors == sensors and one.radius_known == known]
        start, et, trap = (errors_of(mine, name) for name in ("t60ft_s", "et_s", "trap_mps"))
        if et.size == 0:
            lines.append(f"| {sensors} | {len(mine)} | no try found | | | | |")
            continue
        stated = np.median([one.stated["et_s"] for one in mine if "et_s" in one.stated])
        name = sensors + (" (true rolling radius in the car file)" if known else "")
        lines.append(
            f"| {name} | {len(mine)} | {np.median(start):+.3f}, {_p90(start):.3f} s "
            f"| {np.median(et):+.3f}, {_p90(et):.3f}, {np.abs(et).max():.3f} s | {100 * _p90(trap):.2f} % "
            f"| {stated:.3f} s | {100 * coverage(mine):.0f} % |"
        )
    return "\n".join(lines)


def _spread(judged: Sequence[Judged], sensors: str, known: bool) -> float:
    errors = errors_of([one for one in judged if one.sensors == sensors and one.radius_known == known], "et_s")
    return _p90(errors) if errors.size else np.inf


def _p90(errors: np.ndarray) -> float:
    return float(np.percentile(np.abs(errors), 90))


def errors_of(judged: Sequence[Judged], name: str) -> np.ndarray:
    """Errors of one clock over the passes that have it."""
    return np.array([one.errors[name] for one in judged if name in one.errors])


def share_within(judged: Sequence[Judged], name: str, bound: float) -> float:
    """Share of passes whose clock lies within a bound of the truth; a clock that is missing counts as outside."""
    return float(np.mean([abs(one.errors.get(name, np.inf)) <= bound for one in judged]))


def coverage(judged: Sequence[Judged]) -> float:
    """Share of clocks whose stated 90 % interval holds the truth."""
    held = [abs(one.errors[name]) <= one.stated[name] for one in judged for name in one.errors]
    return float(np.mean(held))
