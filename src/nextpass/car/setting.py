"""Whether a value can be dialled in on an adjuster, and what to dial in instead."""

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from nextpass.car.adjuster import FUEL, Adjuster, AdjusterValue
from nextpass.car.car import Car
from nextpass.car.setup import Setup
from nextpass.errors import SettingError, Where
from nextpass.words import phrase

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
        return SettingFault(
            what=phrase("refusal.setting.no_flag", shown=_shown(value)), remedy=phrase("refusal.value.true_or_false")
        )
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
                phrase("refusal.setting.no_adjuster"),
                Where(key=name),
                phrase("refusal.setting.adjusters", names=", ".join(car.adjusters)),
            )
    for name, adjuster in car.adjusters.items():
        if name not in values:
            raise SettingError(phrase("refusal.setting.no_value"), Where(key=name), phrase("refusal.setting.give_each"))
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


def _number_fault(adjuster: Adjuster, value: object) -> SettingFault | None:
    ends = {"low": adjuster.minimum, "high": adjuster.maximum}
    # Not a number fails every comparison, and a whole number may be too large to become a float.
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) <= _LARGEST_NUMBER:
        return SettingFault(
            what=phrase("refusal.setting.no_number", shown=_shown(value)),
            remedy=phrase("refusal.setting.write_number", **ends),
        )
    if not adjuster.minimum <= value <= adjuster.maximum:
        nearest = adjuster.on_step(value)
        return SettingFault(
            what=phrase("refusal.setting.outside", value=value, **ends),
            remedy=phrase("refusal.setting.nearest", nearest=nearest),
        )
    if not adjuster.is_on_step(value):
        below = adjuster.minimum + math.floor((value - adjuster.minimum) / adjuster.step) * adjuster.step
        return SettingFault(
            what=phrase("refusal.setting.off_step", value=value, step=adjuster.step, low=adjuster.minimum),
            remedy=phrase("refusal.setting.write_either", below=below, above=below + adjuster.step),
        )
    return None


def _per_gear_fault(adjuster: Adjuster, value: object, gear_count: int) -> SettingFault | None:
    listed = phrase("refusal.setting.one_a_gear", count=gear_count)
    if not isinstance(value, list | tuple):
        if isinstance(value, int | float):
            listed = phrase("refusal.setting.write_list", values=", ".join([_shown(value)] * gear_count))
        return SettingFault(
            what=phrase("refusal.setting.not_each", shown=_shown(value), count=gear_count), remedy=listed
        )
    if len(value) != gear_count:
        return SettingFault(
            what=phrase("refusal.setting.wrong_count", held=len(value), count=gear_count), remedy=listed
        )
    for gear, part in enumerate(value, start=1):
        fault = _number_fault(adjuster, part)
        if fault is not None:
            return replace(fault, what=phrase("refusal.setting.in_gear", gear=gear, what=fault.what), gear=gear)
    return None


def _choice_fault(adjuster: Adjuster, value: object) -> SettingFault | None:
    if isinstance(value, str) and value in adjuster.values:
        return None
    if adjuster.name == FUEL:
        what = phrase("refusal.setting.no_fuel", shown=_shown(value))
    else:
        what = phrase("refusal.setting.no_choice", shown=_shown(value), adjuster=adjuster.name)
    return SettingFault(what=what, remedy=phrase("refusal.common.write", what=_either(adjuster.values)))


def _shown(value: object) -> str:
    """A value as files and answers write it, cut where it is long."""
    shown = json.dumps(value, ensure_ascii=False, default=str)
    return shown if len(shown) <= _SHOWN_LETTERS else f"{shown[:_SHOWN_LETTERS]}..."


def _either(words: tuple[str, ...]) -> str:
    quoted = [f'"{word}"' for word in words]
    if len(quoted) == 1:
        return quoted[0]
    return phrase("refusal.common.either", words=", ".join(quoted[:-1]), last=quoted[-1])
