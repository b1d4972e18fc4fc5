"""The time of the same car with perfect traction at the same guards: what no setup can beat.

Grip without limit leaves launch rpm, launch pressure, pressure caps and shift rpm to choose. Pressure only helps then,
so each gear takes the highest cap that the adjuster, the fuel and the guards allow; launch and shift rpm are searched
over their whole range. Two things make the time a bound rather than a forecast: the clutch's heat is not held against
the launch (a car that spins its wheels spares its clutch, so that a guard on heat would bind the bound more than the
car), and the step guard does not count, since passes move it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from nextpass.car import FUEL, GEAR_PRESSURE_CAP, LAUNCH_PRESSURE, LAUNCH_RPM, SHIFT_RPM, Car, Conditions, Setup
from nextpass.sim import kernel as k
from nextpass.sim.drive import drive_many
from nextpass.sim.pack import pack_setups
from nextpass.sim.parameters import Parameters

FloatArray = NDArray[np.float64]

# Friction at which slip is below a thousandth at any torque of a car: as good as none, and still a number.
PERFECT_FRICTION = 100.0
_COARSE_POINTS = 7
_GUARD_ROUNDS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class PerfectTraction:
    """The quickest pass without any wheel slip.

    Parameters
    ----------
    setup : Setup
        How it would be set; adjusters that the simulation does not know are left out.
    outputs : Mapping[str, float]
        By the names of `OUTPUTS`.
    """

    setup: Setup
    outputs: dict[str, float]


def without_slip(packed_rows: FloatArray) -> FloatArray:
    """Copy of packed rows with grip without limit.

    Parameters
    ----------
    packed_rows : ndarray, shape (row,) or (m, row)

    Returns
    -------
    ndarray, same shape
        Loads no longer move between the axles, which would only matter to grip.
    """
    rows = packed_rows.copy()
    rows[..., k.FRICTION] = PERFECT_FRICTION
    rows[..., k.LOAD_SENSITIVITY] = 0.0
    rows[..., k.LOAD_ARM] = 0.0
    return rows


def perfect_traction(car: Car, parameters: Parameters, conditions: Conditions) -> PerfectTraction:
    """Quickest pass of a car that cannot spin its wheels, within its adjusters, fuels and guards.

    Parameters
    ----------
    car : Car
        With its adjusters and guards.
    parameters : Parameters
        As the passes show it; friction is not used.
    conditions : Conditions
        The day.

    Returns
    -------
    PerfectTraction
    """
    best: tuple[Setup, FloatArray] | None = None
    for fuel in car.fuels:
        launches = _spread(car, LAUNCH_RPM)
        shifts = _spread(car, SHIFT_RPM)
        for _ in range(2):
            setups = [_fullest(car, fuel, launch, shift) for launch, shift in product(launches, shifts)]
            setups, outputs = _within_guards(car, parameters, setups, conditions)
            times = outputs[:, k.OUTPUTS.index("et_s")]
            if not np.isfinite(times).any():
                break
            i = int(np.nanargmin(times))
            if best is None or times[i] < best[1][k.OUTPUTS.index("et_s")]:
                best = setups[i], outputs[i]
            launches = _around(car, LAUNCH_RPM, launches, best[0].launch_rpm)
            shifts = _around(car, SHIFT_RPM, shifts, best[0].shift_rpm)
    if best is None:
        raise ValueError("no setup of this car reaches the finish even with perfect traction")
    return PerfectTraction(setup=best[0], outputs=dict(zip(k.OUTPUTS, best[1].tolist(), strict=True)))


def _spread(car: Car, name: str) -> list[float]:
    adjuster = car.adjusters[name]
    values = np.linspace(adjuster.minimum, adjuster.maximum, _COARSE_POINTS)
    return sorted({adjuster.on_step(float(value)) for value in values})


def _around(car: Car, name: str, tried: Sequence[float], best: float) -> list[float]:
    adjuster = car.adjusters[name]
    gap = max(np.diff(tried), default=0.0)
    values = np.linspace(best - gap, best + gap, _COARSE_POINTS)
    return sorted({adjuster.on_step(float(value)) for value in values})


def _fullest(car: Car, fuel: str, launch_rpm: float, shift_rpm: float) -> Setup:
    """Setup with every pressure at the most that the adjuster and the fuel allow."""
    ceiling = car.fuels[fuel].manifold_pressure_max_kpa

    def highest(name: str) -> float:
        adjuster = car.adjusters[name]
        value = adjuster.on_step(min(adjuster.maximum, ceiling))
        return value - adjuster.step if value > ceiling and value > adjuster.minimum else value

    return Setup(
        values={
            FUEL: fuel,
            LAUNCH_RPM: launch_rpm,
            LAUNCH_PRESSURE: highest(LAUNCH_PRESSURE),
            GEAR_PRESSURE_CAP: (highest(GEAR_PRESSURE_CAP),) * car.gear_count,
            SHIFT_RPM: shift_rpm,
        }
    )


def _within_guards(
    car: Car, parameters: Parameters, setups: list[Setup], conditions: Conditions
) -> tuple[list[Setup], FloatArray]:
    """Setups with the cap of each gear lowered until no guard is crossed in it, and their outputs."""
    for _ in range(_GUARD_ROUNDS):
        outputs = drive_many(without_slip(pack_setups(car, parameters, setups, conditions)))
        lowered = [_lowered(car, setup, line) for setup, line in zip(setups, outputs, strict=True)]
        if lowered == setups:
            break
        setups = lowered
    return setups, drive_many(without_slip(pack_setups(car, parameters, setups, conditions)))


def _lowered(car: Car, setup: Setup, outputs: FloatArray) -> Setup:
    adjuster, guards = car.adjusters[GEAR_PRESSURE_CAP], car.guards
    gears = outputs[-k.MAX_GEARS * len(k.PER_GEAR) :].reshape(k.MAX_GEARS, len(k.PER_GEAR))
    named = {name: gears[:, i] for i, name in enumerate(k.PER_GEAR)}
    caps = []
    for gear, highest in enumerate(setup.gear_pressure_cap_kpa):
        cap = highest
        # Duty, fuel flow and clutch torque go with pressure; retard is relieved by a step at a time.
        over = max(
            named["injector_duty"][gear] / guards.injector_duty,
            named["clutch_use"][gear],
            np.sqrt((1.0 - guards.rail_pressure_drop) / max(1.0 - named["rail_pressure_drop"][gear], 1e-3)),
        )
        if over > 1.0:
            cap = min(cap - adjuster.step, cap / over)
        elif named["knock_retard_deg"][gear] > guards.knock_retard_deg:
            cap -= adjuster.step
        caps.append(adjuster.on_step(cap))
    return setup.with_values(**{GEAR_PRESSURE_CAP: tuple(caps)})
