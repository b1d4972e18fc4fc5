"""What passes can teach about a car, and how wide the car file leaves it.

Each learnable value has a centre (the car file's, or the default of the simulation), a standard deviation before any
pass, and limits of sense. Inside the fit every value is a plain number `z` in units of that standard deviation, so
that the prior is the sum of the squares. Widths are common practice of owners' car files unless a comment says more.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car
from nextpass.sim import Parameters, Versions

FloatArray = NDArray[np.float64]

ONSET = "knock_onset_kpa"


@dataclass(frozen=True, slots=True, kw_only=True)
class Learnable:
    """One value of `Parameters` that passes can correct.

    Parameters
    ----------
    name : str
        Field of `Parameters`; a field that holds a value a fuel is followed by ``.`` and the fuel.
    centre : float
        Before any pass.
    sd : float
        Standard deviation before any pass: of the logarithm where `scale` is "factor", else in the value's unit.
    scale : {"factor", "sum"}
        Whether the value is multiplied or shifted.
    low, high : float
        Limits of sense.
    """

    name: str
    centre: float
    sd: float
    scale: Literal["factor", "sum"]
    low: float
    high: float

    def values(self, z: FloatArray) -> FloatArray:
        """Values at `z` standard deviations from the centre, inside the limits, same shape."""
        raw = self.centre * np.exp(self.sd * z) if self.scale == "factor" else self.centre + self.sd * z
        return np.clip(raw, self.low, self.high)

    def value(self, z: float) -> float:
        """Value at one place."""
        return float(self.values(np.asarray(z)))

    def place(self, value: float) -> float:
        """Standard deviations from the centre at which a value stands."""
        if self.scale == "factor":
            return math.log(value / self.centre) / self.sd
        return (value - self.centre) / self.sd


# name: (sd, scale, low, high). Widths of mass, torque, friction and rise are those of the trade's car files: a scale is
# read to 3 %, a torque curve is somebody's claim, friction is a guess.
_WIDTHS: dict[str, tuple[float, Literal["factor", "sum"], float, float]] = {
    "mass_kg": (0.02, "factor", 200.0, 6000.0),
    "torque_scale": (0.08, "factor", 0.5, 1.6),
    "torque_low_scale": (0.08, "factor", 0.6, 1.5),
    "torque_high_scale": (0.06, "factor", 0.6, 1.5),
    "torque_pressure_slope": (0.10, "factor", 0.4, 1.6),
    "charge_temperature_exponent": (0.25, "sum", 0.0, 1.5),
    "peak_friction": (0.14, "factor", 0.5, 2.5),
    "peak_slip": (0.30, "factor", 0.03, 0.40),
    "sliding_share": (0.06, "sum", 0.45, 0.97),
    "load_sensitivity": (0.04, "sum", 0.0, 0.25),
    "axle_coupling_nm_per_radps": (1.0, "factor", 1.0, 400.0),
    "gearbox_inertia_kgm2": (0.5, "factor", 0.1, 20.0),
    "drag_area_m2": (0.08, "factor", 0.2, 2.0),
    "rolling_resistance": (0.15, "factor", 0.005, 0.04),
    "pressure_rise_s": (0.25, "factor", 0.05, 3.0),
    "pressure_rise_exponent": (0.5, "sum", 0.0, 3.5),
    "pressure_control_s": (0.5, "factor", 0.02, 1.0),
    "pressure_overshoot": (0.7, "factor", 0.001, 0.4),
    "pressure_hold": (0.02, "factor", 0.7, 1.2),
    "threshold_rpm": (0.15, "factor", 800.0, 8000.0),
    "threshold_exponent": (0.4, "factor", 0.5, 12.0),
    "staged_s": (0.4, "factor", 0.1, 10.0),
    "launch_release_s": (0.6, "factor", 0.02, 2.0),
    "launch_hold_s": (0.5, "factor", 0.02, 1.0),
    "launch_hold_share": (0.05, "factor", 0.6, 1.3),
    "launch_feed": (0.12, "factor", 0.4, 1.6),
    "launch_flare_rpm": (1.0, "factor", 20.0, 3000.0),
    "shift_time_s": (0.40, "factor", 0.02, 0.8),
    "shift_torque_share": (0.30, "sum", -0.3, 1.2),
    "shift_offset_rpm": (60.0, "sum", -600.0, 600.0),
    "charge_rise_share": (0.45, "factor", 0.02, 1.2),
    "charge_rise_growth": (0.25, "sum", 0.0, 2.0),
    "cooler_core_share": (0.07, "sum", 0.0, 0.6),
    "cooler_core_s": (0.4, "factor", 0.5, 30.0),
    "charge_time_s": (0.6, "factor", 0.1, 20.0),
    "charge_soak_c": (6.0, "sum", -10.0, 60.0),
    "fuel_flow_scale": (0.10, "factor", 0.4, 2.0),
    "injector_dead_s": (0.25, "factor", 0.0002, 0.002),
    "pump_flow_scale": (0.07, "factor", 0.3, 1.3),
    "wot_lambda": (0.03, "factor", 0.6, 1.1),
    "knock_slope_degpkpa": (0.5, "factor", 0.01, 1.0),
    "clutch_capacity_scale": (0.06, "factor", 0.5, 1.5),
}
# A knock onset that no pass has touched may lie this far from a fuel's calibrated ceiling (logarithm).
_ONSET_SD = 0.06
# Coupling between driven axles before any pass [N m s/rad]: between none and a locked centre.
_USUAL_COUPLING = 25.0


def learnables(car: Car, centre: Parameters) -> tuple[Learnable, ...]:
    """What passes of this car can teach.

    Parameters
    ----------
    car : Car
    centre : Parameters
        Before any pass.

    Returns
    -------
    tuple of Learnable
        Without what this car does not have, such as a coupling of axles of which one is not driven.
    """
    share = car.driveline.front_drive_share
    found = []
    for name, (sd, scale, low, high) in _WIDTHS.items():
        middle = float(getattr(centre, name))
        if name == "axle_coupling_nm_per_radps":
            if not 0.0 < share < 1.0:
                continue
            middle = middle or _USUAL_COUPLING
        found.append(Learnable(name=name, centre=middle, sd=sd, scale=scale, low=low, high=high))
    for fuel, onset in zip(car.fuels, centre.knock_onset_kpa, strict=True):
        found.append(
            Learnable(name=f"{ONSET}.{fuel}", centre=onset, sd=_ONSET_SD, scale="factor", low=50.0, high=600.0)
        )
    return tuple(found)


def versions_at(car: Car, centre: Parameters, what: Sequence[Learnable], points: FloatArray) -> Versions:
    """Versions of a car at many points of the fit's space.

    Parameters
    ----------
    car : Car
    centre : Parameters
        For what is not learnt.
    what : sequence of Learnable, length n
    points : ndarray, shape (m, n)
        Standard deviations from each centre.

    Returns
    -------
    versions : Versions
        m of them.
    """
    columns = {name: np.repeat(one, len(points), axis=-1) for name, one in Versions.of([centre]).columns.items()}
    fuels = tuple(car.fuels)
    for one, places in zip(what, points.T, strict=True):
        field, _, fuel = one.name.partition(".")
        if field == ONSET:
            columns[field][fuels.index(fuel)] = one.values(places)
        else:
            columns[field] = one.values(places)
    return Versions(columns)


def parameters_at(car: Car, centre: Parameters, what: Sequence[Learnable], z: FloatArray) -> Parameters:
    """The version at one point, shape (n,); else as `versions_at`."""
    columns = versions_at(car, centre, what, z[np.newaxis]).columns
    changed = {name: float(column[0]) for name, column in columns.items() if name != ONSET}
    return replace(centre, **changed, knock_onset_kpa=tuple(columns[ONSET][:, 0].tolist()))
