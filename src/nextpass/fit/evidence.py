"""What one pass shows of the car, on one clock: seconds from the rollout, which strip, log and simulation share.

Everything between the first movement and the lift or the finish counts; a pass that was lifted keeps what it reached.
Each kind of evidence carries a standard deviation that holds the sensor's error and what the simulation's equations
cannot follow; both are common practice for loggers of 20 to 100 Hz unless the review gives its own.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car, Conditions, Setup
from nextpass.fit.peaks import peaks_to_finish, run_end_s
from nextpass.log import Log
from nextpass.measure import Estimate
from nextpass.review import GroundSpeed, Phase, ReviewedPass

FloatArray = NDArray[np.float64]

# Clocks of a pass and what the equations leave of each [s, m/s].
CLOCK_FLOOR = {
    "t60ft_s": 0.012,
    "t330ft_s": 0.015,
    "t660ft_s": 0.02,
    "v660ft_mps": 0.20,
    "t1000ft_s": 0.02,
    "et_s": 0.02,
    "trap_mps": 0.20,
}
# The clock that says when each was taken.
CLOCK_TIME = {name: name for name in CLOCK_FLOOR} | {"v660ft_mps": "t660ft_s", "trap_mps": "et_s"}
# What a strip's clocks add of their own: 1 ms resolution and the staging depth [s]; trap speed [m/s].
STRIP_SD_S, STRIP_SD_MPS = 0.004, 0.10

# Extremes of a whole pass that the fit weighs, and the standard deviation that sensor, filter and equations leave.
# Of the supply they say the most when nothing happened: pumps that kept the rail up have that much at least.
PEAKS_SD = {"rail_pressure_drop": 0.012, "wot_lambda": 0.012}

# The launch is followed closely, the rest of the pass at the pace at which it changes [s].
_LAUNCH_S, _LAUNCH_STEP_S, _STEP_S = 3.0, 0.1, 0.25
_BEFORE_S = 0.3
# Around a shift torque, pressure target and engine speed jump, and a late sample says nothing [s].
_SHIFT_MARGIN_S = 0.15


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """One quantity of a pass on the pass's grid: values [in the unit of its name], nan where there is none."""

    values: FloatArray
    sd: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class PassEvidence:
    """One pass as the fit sees it.

    Parameters
    ----------
    setup, conditions
        Of the pass.
    time_s, distance_m : ndarray, shape (n,)
        Grid, seconds from the rollout, and where the car was.
    series : Mapping[str, Series], shape (n,) each
        By the names of `KINDS`; ``acceleration_mps2`` beside them, which the fit does not weigh: speed says it better.
    clocks : Mapping[str, Estimate]
        Times and trap speeds; strip clocks where the strip gave them, else the review's.
    peaks : Mapping[str, Estimate]
        Extremes of the pass, by the names of `PEAKS_SD`.
    lifted_s : float
        End of what counts, seconds from the rollout.
    day : int
        Passes of one day share a number.
    """

    setup: Setup
    conditions: Conditions
    time_s: FloatArray
    distance_m: FloatArray
    series: Mapping[str, Series]
    clocks: Mapping[str, Estimate]
    peaks: Mapping[str, Estimate]
    lifted_s: float
    day: int


KINDS = (
    "speed_mps",
    "front_spin_mps",
    "rear_spin_mps",
    "engine_rpm",
    "manifold_pressure_kpa",
    "injector_duty",
    "charge_temperature_c",
    "knock_retard_deg",
)
_AXLES = {"front": ("wheel_speed_fl_mps", "wheel_speed_fr_mps"), "rear": ("wheel_speed_rl_mps", "wheel_speed_rr_mps")}


def evidence_of(car: Car, one: ReviewedPass, day: int) -> PassEvidence:
    """Evidence of one pass.

    Parameters
    ----------
    car : Car
    one : ReviewedPass
    day : int
        Number of its day.

    Returns
    -------
    PassEvidence
        With an empty grid where the log shows no motion; its strip clocks still count.
    """
    motion = one.review.ground_speed
    grid, distance, series, end_s = np.empty(0), np.empty(0), {}, np.inf
    if motion is not None and motion.from_rest:
        start_s = float(np.interp(motion.rollout_m, motion.distance_m, motion.time_s))
        end_s = run_end_s(motion, one.review.phases) - start_s
        grid = _grid(end_s)
        distance = np.interp(grid + start_s, motion.time_s, motion.distance_m)
        series = _series(car, one.log, motion, grid + start_s)
        _blank_shifts(series, grid + start_s, one.review.phases)
    return PassEvidence(
        setup=one.record.setup,
        conditions=one.record.conditions,
        time_s=grid,
        distance_m=distance,
        series=series,
        clocks=_clocks(one),
        peaks=_peaks(one),
        lifted_s=end_s,
        day=day,
    )


def _grid(end_s: float) -> FloatArray:
    launch = np.arange(-_BEFORE_S, min(_LAUNCH_S, end_s), _LAUNCH_STEP_S)
    rest = np.arange(_LAUNCH_S, max(end_s, _LAUNCH_S), _STEP_S)
    return np.concatenate([launch, rest])


def _series(car: Car, log: Log, motion: GroundSpeed, at_s: FloatArray) -> dict[str, Series]:
    speed = np.interp(at_s, motion.time_s, motion.speed_mps)
    speed_sd = np.interp(at_s, motion.time_s, motion.speed_sd_mps)
    found = {"speed_mps": Series(values=speed, sd=np.sqrt(speed_sd**2 + 0.15**2 + (0.004 * speed) ** 2))}
    pull = np.interp(at_s, motion.time_s, motion.acceleration_mps2)
    found["acceleration_mps2"] = Series(values=pull, sd=np.full(pull.shape, 0.5))
    for axle, names in _AXLES.items():
        driven = car.driveline.front_drive_share
        if (driven if axle == "front" else 1.0 - driven) <= 0.0:
            continue
        wheels = [log[name].at(at_s) for name in names if name in log]
        scale = motion.wheel_scale.get(axle, motion.wheel_scale.get("all"))
        if wheels and scale:
            spin = np.mean(wheels, axis=0) / scale - speed
            sd = np.sqrt(speed_sd**2 + 0.3**2 + (0.015 * speed) ** 2)
            found[f"{axle}_spin_mps"] = Series(values=spin, sd=sd)
    for name, floor, share in (
        ("engine_rpm", 120.0, 0.0),
        ("manifold_pressure_kpa", 5.0, 0.0),
        ("injector_duty", 0.015, 0.03),
        ("charge_temperature_c", 2.0, 0.0),
        ("knock_retard_deg", 0.3, 0.25),
    ):
        channel = log.get(name)
        if channel is not None:
            values = channel.at(at_s)
            found[name] = Series(values=values, sd=np.hypot(floor, share * np.abs(values)))
    return found


def _blank_shifts(series: dict[str, Series], at_s: FloatArray, phases: tuple[Phase, ...]) -> None:
    near = np.zeros(at_s.shape, dtype=bool)
    for phase in phases:
        if phase.kind == "shift":
            near |= (at_s > phase.start_s - _SHIFT_MARGIN_S) & (at_s < phase.end_s + _SHIFT_MARGIN_S)
    for name in ("engine_rpm", "injector_duty", "front_spin_mps", "rear_spin_mps"):
        if name in series:
            series[name].values[near] = np.nan


def _clocks(one: ReviewedPass) -> dict[str, Estimate]:
    strip = one.record.clocks
    found = {}
    for name, floor in CLOCK_FLOOR.items():
        said = None if strip is None else getattr(strip, name)
        measured = getattr(one.review.timeslip, name)
        if said is not None:
            own = STRIP_SD_S if name.endswith("_s") else STRIP_SD_MPS
            found[name] = Estimate.from_sd(said, float(np.hypot(own, floor)))
        elif isinstance(measured, Estimate):
            sd = measured.plus_minus / Estimate.from_sd(0.0, 1.0).plus_minus
            found[name] = Estimate.from_sd(measured.value, float(np.hypot(sd, floor)))
    return found


def _peaks(one: ReviewedPass) -> dict[str, Estimate]:
    measured = peaks_to_finish(one)
    return {name: Estimate.from_sd(measured[name], sd) for name, sd in PEAKS_SD.items() if name in measured}
