"""What a setup is truly worth on one car of the proving ground, and the best that any setup could reach there.

The worth of a setup is its mean ET over passes with the same draws of chance for every setup; it counts only where no
pass of them crosses a guard. The best attainable is searched on the true car, from many starts, with every guard but
without the step guard, and improved by every setup that anyone ever tries.
"""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car, Setup
from nextpass.plan.grid import SetupGrid, grid_around
from nextpass.plan.search import descend
from nextpass.proving import OUTPUTS, Entry, Outcome, drive_many, drive_pass

FloatArray = NDArray[np.float64]

# Figures of the true pass, by the field of `Guards` that bounds them.
GUARDED = {
    "injector_duty": "injector_duty",
    "knock_retard_deg": "knock_retard_deg",
    "wot_lambda": "wot_lambda_max",
    "clutch_energy_j": "clutch_energy_j",
    "gearbox_oil_c": "gearbox_oil_c",
    "charge_air_c": "charge_air_c",
    "rail_pressure_drop": "rail_pressure_drop",
}
UNFINISHED_S = 30.0


@dataclass(frozen=True, slots=True)
class Worth:
    """Mean ET of a setup [s], and which guards any of its passes crossed."""

    et_s: float
    crossed: tuple[str, ...]


@dataclass(slots=True)
class StripDay:
    """One car where and when it runs, with what is known about its setups.

    Parameters
    ----------
    entry : Entry
        Car, strip, conditions, first setup.
    seeds : list of int
        Draws of chance of every worth.
    known : dict
        Worth by setup, so that nothing is driven twice.
    """

    entry: Entry
    seeds: list[int]
    known: dict[tuple[object, ...], Worth] = field(default_factory=dict)

    @property
    def car(self) -> Car:
        """The owner's file of the car."""
        return self.entry.car.believed

    def run(self, setup: Setup, seed: int) -> Outcome:
        """One pass with its own draw of chance."""
        return drive_pass(self.entry.car, self.entry.strip, self.entry.conditions, setup, seed)

    def worth(self, setup: Setup) -> Worth:
        """Mean ET and guards crossed over the seeds."""
        key = tuple(setup.values.items())
        if key not in self.known:
            self.known[key] = self._worths([setup], self.seeds)[0]
        return self.known[key]

    def best(self) -> tuple[Setup, Worth]:
        """The best setup that keeps every guard: searched with few seeds, settled with all."""
        few = self.seeds[:3]
        gears = range(1, self.car.gear_count + 1)
        ceiling = self.car.fuels[self.entry.baseline.fuel].manifold_pressure_max_kpa
        grid = grid_around(self.car, self.entry.baseline, gears, ceiling)

        def cost(seeds: list[int]):
            def of(points: NDArray[np.int64]) -> FloatArray:
                worths = self._worths([grid.setup(point) for point in points], seeds)
                return np.array([worth.et_s + 5.0 * len(worth.crossed) for worth in worths])

            return of

        point = descend(grid, cost(few), spread_starts(grid, 60), (8, 4, 2)).point
        point = descend(grid, cost(self.seeds[:8]), point[np.newaxis], (2, 1), rounds=6).point
        # A few seeds flatter their own winner at the edge of a guard: step back until all seeds keep it.
        setup = grid.setup(point)
        found = self.worth(setup)
        while found.crossed and (point > grid.lowest).any():
            pressure = np.array([slot.is_pressure for slot in grid.slots])
            point = grid.clip(point - pressure)
            setup = grid.setup(point)
            found = self.worth(setup)
        clean = [(worth.et_s, key) for key, worth in self.known.items() if not worth.crossed]
        et_s, key = min(clean, key=lambda pair: pair[0])
        return Setup(values=dict(key)), Worth(et_s, ())

    def _worths(self, setups: list[Setup], seeds: list[int]) -> list[Worth]:
        entry = self.entry
        outputs = drive_many(entry.car, entry.strip, entry.conditions, setups, seeds)
        times = np.nan_to_num(outputs[:, :, OUTPUTS.index("et_s")], nan=UNFINISHED_S)
        return [Worth(float(times[i].mean()), self._crossed(outputs[i])) for i in range(len(setups))]

    def _crossed(self, outputs: FloatArray) -> tuple[str, ...]:
        guards = self.car.guards
        return tuple(
            name
            for name, limit in GUARDED.items()
            if np.nan_to_num(outputs[:, OUTPUTS.index(name)]).max() > getattr(guards, limit)
        )


def crossed_in(outcome: Outcome, car: Car) -> tuple[str, ...]:
    """Guards that one true pass crossed."""
    return tuple(name for name, limit in GUARDED.items() if getattr(outcome.guards, name) > getattr(car.guards, limit))


def spread_starts(grid: SetupGrid, count: int) -> NDArray[np.int64]:
    """The first setup and others spread over the grid, ladders rising from gear to gear."""
    rng = np.random.default_rng(1)
    starts = [grid.point(grid.around)]
    caps = np.array([slot.gear is not None for slot in grid.slots])
    for _ in range(count - 1):
        share = rng.random(len(grid.slots))
        share[caps] = np.sort(share[caps])
        starts.append(np.round(grid.lowest + share * (grid.highest - grid.lowest)).astype(np.int64))
    return np.stack(starts)
