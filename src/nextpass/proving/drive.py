"""Run passes on the proving ground: one with everything to see, or many for their clocks and guard figures alone."""

import os
from concurrent.futures import ThreadPoolExecutor
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Conditions, Setup, StripClocks
from nextpass.proving.driver import Driver, Luck, draw_luck
from nextpass.proving.model import STATE, TALLY, flat, run_pass
from nextpass.proving.outcome import Outcome, clocks_of, guard_figures
from nextpass.proving.pack import pack_pass
from nextpass.proving.shapes import filling_table
from nextpass.proving.start import empty_tally, starting_state
from nextpass.proving.strip import Strip
from nextpass.proving.truth import ProvingCar

STEP_S = 0.0005
TRACE_EVERY_S = 0.002
LONGEST_S = 25.0
"""A pass without a trace ends so long after the release, wherever the car is then [s]."""
NO_TRACE = np.empty((0, 0))
USUAL_DRIVER = Driver()

OUTPUTS = (
    "t60ft_s",
    "t330ft_s",
    "t660ft_s",
    "v660ft_mps",
    "t1000ft_s",
    "et_s",
    "trap_mps",
    "injector_duty",
    "knock_retard_deg",
    "wot_lambda",
    "clutch_energy_j",
    "gearbox_oil_c",
    "charge_air_c",
    "rail_pressure_drop",
    "peak_pressure_kpa",
)
"""Columns of `drive_many`."""


def drive_pass(
    car: ProvingCar,
    strip: Strip,
    conditions: Conditions,
    setup: Setup,
    seed: int,
    *,
    driver: Driver = USUAL_DRIVER,
    luck: Luck | None = None,
    step_s: float = STEP_S,
) -> Outcome:
    """One pass with its trace.

    Parameters
    ----------
    car : ProvingCar
        The truth.
    strip : Strip
        Where.
    conditions : Conditions
        The day.
    setup : Setup
        What is dialled in.
    seed : int
        Draws what chance gives; same seed, same luck, whatever the setup.
    driver : Driver
        Habits at the wheel.
    luck : Luck, optional
        Instead of the draw.
    step_s : float
        Fast step [s].

    Returns
    -------
    Outcome
    """
    drawn = luck or draw_luck(car.spread, car.clutch.slow_shift_chance, len(car.driveline.gear_ratios), seed)
    constants = pack_pass(car, strip, conditions, setup, driver, drawn)
    return run_packed(constants, car, strip, conditions, setup, driver, drawn, seed, step_s)


def run_packed(
    constants: NDArray[Any],
    car: ProvingCar,
    strip: Strip,
    conditions: Conditions,
    setup: Setup,
    driver: Driver,
    luck: Luck,
    seed: int,
    step_s: float = STEP_S,
) -> Outcome:
    """One pass from constants that were packed, and perhaps spoilt by a fault, before; arguments as in `drive_pass`."""
    state = starting_state(constants)
    tally = empty_tally()
    end_s = float(constants[0]["end_s"])
    trace = np.empty((int(end_s / TRACE_EVERY_S) + 2, len(flat(state)[0])))
    every = max(round(TRACE_EVERY_S / (4.0 * step_s)), 1)
    rows = run_pass(
        constants[0],
        state[0],
        tally[0],
        flat(state)[0],
        strip.profile(),
        filling_table(car.engine),
        trace,
        every,
        step_s,
    )
    y = tally[0]
    named = {name: column_of(trace[:rows], name) for name in STATE.names or ()}
    gears = len(car.driveline.gear_ratios)
    marks_s = np.array(y["mark_s"])
    own_rollout_s = float(np.interp(luck.rollout_m, named["distance_m"], named["time_s"]))
    return Outcome(
        car=car,
        conditions=conditions,
        setup=setup,
        driver=driver,
        luck=luck,
        seed=seed,
        clocks=clocks_of(marks_s, float(marks_s[0])),
        strip_clocks=_to_thousandths(clocks_of(marks_s, own_rollout_s)),
        release_s=float(constants[0]["release_s"]),
        moved_s=float(y["moved_s"]),
        guards=guard_figures(y, gears),
        spin_s=tuple(float(value) for value in y["spin_s"][:gears]),
        past_peak_s=tuple(float(value) for value in y["past_peak_s"][:gears]),
        clutch_slip_s=tuple(float(value) for value in y["clutch_slip_s"][:gears]),
        tally={name: float(y[name]) for name in TALLY.names or () if np.ndim(y[name]) == 0},
        trace=named,
    )


def column_of(rows: NDArray[np.float64], name: str) -> NDArray[np.float64]:
    """One state of a trace by its name: shape (n,), or (n, k) where there is one a wheel or clutch."""
    fields = STATE.fields
    assert fields is not None  # a structured type always has them
    kind, offset = fields[name][:2]
    start, width = offset // 8, kind.itemsize // 8
    return rows[:, start] if width == 1 else rows[:, start : start + width]


def drive_many(
    car: ProvingCar,
    strip: Strip,
    conditions: Conditions,
    setups: list[Setup],
    seeds: list[int],
    driver: Driver = USUAL_DRIVER,
) -> NDArray[np.float64]:
    """Clocks and guard figures of every setup with every seed, without traces, on all cores.

    Parameters
    ----------
    car : ProvingCar
        The truth.
    strip : Strip
        Where.
    conditions : Conditions
        The day.
    setups : list of Setup
        m of them.
    seeds : list of int
        k draws of chance, the same for all setups.
    driver : Driver
        Habits at the wheel.

    Returns
    -------
    ndarray, shape (m, k, len(`OUTPUTS`))
        In the order and units of `OUTPUTS`; clocks nan where the pass did not get there.
    """
    volumetric = filling_table(car.engine)
    grip = strip.profile()
    gears = len(car.driveline.gear_ratios)
    lucks = [draw_luck(car.spread, car.clutch.slow_shift_chance, gears, seed) for seed in seeds]

    def row(case: tuple[Setup, Luck]) -> list[float]:
        constants = pack_pass(car, strip, conditions, case[0], driver, case[1])
        constants["end_s"] = constants["release_s"] + LONGEST_S
        state, tally = starting_state(constants), empty_tally()
        run_pass(constants[0], state[0], tally[0], flat(state)[0], grip, volumetric, NO_TRACE, 1, STEP_S)
        return _outputs(tally[0], gears)

    # The compiled pass lets other threads run; packing is a thirtieth of it.
    with ThreadPoolExecutor(max_workers=os.cpu_count()) as threads:
        rows = list(threads.map(row, product(setups, lucks)))
    return np.array(rows).reshape(len(setups), len(seeds), len(OUTPUTS))


def mean_et(
    car: ProvingCar, strip: Strip, conditions: Conditions, setups: list[Setup], seeds: list[int]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Mean ET of each setup over the seeds, and the worst of each guard figure; what a brute search needs.

    Parameters
    ----------
    car : ProvingCar
        The truth.
    strip : Strip
        Where.
    conditions : Conditions
        The day.
    setups : list of Setup
        m of them.
    seeds : list of int
        Draws of chance.

    Returns
    -------
    ndarray, shape (m,)
        Mean ET [s]; inf where a pass did not finish.
    ndarray, shape (m, 8)
        Highest over the seeds of the last eight of `OUTPUTS`.
    """
    outputs = drive_many(car, strip, conditions, setups, seeds)
    times = outputs[:, :, OUTPUTS.index("et_s")]
    mean = np.where(np.isfinite(times).all(axis=1), times.mean(axis=1), np.inf)
    return mean, outputs[:, :, OUTPUTS.index("injector_duty") :].max(axis=1)


def _outputs(y: Any, gears: int) -> list[float]:
    marks_s = np.array(y["mark_s"])
    clocks = clocks_of(marks_s, float(marks_s[0])) if np.isfinite(marks_s[0]) else StripClocks()
    guards = guard_figures(y, gears)
    row = [getattr(clocks, name) for name in OUTPUTS[:7]]
    row += [getattr(guards, name) for name in OUTPUTS[7:14]]
    return [np.nan if value is None else value for value in row] + [max(guards.peak_pressure_kpa)]


def _to_thousandths(clocks: StripClocks) -> StripClocks:
    return StripClocks(
        **{
            name: None if getattr(clocks, name) is None else round(getattr(clocks, name), 3)
            for name in StripClocks.__dataclass_fields__
        }
    )
