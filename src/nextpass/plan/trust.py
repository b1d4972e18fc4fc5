"""How far the fitted car may be believed away from the setups that were run.

The fit leaves something of each pass, and its equations are wrong by more the further a setup lies from those that it
was fitted to. Both are told by one Gaussian process over setups: near a pass the forecast is moved by what the fit
left of it; far away nothing is known of the error, and its standard deviation is that of the equations themselves.
A search that ignores this walks to where the equations flatter most. So a plan pays for part of that standard
deviation (a lower confidence bound), and the forecast's band holds all of it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import solve_triangular

from nextpass.car import GEAR_PRESSURE_CAP, LAUNCH_PRESSURE, LAUNCH_RPM, SHIFT_RPM, Setup
from nextpass.fit import FittedCar
from nextpass.sim import OUTPUTS, drive_many, pack

FloatArray = NDArray[np.float64]

# One unit of distance between setups: as far as the errors of two setups still have much in common. The whole ladder
# counts as one number, by the root of its mean square.
LENGTHS: Mapping[str, float] = {LAUNCH_RPM: 800.0, LAUNCH_PRESSURE: 35.0, SHIFT_RPM: 500.0, GEAR_PRESSURE_CAP: 40.0}
# Standard deviation of the equations' own error far from any pass, by clock [s, m/s], from closed loops on the proving
# ground (see docs/plan.md).
EQUATIONS_SD: Mapping[str, float] = {
    "t60ft_s": 0.05,
    "t330ft_s": 0.08,
    "t660ft_s": 0.09,
    "t1000ft_s": 0.10,
    "et_s": 0.10,
    "trap_mps": 0.6,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Trust:
    """What the fit left of the passes, spread over setups.

    Parameters
    ----------
    run : ndarray, shape (n, k)
        Setups of the passes, in units of distance.
    left : Mapping[str, ndarray], shape (n,) each
        By clock: weights that give the expected error at a setup.
    factor : ndarray, shape (n, n)
        Cholesky factor of the passes' covariance, in units of the equations' variance.
    gears : int
        How many gears count.
    """

    run: FloatArray
    left: Mapping[str, FloatArray]
    factor: FloatArray
    gears: int

    def error(self, setups: Sequence[Setup], clock: str = "et_s") -> tuple[FloatArray, FloatArray]:
        """Expected error of the forecast of setups (truth less simulation) and its standard deviation, (m,) each."""
        if not len(self.run):
            return np.zeros(len(setups)), np.full(len(setups), EQUATIONS_SD[clock])
        near = _alike(_places(setups, self.gears), self.run)
        known = solve_triangular(self.factor, near.T, lower=True)
        share = 1.0 - (known**2).sum(axis=0)
        return near @ self.left[clock], EQUATIONS_SD[clock] * np.sqrt(np.maximum(share, 0.0))


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
    outputs = drive_many(np.stack(rows))
    measured = [
        [one.clocks[clock].value if clock in one.clocks else np.nan for one in passes] for clock in EQUATIONS_SD
    ]
    left = {
        clock: values - outputs[:, OUTPUTS.index(clock)] for clock, values in zip(EQUATIONS_SD, measured, strict=True)
    }
    return spread_over([one.setup for one in passes], left, fitted.scatter_sd, fitted.car.gear_count)


def spread_over(
    setups: Sequence[Setup], left: Mapping[str, FloatArray], pass_sd: Mapping[str, float], gears: int
) -> Trust:
    """Trust from what is left of passes at given setups.

    Parameters
    ----------
    setups : sequence of Setup, length n
        Of the passes.
    left : Mapping[str, ndarray], shape (n,) each
        By clock: measured less fitted [s, m/s]; nan where a pass has none.
    pass_sd : Mapping[str, float]
        By clock: what a single pass scatters about the mean of its setup.
    gears : int
        How many gears count.

    Returns
    -------
    Trust
    """
    places = _places(setups, gears)
    alike = _alike(places, places)
    weights = {}
    for clock, values in left.items():
        noise = (pass_sd[clock] / EQUATIONS_SD[clock]) ** 2
        # A pass without this clock says nothing of it: its noise is without bound.
        diagonal = np.where(np.isfinite(values), noise, 1e6)
        weights[clock] = np.linalg.solve(alike + np.diag(diagonal), np.nan_to_num(values))
    noise = (pass_sd["et_s"] / EQUATIONS_SD["et_s"]) ** 2
    factor = np.asarray(np.linalg.cholesky(alike + noise * np.eye(len(setups))), dtype=np.float64)
    return Trust(run=places, left=weights, factor=factor, gears=gears)


def _places(setups: Sequence[Setup], gears: int) -> FloatArray:
    """Setups in units of distance, shape (m, k)."""
    rows = []
    for setup in setups:
        row = [setup.launch_rpm / LENGTHS[LAUNCH_RPM], setup.launch_pressure_kpa / LENGTHS[LAUNCH_PRESSURE]]
        row.append(setup.shift_rpm / LENGTHS[SHIFT_RPM])
        caps = np.asarray(setup.gear_pressure_cap_kpa[:gears])
        rows.append([*row, *(caps / (LENGTHS[GEAR_PRESSURE_CAP] * np.sqrt(gears)))])
    return np.asarray(rows, dtype=np.float64)


def _alike(first: FloatArray, second: FloatArray) -> FloatArray:
    """Correlation of the errors of two setups, shape (m, n)."""
    squares = ((first[:, np.newaxis, :] - second[np.newaxis, :, :]) ** 2).sum(axis=2)
    return np.asarray(np.exp(-0.5 * squares))


NO_PASS = Trust(run=np.empty((0, 0)), left={}, factor=np.empty((0, 0)), gears=0)
"""The equations' own error everywhere."""
