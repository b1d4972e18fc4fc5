"""How far the fitted car may be believed away from the setups that were run.

The fit leaves something of each pass, and its equations are wrong by more the further a setup lies from those that it
was fitted to. Both are told by one Gaussian process over setups for each figure: near a pass the forecast is moved by
what the fit left of it; far away by the part that all passes of the car leave alike, and the standard deviation of the
rest is that of the equations themselves. A search that ignores this walks to where the equations flatter most. So a
plan pays for part of that standard deviation, the forecast's band holds all of it, and a guard is kept with it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import solve_triangular

from nextpass.car import GEAR_PRESSURE_CAP, LAUNCH_PRESSURE, LAUNCH_RPM, SHIFT_RPM, Setup
from nextpass.fit import SHOWN_S, FittedCar, PassEvidence, duty_by_gear, peaks_to_finish
from nextpass.plan.swing import RATE_HZ, SAMPLES, crests_k
from nextpass.review import ReviewedPass
from nextpass.sim import MAX_GEARS, OUTPUTS, pack, sample_many

FloatArray = NDArray[np.float64]

# One unit of distance between setups: as far as the errors of two setups still have much in common. The whole ladder
# counts as one number, by the root of its mean square.
LENGTHS: Mapping[str, float] = {LAUNCH_RPM: 600.0, LAUNCH_PRESSURE: 25.0, SHIFT_RPM: 500.0, GEAR_PRESSURE_CAP: 40.0}
CLUTCH_HEAT = "clutch_energy_j"
KNOCK = "knock_retard_deg"
CHARGE_AIR = "charge_air_c"
# By figure of the simulation: standard deviation of the equations' own error far from any pass, and of what one pass
# shows about the mean of its setup. From fits of one pass held against other setups, see docs/plan.md.
EQUATIONS_SD: Mapping[str, tuple[float, float]] = {
    "t60ft_s": (0.05, 0.020),
    "t330ft_s": (0.075, 0.030),
    "t660ft_s": (0.09, 0.035),
    "t1000ft_s": (0.095, 0.040),
    "et_s": (0.095, 0.040),
    "trap_mps": (0.6, 0.25),
    "injector_duty": (0.014, 0.004),
    KNOCK: (0.4, 0.3),
    "wot_lambda": (0.010, 0.008),
    CLUTCH_HEAT: (30e3, 6e3),
    "gearbox_oil_c": (2.6, 1.0),
    CHARGE_AIR: (1.8, 0.6),
    "rail_pressure_drop": (0.010, 0.008),
}
# Part of the variance of that error that is the car's own at every setup: air that the fit has too warm on all passes
# will not be cooler where no pass went.
EVERYWHERE = 0.5
# Passes that the usual error counts for, where those of the car at hand show a larger one.
USUAL_COUNT = 2.0
# Figures of the simulation that are told for each gear: what control and turbocharger do as a gear comes in, they do in
# that gear on every pass.
DUTY_OF_GEAR = tuple(f"gear{gear}_injector_duty" for gear in range(1, MAX_GEARS + 1))
# Less retard than this, shown and simulated, is none [deg].
NO_KNOCK_DEG = 0.3
# Logs show some figures only through a sensor that is late: what they are held against.
SHOWN_AS = {CHARGE_AIR: "charge_sensed_c"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """What the fit left of one figure: weights that give the expected error, and the factor that gives its doubt.

    `sd` is the standard deviation of the equations' error far from any pass.
    """

    weights: FloatArray
    factor: FloatArray
    sd: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Trust:
    """What the fit left of the passes, spread over setups.

    Parameters
    ----------
    run : ndarray, shape (n, k)
        Setups of the passes, in units of distance.
    left : Mapping[str, Left]
        By figure of the simulation; one that no pass shows is missing.
    """

    run: FloatArray
    left: Mapping[str, Left]

    def error(self, setups: Sequence[Setup], name: str) -> tuple[FloatArray, FloatArray]:
        """Expected error of a figure at setups (truth less simulation) and its standard deviation, shape (m,) each."""
        left = self.left.get(name)
        if left is None:
            return np.zeros(len(setups)), np.full(len(setups), _usual_sds(name)[0])
        near = _alike(_seen_by(name, _places(setups)), _seen_by(name, self.run))
        known = solve_triangular(left.factor, near.T, lower=True)
        return near @ left.weights, left.sd * np.sqrt(np.maximum(1.0 - (known**2).sum(axis=0), 0.0))

    def told(self, setups: Sequence[Setup], name: str) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Error and doubt of `error`, and what logs leave open of the versions' spread, 0..1; shape (m,) each."""
        error, doubt = self.error(setups, name)
        left = self.left.get(name)
        far_sd = _usual_sds(name)[0] if left is None else left.sd
        return error, doubt, np.maximum(doubt / far_sd, LEAST_UNSEEN)


# Of the scenarios' spread at least this part stays: luck differs from pass to pass at one setup too.
LEAST_UNSEEN = 0.5


NO_PASS = Trust(run=np.empty((0, 0)), left={})
"""The equations' own error everywhere."""


def trust_of(fitted: FittedCar) -> Trust:
    """Trust in a fitted car from what the fit leaves of its passes.

    Parameters
    ----------
    fitted : FittedCar

    Returns
    -------
    Trust
        Of no pass: the equations' own error everywhere.
    """
    passes = fitted.problem.passes
    if not passes:
        return NO_PASS
    rows = [pack(fitted.car, fitted.parameters, one.setup, one.conditions) for one in passes]
    outputs, traces = sample_many(np.stack(rows), SAMPLES, RATE_HZ)
    shown = [
        _shown_by(one, seen, dict(zip(OUTPUTS, simulated, strict=True)))
        for one, seen, simulated in zip(fitted.passes, passes, outputs.tolist(), strict=True)
    ]
    for one, figures, simulated, trace in zip(fitted.passes, shown, outputs, traces, strict=True):
        # What its sensor was too slow for.
        if CHARGE_AIR in figures:
            figures[CHARGE_AIR] += crests_k(one, simulated, trace)
    left = {
        name: np.array([one.get(name, np.nan) for one in shown]) - outputs[:, OUTPUTS.index(SHOWN_AS.get(name, name))]
        for name in (*EQUATIONS_SD, *DUTY_OF_GEAR)
    }
    return spread_over([one.setup for one in passes], left)


def _shown_by(one: ReviewedPass, seen: PassEvidence, simulated: Mapping[str, float]) -> dict[str, float]:
    """What a pass shows of the figures of the simulation, by name; `simulated` are those of the fitted car."""
    shown = {**peaks_to_finish(one), **{name: clock.value for name, clock in seen.clocks.items()}}
    for gear, duty in duty_by_gear(one).items():
        # A gear that the simulation hardly comes to has no duty to hold against the log's.
        if simulated[f"gear{gear}_seconds"] >= SHOWN_S:
            shown[DUTY_OF_GEAR[gear - 1]] = duty
    # No log shows the heat of a clutch, but one with engine speed shows what makes it: a fitted launch has the slip and
    # the torque of the pass, and the fit leaves nothing of its heat.
    if "engine_rpm" in seen.series:
        shown[CLUTCH_HEAT] = simulated[CLUTCH_HEAT]
    # That an engine is clean under the onset of its knock says nothing of how much there is above it.
    if max(shown.get(KNOCK, 0.0), simulated[KNOCK]) < NO_KNOCK_DEG:
        shown.pop(KNOCK, None)
    return shown


def spread_over(setups: Sequence[Setup], left: Mapping[str, FloatArray]) -> Trust:
    """Trust from what is left of passes at given setups.

    Parameters
    ----------
    setups : sequence of Setup, length n
        Of the passes.
    left : Mapping[str, ndarray], shape (n,) each
        By figure: measured less fitted, in the program's units; nan where a pass does not show it.

    Returns
    -------
    Trust
    """
    places = _places(setups)
    found = {}
    for name, values in left.items():
        alike = _alike(_seen_by(name, places), _seen_by(name, places))
        usual, chance = _usual_sds(name)
        far = _widened(usual, values[np.isfinite(values)])
        # A pass that does not show a figure says nothing of it: its noise is without bound.
        noise = np.where(np.isfinite(values), (chance / far) ** 2, 1e6)
        covariance = alike + np.diag(noise)
        found[name] = Left(
            weights=np.linalg.solve(covariance, np.nan_to_num(values)),
            factor=np.asarray(np.linalg.cholesky(covariance), dtype=np.float64),
            sd=far,
        )
    return Trust(run=places, left=found)


def _usual_sds(name: str) -> tuple[float, float]:
    """Usual standard deviations of a figure; each gear's figure has those of the whole pass."""
    return EQUATIONS_SD["injector_duty" if name in DUTY_OF_GEAR else name]


def _widened(usual: float, left: FloatArray) -> float:
    """Standard deviation of the equations' error of a car: the usual one, wider where its passes show more."""
    squares = USUAL_COUNT * usual**2 + float((left**2).sum())
    return max(usual, float(np.sqrt(squares / (USUAL_COUNT + left.size))))


def _places(setups: Sequence[Setup]) -> FloatArray:
    """Setups in units of distance, shape (m, k)."""
    rows = []
    for setup in setups:
        row = [setup.launch_rpm / LENGTHS[LAUNCH_RPM], setup.launch_pressure_kpa / LENGTHS[LAUNCH_PRESSURE]]
        caps = np.asarray(setup.gear_pressure_cap_kpa)
        ladder = caps / (LENGTHS[GEAR_PRESSURE_CAP] * np.sqrt(len(caps)))
        rows.append([*row, setup.shift_rpm / LENGTHS[SHIFT_RPM], *ladder])
    return np.asarray(rows, dtype=np.float64)


def _seen_by(name: str, places: FloatArray) -> FloatArray:
    """What of places a figure depends on: a gear's duty on its own cap and the shift, the first's on the launch too."""
    if name not in DUTY_OF_GEAR:
        return places
    gear, fixed = DUTY_OF_GEAR.index(name), len(LENGTHS) - 1
    gears = places.shape[1] - fixed
    if gear >= gears:
        return places[:, :fixed]
    cap = places[:, [fixed + gear]] * np.sqrt(gears)
    return np.concatenate([places[:, :fixed] if gear == 0 else places[:, fixed - 1 : fixed], cap], axis=1)


def _alike(first: FloatArray, second: FloatArray) -> FloatArray:
    """Correlation of the errors of two setups, shape (m, n)."""
    squares = ((first[:, np.newaxis, :] - second[np.newaxis, :, :]) ** 2).sum(axis=2)
    return np.asarray(EVERYWHERE + (1.0 - EVERYWHERE) * np.exp(-0.5 * squares))
