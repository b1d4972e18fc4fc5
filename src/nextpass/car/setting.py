"""Whether a value can be dialled in on an adjuster, and what to dial in instead."""

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass

from nextpass.car.adjuster import FUEL, Adjuster, AdjusterValue
from nextpass.car.car import Car
from nextpass.car.setup import Setup
from nextpass.errors import SettingError, Where

# No adjuster of a car comes near it.
_LARGEST_NUMBER = 1e15
# Longest piece of a wrong value that a message repeats.
_SHOWN_LETTERS = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class SettingFault:
    """What is wrong with a value, what to write instead, and in which gear where it is one of several."""

    what: str
    remedy: str
    gear: int | None = None


def setting_fault(adjuster: Adjuster, value: object, gear_count: int) -> SettingFault | None:
    """Why a value cannot be dialled in; None where it can.

    Parameters
    ----------
    adjuster : Adjuster
        What is set.
    value : object
        As a file, a form or a command line gives it; a number a gear may be any sequence.
    gear_count : int
        Forward gears of the car.
    """
    if adjuster.kind == "number" and adjuster.per_gear:
        return _per_gear_fault(adjuster, value, gear_count)
    if adjuster.kind == "number":
        return _number_fault(adjuster, value)
    if adjuster.kind == "choice":
        return _choice_fault(adjuster, value)
    if not isinstance(value, bool):
        return SettingFault(what=f"{_shown(value)} is neither true nor false", remedy="write true or false")
    return None


def checked_setup(car: Car, values: Mapping[str, object]) -> Setup:
    """A setup of which every value can be dialled in on this car.

    Parameters
    ----------
    car : Car
        Whose adjusters they are.
    values : Mapping
        By adjuster name; numbers may be int, numbers a gear any sequence.

    Raises
    ------
    SettingError
        A value cannot be dialled in, is missing, or is not for an adjuster of this car.
    """
    for name in values:
        if name not in car.adjusters:
            raise SettingError(
                "is not an adjuster of this car", Where(key=name), f"its adjusters are {', '.join(car.adjusters)}"
            )
    for name, adjuster in car.adjusters.items():
        if name not in values:
            raise SettingError("has no value", Where(key=name), "give each adjuster one")
        fault = setting_fault(adjuster, values[name], car.gear_count)
        if fault is not None:
            raise SettingError(fault.what, Where(key=name), fault.remedy)
    return Setup(values={name: setting(adjuster, values[name]) for name, adjuster in car.adjusters.items()})


def setting(adjuster: Adjuster, value: object) -> AdjusterValue:
    """A value without fault in the form that a `Setup` holds, numbers as the step has them."""
    if adjuster.kind != "number":
        if not isinstance(value, str | bool):
            raise TypeError(f"{value!r} is not a value of {adjuster.name}")
        return value
    if isinstance(value, list | tuple):
        return tuple(adjuster.on_step(float(part)) for part in value)
    if isinstance(value, int | float):
        return adjuster.on_step(float(value))
    raise TypeError(f"{value!r} is not a value of {adjuster.name}")


def _number_fault(adjuster: Adjuster, value: object, gear: int | None = None) -> SettingFault | None:
    gears = "" if gear is None else f"gear {gear}: "
    span = f"{adjuster.minimum:g} to {adjuster.maximum:g}"
    # Not a number fails every comparison, and a whole number may be too large to become a float.
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) <= _LARGEST_NUMBER:
        return SettingFault(
            what=f"{gears}{_shown(value)} is not a number", remedy=f"write a number from {span}", gear=gear
        )
    if not adjuster.minimum <= value <= adjuster.maximum:
        nearest = adjuster.on_step(value)
        return SettingFault(
            what=f"{gears}{value:g} is outside the adjuster's {span}", remedy=f"the nearest is {nearest:g}", gear=gear
        )
    if not adjuster.is_on_step(value):
        below = adjuster.minimum + math.floor((value - adjuster.minimum) / adjuster.step) * adjuster.step
        return SettingFault(
            what=f"{gears}{value:g} is not on the step of {adjuster.step:g} from {adjuster.minimum:g}",
            remedy=f"write {below:g} or {below + adjuster.step:g}",
            gear=gear,
        )
    return None


def _per_gear_fault(adjuster: Adjuster, value: object, gear_count: int) -> SettingFault | None:
    listed = f"write {gear_count} values, first gear first"
    if not isinstance(value, list | tuple):
        if isinstance(value, int | float):
            listed = f"write [{', '.join([_shown(value)] * gear_count)}]"
        return SettingFault(what=f"{_shown(value)} is not one value for each of {gear_count} gears", remedy=listed)
    if len(value) != gear_count:
        return SettingFault(what=f"holds {len(value)} values for {gear_count} gears", remedy=listed)
    faults = (_number_fault(adjuster, part, gear) for gear, part in enumerate(value, start=1))
    return next((fault for fault in faults if fault is not None), None)


def _choice_fault(adjuster: Adjuster, value: object) -> SettingFault | None:
    if isinstance(value, str) and value in adjuster.values:
        return None
    thing = "a fuel of this car" if adjuster.name == FUEL else f"a choice of {adjuster.name}"
    return SettingFault(what=f"{_shown(value)} is not {thing}", remedy=f"write {_either(adjuster.values)}")


def _shown(value: object) -> str:
    """A value as files and answers write it, cut where it is long."""
    shown = json.dumps(value, ensure_ascii=False, default=str)
    return shown if len(shown) <= _SHOWN_LETTERS else f"{shown[:_SHOWN_LETTERS]}..."


def _either(words: tuple[str, ...]) -> str:
    quoted = [f'"{word}"' for word in words]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} or {quoted[-1]}"
