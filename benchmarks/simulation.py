"""Passes a second on one core and on all, against `scipy.integrate.solve_ivp` on the same equations in the same run.

The general integrator is timed at the tolerance at which it serves as judge in the tests (1e-8), and at the loosest at
which its ET is as near to the judge's as the compiled step's.
"""

import os
import time
from collections.abc import Callable
from itertools import product

import numpy as np
from numpy.typing import NDArray

from benchmarks.figure import Figure
from nextpass.proving import fleet
from nextpass.sim import (
    OUTPUTS,
    compile_kernels,
    default_parameters,
    drive,
    drive_many,
    drive_tightly,
    pack,
    pack_setups,
)

ET = OUTPUTS.index("et_s")


def run(*, quick: bool) -> list[Figure]:
    """Figures of the simulation."""
    compile_kernels()
    rows = _rows()
    repeats = 2 if quick else 8
    one_s = min(_seconds(lambda: [drive_many(row[np.newaxis]) for row in rows]) for _ in range(repeats)) / len(rows)
    many = np.tile(rows, (8 if quick else 40, 1))
    all_s = min(_seconds(lambda: drive_many(many)) for _ in range(3)) / len(many)
    few = rows[:: len(rows) // (3 if quick else 9)]
    tight_s, errors, loose_s = [], [], []
    for row in few:
        judged: dict[str, float] = {}
        tight_s.append(_seconds(lambda row=row, judged=judged: judged.update(drive_tightly(row, 1e-8))))
        errors.append(drive(row).outputs["et_s"] - judged["et_s"])
        loose_s.append(_seconds(lambda row=row: drive_tightly(row, 1e-4)))
    tight, loose, worst_s = float(np.mean(tight_s)), float(np.mean(loose_s)), float(np.max(np.abs(errors)))
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return [
        Figure(name="one pass, one core", value=1e3 * one_s, unit="ms", target="<= 3"),
        Figure(
            name="passes a second, one core",
            value=1.0 / one_s,
            unit="1/s",
            floor=1.0 / tight,
            floor_name="solve_ivp, LSODA, 1e-8",
            target=">= 500",
        ),
        Figure(
            name=f"passes a second, {cores} cores",
            value=1.0 / all_s,
            unit="1/s",
            floor=1.0 / one_s,
            floor_name="one core",
        ),
        Figure(name="gain by all cores, per core", value=one_s / all_s / cores, unit="-", target=">= 0.8"),
        Figure(name="faster than the tight integrator", value=tight / one_s, unit="x", target=">= 200"),
        Figure(name="faster than it at 1e-4", value=loose / one_s, unit="x"),
        Figure(name="worst ET error against it", value=1e3 * worst_s, unit="ms", target="<= 5"),
        Figure(name="packing a setup", value=1e6 * _pack_s(), unit="µs"),
    ]


def _rows() -> NDArray[np.float64]:
    """Passes of the proving ground's cars as their files describe them: gripping, spinning, on and off boost."""
    found = []
    for entry, lift_rpm, lift_kpa in product(fleet(9, 3), (0.0, 600.0), (0.0, 25.0)):
        car, setup = entry.car.believed, entry.baseline
        caps = tuple(cap + lift_kpa for cap in setup.gear_pressure_cap_kpa)
        moved = setup.with_values(launch_rpm=setup.launch_rpm + lift_rpm, gear_pressure_cap_kpa=caps)
        found.append(pack(car, default_parameters(car), moved, entry.conditions))
    return np.stack(found)


def _pack_s() -> float:
    entry = fleet(1, 3)[0]
    car = entry.car.believed
    parameters, setups = default_parameters(car), [entry.baseline] * 500
    return min(_seconds(lambda: pack_setups(car, parameters, setups, entry.conditions)) for _ in range(3)) / 500


def _seconds(what: Callable[[], object]) -> float:
    begun = time.perf_counter()
    what()
    return time.perf_counter() - begun
