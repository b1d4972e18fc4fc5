"""Which setups can be dialled in: a point for each planned number, counted in steps of its adjuster.

A search walks whole steps, so that every setup that it meets can be dialled in exactly. What the simulation does not
understand, and what no gear of the pass reaches, is not walked: it stays as it is in the setup that the grid was made
from. The fuel is a choice and has a grid of its own.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from nextpass.car import (
    FUEL,
    GEAR_PRESSURE_CAP,
    LAUNCH_PRESSURE,
    LAUNCH_RPM,
    SHIFT_RPM,
    Adjuster,
    AdjusterValue,
    Car,
    Setup,
)

IntArray = NDArray[np.int64]
FloatArray = NDArray[np.float64]

# In the order in which the pass meets them: coordinate searches settle the launch before what follows from it.
WALKED = (LAUNCH_RPM, LAUNCH_PRESSURE, GEAR_PRESSURE_CAP, SHIFT_RPM)


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """One planned number: an adjuster, or its value for one gear (counted from 1)."""

    adjuster: Adjuster
    gear: int | None

    @property
    def is_pressure(self) -> bool:
        """Whether the number is a manifold pressure, which the pressure guards bound."""
        return self.adjuster.name in (LAUNCH_PRESSURE, GEAR_PRESSURE_CAP)

    @property
    def last_level(self) -> int:
        """Level of the highest value inside the range; the lowest is level 0."""
        return int(np.floor((self.adjuster.maximum - self.adjuster.minimum) / self.adjuster.step + 1e-9))

    def level(self, value: float) -> int:
        """Level nearest to a value."""
        return round((self.adjuster.on_step(value) - self.adjuster.minimum) / self.adjuster.step)

    def level_at_most(self, value: float) -> int:
        """Highest level that does not exceed a value; -1 where even the lowest does."""
        steps = int(np.floor((value - self.adjuster.minimum) / self.adjuster.step + 1e-9))
        return max(min(steps, self.last_level), -1)

    def value(self, level: int) -> float:
        """Value of a level, as dialled in."""
        return self.adjuster.on_step(self.adjuster.minimum + level * self.adjuster.step)

    def read(self, setup: Setup) -> float:
        """Value of this slot in a setup."""
        value = setup.values[self.adjuster.name]
        picked = value[self.gear - 1] if isinstance(value, tuple) and self.gear is not None else value
        if isinstance(picked, str | tuple):
            raise TypeError(f"{self.adjuster.name} holds {picked!r}, not a number")
        return float(picked)


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupGrid:
    """The setups that a search may walk, around one setup.

    Parameters
    ----------
    slots : tuple of Slot, length k
        The planned numbers.
    around : Setup
        Where every other value comes from.
    lowest, highest : ndarray of int, shape (k,)
        Bounds of each slot's level, both included.
    """

    slots: tuple[Slot, ...]
    around: Setup
    lowest: IntArray
    highest: IntArray

    def point(self, setup: Setup) -> IntArray:
        """Levels of a setup, shape (k,), moved inside the bounds."""
        levels = [slot.level(slot.read(setup)) for slot in self.slots]
        return self.clip(np.array(levels, dtype=np.int64))

    def clip(self, points: IntArray) -> IntArray:
        """Points moved inside the bounds, same shape."""
        return np.minimum(np.maximum(points, self.lowest), self.highest)

    def setup(self, point: IntArray) -> Setup:
        """The setup of a point."""
        values: dict[str, AdjusterValue] = {}
        for slot, level in zip(self.slots, point, strict=True):
            name = slot.adjuster.name
            if slot.gear is None:
                values[name] = slot.value(int(level))
            else:
                held = values.get(name, self.around.values[name])
                if not isinstance(held, tuple):
                    raise TypeError(f"{name} holds {held!r}, not one value a gear")
                values[name] = (*held[: slot.gear - 1], slot.value(int(level)), *held[slot.gear :])
        return self.around.with_values(**values)

    def neighbours(self, point: IntArray, strides: Sequence[int]) -> IntArray:
        """Points that differ in one slot by a stride up or down, shape (m, k); none twice, `point` not among them."""
        k = len(self.slots)
        moves = [sign * stride * np.eye(k, dtype=np.int64) for stride in strides for sign in (-1, 1)]
        points = self.clip(point + np.concatenate(moves)) if moves else np.empty((0, k), np.int64)
        moved = (points != point).any(axis=1)
        return np.asarray(np.unique(points[moved], axis=0))

    def with_levels(self, points: IntArray, levels: Mapping[int, IntArray]) -> IntArray:
        """Points, and each with every combination of levels by slot, moved inside the bounds; shape (m, k)."""
        found = [points]
        for combined in product(*levels.values()):
            moved = points.copy()
            moved[:, list(levels)] = combined
            found.append(self.clip(moved))
        return np.concatenate(found)

    def pressures_kpa(self, points: IntArray) -> FloatArray:
        """Launch pressure and caps of points, shape (m, number of pressure slots): what a gentler setup has less of."""
        columns = [
            slot.adjuster.minimum + slot.adjuster.step * points[:, i]
            for i, slot in enumerate(self.slots)
            if slot.is_pressure
        ]
        return np.stack(columns, axis=1) if columns else np.zeros((len(points), 0))


def planned_slots(car: Car, gears: Iterable[int]) -> tuple[Slot, ...]:
    """The numbers of a car that a plan moves.

    Parameters
    ----------
    car : Car
        Only its adjusters are asked.
    gears : iterable of int
        Gears, counted from 1, that the pass uses: the caps of the others stay as they are.

    Returns
    -------
    tuple of Slot
        In the order in which the pass meets them.
    """
    slots: list[Slot] = []
    for name in WALKED:
        adjuster = car.adjusters.get(name)
        if adjuster is None or adjuster.kind != "number":
            continue
        if adjuster.per_gear:
            slots.extend(Slot(adjuster=adjuster, gear=gear) for gear in sorted(set(gears)))
        else:
            slots.append(Slot(adjuster=adjuster, gear=None))
    return tuple(slots)


def grid_around(car: Car, setup: Setup, gears: Iterable[int], pressure_ceiling_kpa: float) -> SetupGrid:
    """The grid of a car around a setup, no pressure above a ceiling.

    Parameters
    ----------
    car : Car
    setup : Setup
        Gives what is not walked, and the fuel.
    gears : iterable of int
        Gears, counted from 1, that the pass uses.
    pressure_ceiling_kpa : float
        Highest manifold pressure that may be set [kPa absolute].

    Returns
    -------
    SetupGrid
        A slot whose whole range lies above the ceiling stays at its lowest level.
    """
    slots = planned_slots(car, gears)
    tops = [slot.level_at_most(pressure_ceiling_kpa) if slot.is_pressure else slot.last_level for slot in slots]
    highest = np.maximum(np.array(tops, dtype=np.int64), 0)
    return SetupGrid(slots=slots, around=setup, lowest=np.zeros(len(slots), dtype=np.int64), highest=highest)


def fuels_to_try(car: Car, setups: Sequence[Setup]) -> tuple[str, ...]:
    """Fuels that can be chosen and that passes were run with, that of the newest first.

    What an engine gives on a fuel that no pass has seen, no plan can tell.
    """
    adjuster = car.adjusters.get(FUEL)
    offered = adjuster.values if adjuster is not None else ()
    run = [setup.fuel for setup in reversed(setups)]
    return tuple(dict.fromkeys([run[0], *(name for name in run if name in offered)]))
