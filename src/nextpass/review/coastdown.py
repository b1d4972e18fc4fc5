"""What holds the car back when nothing drives it: road load from coast-downs, out and back.

On a coast in neutral the effective mass times the deceleration is the road load. Over runs in both directions,
rolling, drag, slope and wind are fitted at once, since slope and wind change their sign with the direction and the
car does not. From one direction only, wind and slope cannot be told from the car: the answer says so.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car, Conditions
from nextpass.errors import NotEnoughData
from nextpass.log import Log
from nextpass.measure import Absent, Estimate, Measured
from nextpass.physics import air
from nextpass.physics.roadload import effective_mass_kg
from nextpass.words import phrase

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

Direction = Literal[1, -1]

SPEEDS = (
    "wheel_speed_fl_mps",
    "wheel_speed_fr_mps",
    "wheel_speed_rl_mps",
    "wheel_speed_rr_mps",
    "gps_speed_mps",
    "vehicle_speed_mps",
)
CLOSED = 0.05
# A coast starts above this, ends where the brakes bite, and is worth this long.
LEAST_MPS, HARDEST_MPS2, LEAST_S, SETTLE_S = 5.0, 1.8, 4.0, 0.7
BIN_S = 1.0
GRAVITY_MPS2 = 9.80665


@dataclass(frozen=True, slots=True, kw_only=True)
class CoastRun:
    """One coast-down; `direction` is 1 out and -1 back over the same road."""

    time_s: FloatArray
    speed_mps: FloatArray
    direction: Direction


@dataclass(frozen=True, slots=True, kw_only=True)
class RoadLoad:
    """Road load and the car's figures behind it.

    Parameters
    ----------
    constant_n : Estimate
        At no speed, on the level [N].
    per_speed_squared_kgpm : Estimate
        Times speed squared, in still air [kg/m].
    drag_area_m2, rolling_resistance : Estimate
        In the air of the day; rolling resistance by weight.
    slope, headwind_mps : Measured
        Of the road in direction 1; Absent where all runs went one way.
    """

    constant_n: Estimate
    per_speed_squared_kgpm: Estimate
    drag_area_m2: Estimate
    rolling_resistance: Estimate
    slope: Measured
    headwind_mps: Measured


def coast_runs(log: Log, direction: Direction) -> tuple[CoastRun, ...]:
    """The coast-downs of a log: pedal closed, brakes off, long enough.

    Parameters
    ----------
    log : Log
    direction : {1, -1}
        Which way the log was driven.

    Returns
    -------
    tuple of CoastRun
    """
    channels = [log[name] for name in SPEEDS[:4] if name in log] or [log[name] for name in SPEEDS[4:] if name in log][
        :1
    ]
    if not channels:
        return ()
    time_s = channels[0].time_s
    speed = np.mean([channel.at(time_s) for channel in channels], axis=0)
    coasting = np.isfinite(speed) & (speed > LEAST_MPS) & _pedal_closed(log, time_s) & ~_braking(log, time_s)
    runs = []
    edges = np.flatnonzero(np.diff(np.concatenate([[0], coasting.astype(np.int8), [0]])))
    for first, stop in edges.reshape(-1, 2):
        run = _until_brakes(time_s[first:stop], speed[first:stop], direction)
        if run is not None:
            runs.append(run)
    return tuple(runs)


def fit_road_load(car: Car, conditions: Conditions, runs: Sequence[CoastRun]) -> RoadLoad:
    """Road load that explains all coast-downs together.

    Parameters
    ----------
    car : Car
        Mass and wheel inertia.
    conditions : Conditions
        Air of the day.
    runs : sequence of CoastRun

    Returns
    -------
    RoadLoad

    Raises
    ------
    NotEnoughData
        Fewer than ten seconds of coasting, or too little change of speed to tell drag from rolling.

    References
    ----------
    SAE J1263: F = f0 + f2 v^2 from coast-downs in both directions (memory).
    """
    bins = [_bins(run) for run in runs]
    if sum(speed.size for speed, _, _ in bins) < 10:
        raise NotEnoughData(phrase("refusal.coastdown.short"), remedy=phrase("refusal.coastdown.longer"))
    speed, slowing, way = (np.concatenate(column) for column in zip(*bins, strict=True))
    if np.ptp(speed) < 0.25 * speed.max():
        raise NotEnoughData(phrase("refusal.coastdown.narrow"), remedy=phrase("refusal.coastdown.wider"))
    mass = float(effective_mass_kg(car.chassis.mass_kg, car.driveline.wheel_inertia_kgm2, car.tyres.rolling_radius_m))
    both_ways = bool(np.ptp(way) > 0.0)
    # m a = f0 + f2 v^2 + d (m g slope) + d (2 f2 wind) v, to first order in the wind.
    columns = [np.ones(speed.size), speed**2] + ([way, way * speed] if both_ways else [])
    values, sd = _least_squares(np.stack(columns, axis=1), mass * slowing)
    density = float(air.density_kgpm3(conditions.air_temperature_c, conditions.pressure_kpa, conditions.humidity))
    weight_n = car.chassis.mass_kg * GRAVITY_MPS2
    one_way = Absent(reason="all runs went one way: slope and wind are part of the road load")
    return RoadLoad(
        constant_n=Estimate.from_sd(values[0], sd[0]),
        per_speed_squared_kgpm=Estimate.from_sd(values[1], sd[1]),
        drag_area_m2=Estimate.from_sd(2.0 * values[1] / density, 2.0 * sd[1] / density),
        rolling_resistance=Estimate.from_sd(values[0] / weight_n, sd[0] / weight_n),
        slope=Estimate.from_sd(values[2] / weight_n, sd[2] / weight_n) if both_ways else one_way,
        headwind_mps=Estimate.from_sd(0.5 * values[3] / values[1], 0.5 * sd[3] / abs(values[1]))
        if both_ways
        else one_way,
    )


def _pedal_closed(log: Log, time_s: FloatArray) -> BoolArray:
    for name in ("pedal", "throttle"):
        if name in log:
            with np.errstate(invalid="ignore"):
                return np.asarray(log[name].at(time_s) < CLOSED)
    return np.ones(time_s.size, dtype=np.bool_)


def _braking(log: Log, time_s: FloatArray) -> BoolArray:
    for name, least in (("brake_switch", 0.5), ("brake_pressure_kpa", 100.0)):
        if name in log:
            with np.errstate(invalid="ignore"):
                return np.asarray(log[name].at(time_s) > least)
    return np.zeros(time_s.size, dtype=np.bool_)


def _until_brakes(time_s: FloatArray, speed: FloatArray, direction: Direction) -> CoastRun | None:
    """The coast from where the lift has settled to where the car slows harder than any road load."""
    if time_s.size < 10 or time_s[-1] - time_s[0] < LEAST_S + SETTLE_S:
        return None
    ahead = np.interp(time_s + 0.5, time_s, speed)
    hard = np.flatnonzero((speed - ahead > 0.5 * HARDEST_MPS2) & (time_s < time_s[-1] - 0.5))
    end_s = time_s[hard[0]] if hard.size else time_s[-1]
    keep = (time_s >= time_s[0] + SETTLE_S) & (time_s <= end_s)
    if np.count_nonzero(keep) < 10 or end_s - time_s[0] - SETTLE_S < LEAST_S:
        return None
    return CoastRun(time_s=time_s[keep], speed_mps=speed[keep], direction=direction)


def _bins(run: CoastRun) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Mean speed, deceleration and direction of each second of a run."""
    speeds, slowing = [], []
    for start in np.arange(run.time_s[0], run.time_s[-1] - BIN_S, BIN_S):
        inside = (run.time_s >= start) & (run.time_s < start + BIN_S)
        if np.count_nonzero(inside) >= 3:
            speeds.append(float(np.mean(run.speed_mps[inside])))
            slowing.append(-float(np.polyfit(run.time_s[inside] - start, run.speed_mps[inside], 1)[0]))
    return np.array(speeds), np.array(slowing), np.full(len(speeds), float(run.direction))


def _least_squares(columns: FloatArray, values: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Coefficients and their standard deviations, the scatter taken from the residuals."""
    solution, *_ = np.linalg.lstsq(columns, values, rcond=None)
    residual = values - columns @ solution
    variance = float(residual @ residual) / max(values.size - columns.shape[1], 1)
    spread = np.sqrt(np.diag(np.linalg.inv(columns.T @ columns)) * variance)
    return np.asarray(solution, dtype=np.float64), np.asarray(spread, dtype=np.float64)
