"""Findings of the review on passes with one fault put in, and on clean ones."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from nextpass.car import Car
from nextpass.files import read_pass
from nextpass.log import hints_for, open_log
from nextpass.proving import (
    DIALECTS,
    FAULTS,
    Entry,
    Fault,
    Logger,
    any_logger,
    drive_faulty,
    drive_pass,
    fleet,
    write_faulty_folder,
    write_pass_folder,
)
from nextpass.review import Finding, Severity, review_pass

FLEET_SEED = 909
CARS = (0, 1, 2, 4, 9)
CLEAN_PASSES = 8
COSTS_S = 0.03
# A spin of less than this is no fault of a clean pass, and no false alarm where it is found.
SPIN_S = 0.15
# The dialect without wheel speeds that are called so is a matter for the log's reader, not for findings.
SPOKEN = tuple(dialect for dialect in DIALECTS if dialect != "gauge")

# The findings that point at each fault: the cause itself, or what a calibrator would take up first to get to it.
POINTS_AT: dict[str, tuple[str, ...]] = {
    "slippery-start": ("wheel-slip",),
    "bog": ("bog", "launch-dip"),
    "launch-hunting": ("launch-rpm",),
    "slow-release": ("slow-release",),
    "early-lift": ("early-lift",),
    "clutch-slip": ("clutch-slip",),
    "slow-shift": ("slow-shift",),
    "shift-flare": ("shift-flare", "slow-shift"),
    "late-shift": ("late-shift", "rev-limiter"),
    "pressure-overshoot": ("boost-overshoot", "boost-oscillation", "over-fuel-limit"),
    "pressure-oscillation": ("boost-oscillation",),
    "charge-leak": ("boost-leak", "boost-shortfall", "boost-slow", "weak-cooler"),
    "wastegate-stuck-open": ("boost-leak", "boost-shortfall", "boost-slow"),
    "wastegate-creep": ("boost-creep",),
    "slow-rise": ("boost-slow", "boost-leak", "boost-shortfall", "bog"),
    "throttle-closed": ("throttle-closed",),
    "bad-fuel": ("knock",),
    "lean": ("lean", "trims-high"),
    "rich": ("rich", "trims-high"),
    "banks-apart": ("banks-apart", "trims-apart"),
    "injectors-small": ("injector-duty", "injector-static"),
    "second-pump-dead": ("rail-sag", "second-pump"),
    "pumps-weak": ("rail-sag",),
    "misfire": ("power-fades",),
    "heat-soak": ("charge-soak", "charge-hot"),
    "cooler-blocked": ("weak-cooler", "charge-hot"),
    "coolant-hot": ("coolant-hot", "coolant-climb"),
    "oil-hot": ("oil-hot",),
    "gearbox-oil-hot": ("gearbox-hot",),
    "battery-sag": ("battery-low",),
    "car-cut": ("throttle-closed", "ignition-pulled"),
    "dragging-brake": ("drag-high",),
    "pressure-stuck": ("sensor-stuck", "sensor-clipped"),
    "pressure-clipped": ("sensor-clipped",),
    "wheel-stuck": ("sensor-stuck",),
    "axles-swapped": ("sensors-swapped",),
    "pressure-offset": ("sensor-offset",),
    "accelerometer-reversed": ("sensor-reversed",),
    "temperature-dead": ("sensor-implausible",),
    "dropout": ("log-gap",),
    "gps-lost": ("sensor-stuck",),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """One pass: its fault ("" for a clean one), whether it must be found, and the findings that were true or false."""

    kind: str
    strength: int
    must_be_found: bool
    is_found: bool
    grave: tuple[str, ...]
    false_alarms: tuple[str, ...]


def judged_findings(cars: int, place: Path) -> list[Found]:
    """Every fault at each strength on some cars, and clean passes of the same cars."""
    entries = fleet(max(CARS) + 1, FLEET_SEED)
    found = []
    for number in CARS[:cars]:
        found += list(_faulty(entries[number], number, place))
        found += list(_clean(entries[number], number, place))
    return found


def _faulty(entry: Entry, number: int, place: Path) -> Iterator[Found]:
    for turn, kind in enumerate(FAULTS):
        for strength in (1, 2, 3):
            fault = Fault(kind=kind, strength=strength)
            drawn = drive_faulty(entry.car, entry.strip, entry.conditions, entry.baseline, fault, seed=300 + number)
            logger = _logger(number * 100 + turn * 3 + strength)
            folder = write_faulty_folder(drawn, logger, place / f"{number}-{kind}-{strength}")
            codes = _findings(entry.car.believed, folder)
            in_danger = drawn.can_break and not replace(drawn, outcome=drawn.clean).can_break
            yield Found(
                kind=kind,
                strength=strength,
                must_be_found=not drawn.cost_s <= COSTS_S or in_danger,
                is_found=any(finding.code in POINTS_AT.get(kind, ()) for finding in codes),
                grave=_grave(codes),
                false_alarms=(),
            )


def _clean(entry: Entry, number: int, place: Path) -> Iterator[Found]:
    for turn in range(CLEAN_PASSES):
        outcome = drive_pass(entry.car, entry.strip, entry.conditions, entry.baseline, seed=5000 + number * 10 + turn)
        folder = write_pass_folder(outcome, _logger(number * 31 + turn), place / f"{number}-clean-{turn}")
        codes = _findings(entry.car.believed, folder)
        # Chance may slow a shift or spin a wheel in a pass without a fault: what truly happened is no false alarm.
        true = {"slow-shift"} if outcome.luck.slow_shift else set()
        true |= {"wheel-slip"} if max(outcome.spin_s) > SPIN_S else set()
        grave = _grave(codes)
        yield Found(
            kind="",
            strength=0,
            must_be_found=False,
            is_found=False,
            grave=grave,
            false_alarms=tuple(code for code in grave if code not in true),
        )


def _logger(seed: int) -> Logger:
    logger = any_logger(seed)
    return replace(logger, dialect=SPOKEN[seed % len(SPOKEN)], rate_hz=max(logger.rate_hz, 20.0))


def _findings(car: Car, folder: Path) -> tuple[Finding, ...]:
    record = read_pass(folder, car)
    return review_pass(car, record, open_log(record.logs[0], hints_for(car, record))).findings


def _grave(findings: Sequence[Finding]) -> tuple[str, ...]:
    return tuple(sorted({f.code for f in findings if f.severity in (Severity.STOP, Severity.ACT)}))


def recall(found: Sequence[Found]) -> float:
    """Share of the faults that must be found which were."""
    return float(np.mean([one.is_found for one in found if one.must_be_found]))


def false_in_twenty(found: Sequence[Found]) -> float:
    """Clean passes with a false `act` or `stop`, counted on twenty."""
    return 20.0 * float(np.mean([bool(one.false_alarms) for one in found if not one.kind]))


def faults_table(found: Sequence[Found]) -> str:
    """Each fault: how many had to be found and were, how many of the harmless were too, and what else was said."""
    lines = [
        "| fault put in | had to be found | were | harmless ones found | other `act` and `stop` findings |",
        "|---|---|---|---|---|",
    ]
    for kind in FAULTS:
        mine = [one for one in found if one.kind == kind]
        due = [one for one in mine if one.must_be_found]
        harmless = [one for one in mine if not one.must_be_found]
        others = Counter(code for one in mine for code in one.grave if code not in POINTS_AT.get(kind, ()))
        said = ", ".join(f"{code} {count}" for code, count in others.most_common(4))
        caught = f"{sum(one.is_found for one in harmless)} of {len(harmless)}" if harmless else ""
        lines.append(f"| {kind} | {len(due)} | {sum(one.is_found for one in due)} | {caught} | {said} |")
    clean = [one for one in found if not one.kind]
    false = Counter(code for one in clean for code in one.false_alarms)
    said = ", ".join(f"{code} {count}" for code, count in false.items()) or "none"
    lines.append(f"| none (clean passes) | {len(clean)} | | | false: {said} |")
    return "\n".join(lines)
