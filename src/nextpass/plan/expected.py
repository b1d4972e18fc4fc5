"""What a setup should show over all that is not known: the same scenarios for every setup.

A scenario is one version of the car that the passes do not rule out, with the grip of one pass of the day to come.
Every setup meets the same scenarios, so that the difference between two setups is not blurred by the draw.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car, Conditions, Setup
from nextpass.sim import OUTPUTS, Parameters, Versions, drive_many, pack_car, with_setup

FloatArray = NDArray[np.float64]

COLUMN = {name: i for i, name in enumerate(OUTPUTS)}
# Counted for a pass that does not reach the finish: longer than any, so that a search runs from it [s].
UNFINISHED_S = 30.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenarios:
    """Versions of one car on one day.

    Parameters
    ----------
    car : Car
    conditions : Conditions
        Of the pass to come.
    versions : tuple of Parameters, length s
        Equally likely.
    bases : ndarray, shape (s, row)
        Each packed without a setup.
    """

    car: Car
    conditions: Conditions
    versions: tuple[Parameters, ...]
    bases: FloatArray

    def drive(self, setups: Sequence[Setup]) -> FloatArray:
        """Outputs of every setup in every scenario, shape (s, m, len(OUTPUTS))."""
        versions = Versions.of(self.versions)
        rows = np.stack([with_setup(self.bases, self.car, versions, setup) for setup in setups], axis=1)
        outputs = drive_many(rows.reshape(-1, rows.shape[-1]))
        return outputs.reshape(len(self.versions), len(setups), len(OUTPUTS))

    def part(self, chosen: Sequence[int]) -> "Scenarios":
        """Some of the scenarios, by index."""
        return Scenarios(
            car=self.car,
            conditions=self.conditions,
            versions=tuple(self.versions[i] for i in chosen),
            bases=self.bases[list(chosen)],
        )

    def with_grip(self, factor: float) -> "Scenarios":
        """Same scenarios with the grip of each multiplied."""
        versions = [replace(version, grip=version.grip * factor) for version in self.versions]
        return scenarios_of(self.car, versions, self.conditions)


def scenarios_of(car: Car, versions: Sequence[Parameters], conditions: Conditions) -> Scenarios:
    """Scenarios from versions of a car, on one day.

    Parameters
    ----------
    car : Car
    versions : sequence of Parameters
        Equally likely, at least one.
    conditions : Conditions

    Returns
    -------
    Scenarios
    """
    bases = pack_car(car, Versions.of(versions), conditions)
    return Scenarios(car=car, conditions=conditions, versions=tuple(versions), bases=bases)


def figure(outputs: FloatArray, name: str) -> FloatArray:
    """One column of outputs, by its name, without the last axis."""
    return np.asarray(outputs[..., COLUMN[name]])


def elapsed_s(outputs: FloatArray) -> FloatArray:
    """ET of outputs [s], `UNFINISHED_S` where the finish is not reached."""
    et_s = figure(outputs, "et_s")
    return np.where(np.isfinite(et_s), et_s, UNFINISHED_S)


def per_gear(outputs: FloatArray, name: str, gears: int) -> FloatArray:
    """A column of each gear, shape (..., gears); 0 for a gear that is not reached."""
    columns = [COLUMN[f"gear{gear}_{name}"] for gear in range(1, gears + 1)]
    return np.nan_to_num(outputs[..., columns])
