"""Faults of the proving ground that store trouble codes: is the first cause that is named the right one?"""

import tempfile
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from nextpass.files import read_pass
from nextpass.health import weigh_codes
from nextpass.log import hints_for, open_log
from nextpass.obd import trouble_code
from nextpass.proving import CODE_FAULTS, FAULTS, Fault, any_logger, drive_faulty, fleet, write_faulty_folder
from nextpass.review import ReviewedPass, review_pass

RIGHT = tomllib.loads((Path(__file__).parents[1] / "right_causes.toml").read_text(encoding="utf-8"))
RATES_HZ = (24.0, 40.0, 50.0)
CODES = {kind: fault.codes for kind, fault in {**FAULTS, **CODE_FAULTS}.items() if fault.codes}


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """One fault, its codes, the right cause, the first one by the order alone and the first one by the logs."""

    kind: str
    codes: tuple[str, ...]
    right: str
    by_order: str
    by_logs: str
    share: float
    is_settled: bool


def named_causes(seeds: Sequence[int]) -> list[Named]:
    """Every fault that stores codes, once for each seed: a car, a logger, a strength of 2 or 3.

    Parameters
    ----------
    seeds : sequence of int
        Others than those that the weights were looked at with (0 to 5).
    """
    return [_named(kind, seed) for seed in seeds for kind in RIGHT]


def _named(kind: str, seed: int) -> Named:
    entry = fleet(12, 1)[seed % 12]
    car = entry.car.believed
    fault = Fault(kind=kind, strength=2 + seed % 2)
    faulty = drive_faulty(entry.car, entry.strip, entry.conditions, entry.baseline, fault, seed)
    with tempfile.TemporaryDirectory(prefix="codes-") as place:
        folder = Path(place) / "pass1"
        write_faulty_folder(faulty, any_logger(seed, rate_hz=RATES_HZ[seed % len(RATES_HZ)]), folder)
        record = read_pass(folder, car)
        log = open_log(record.logs[0], hints_for(car, record))
        reviewed = ReviewedPass(record=record, log=log, review=review_pass(car, record, log))
        codes = [trouble_code(code) for code in CODES[kind]]
        weighed = weigh_codes(codes, car, [reviewed])
    return Named(
        kind=kind,
        codes=CODES[kind],
        right=RIGHT[kind],
        by_order=weigh_codes(codes).causes[0].name,
        by_logs=weighed.causes[0].name,
        share=weighed.causes[0].share,
        is_settled=weighed.is_settled,
    )
