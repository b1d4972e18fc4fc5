"""A first idea of the tyres' grip straight from the passes, so that the search begins on the right side of the edge.

Where the driven wheels spin, the car's own force over the load that they carry is the friction, scaled by how much of
the peak is left at that slip. Where they never spin, the greatest force that they carried is a lower bound.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car
from nextpass.fit.evidence import PassEvidence
from nextpass.sim import Parameters

FloatArray = NDArray[np.float64]

_GRAVITY_MPS2 = 9.80665
# Spinning for certain: well past any tyre's peak, and well past what a wheel speed can err by [m/s].
_SPINNING_SLIP, _SPINNING_MPS = 0.30, 1.5
_LEAST_SAMPLES = 4
# Slow enough that drag and the launch's own clutch do not blur the picture.
_SLOWEST_MPS = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class GripGuess:
    """Friction as the passes show it: a value where wheels spun, else only what it is at least [-]."""

    spun: float | None
    least: float


def grip_guess(car: Car, centre: Parameters, passes: tuple[PassEvidence, ...]) -> GripGuess:
    """Friction of the driven tyres, read off the passes.

    Parameters
    ----------
    car : Car
    centre : Parameters
        For mass, slip of the peak and what is left beyond.
    passes : tuple of PassEvidence

    Returns
    -------
    GripGuess
    """
    spun: list[float] = []
    least = 0.0
    for one in passes:
        if "acceleration_mps2" not in one.series:
            continue
        carried, spinning, left = _carried(car, centre, one)
        spun.extend((carried[spinning] / left[spinning]).tolist())
        quiet = carried[~spinning & np.isfinite(carried)]
        if quiet.size >= _LEAST_SAMPLES:
            least = max(least, float(np.sort(quiet)[-_LEAST_SAMPLES]))
    return GripGuess(spun=float(np.median(spun)) if len(spun) >= _LEAST_SAMPLES else None, least=least)


def _carried(car: Car, centre: Parameters, one: PassEvidence) -> tuple[FloatArray, NDArray[np.bool_], FloatArray]:
    """Force over load of the driven wheels, whether all of them spin, and the share of the peak that is left there."""
    chassis, share = car.chassis, car.driveline.front_drive_share
    speed = one.series["speed_mps"].values
    acceleration = one.series["acceleration_mps2"].values
    drag_n = 0.6 * centre.drag_area_m2 * speed**2
    force_n = centre.mass_kg * (acceleration + centre.rolling_resistance * _GRAVITY_MPS2) + drag_n
    weight_n = centre.mass_kg * _GRAVITY_MPS2
    moved_n = centre.mass_kg * acceleration * chassis.cg_height_m / chassis.wheelbase_m
    load_n = {
        "front": weight_n * chassis.front_weight_share - moved_n,
        "rear": weight_n * (1.0 - chassis.front_weight_share) + moved_n,
    }
    driven = [axle for axle, part in (("front", share), ("rear", 1.0 - share)) if part > 0.0]
    carried = force_n / np.maximum(sum(load_n[axle] for axle in driven), 0.1 * weight_n)
    carried = np.where(speed > _SLOWEST_MPS, carried, np.nan)
    spins = [one.series[f"{axle}_spin_mps"].values for axle in driven if f"{axle}_spin_mps" in one.series]
    if not spins:
        return carried, np.zeros(speed.shape, dtype=bool), np.ones(speed.shape)
    slowest = np.min(spins, axis=0)
    slip = slowest / np.maximum(speed, _SLOWEST_MPS)
    with np.errstate(invalid="ignore"):
        spinning = (slip > _SPINNING_SLIP) & (slowest > _SPINNING_MPS) & np.isfinite(carried)
        # Halfway between the peak at its slip and what is left far beyond.
        far = 1.0 - np.exp(-np.maximum(slip - centre.peak_slip, 0.0) / (3.0 * centre.peak_slip))
    return carried, spinning, 1.0 - (1.0 - centre.sliding_share) * np.where(np.isfinite(far), far, 0.0)
