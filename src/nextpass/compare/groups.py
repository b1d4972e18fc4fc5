"""Which passes stand against which: by the value of an adjuster, as the passes themselves tell it."""

from collections.abc import Sequence

from nextpass.car import AdjusterValue, Car
from nextpass.compare.comparison import Group
from nextpass.errors import NotEnoughData, SettingError, Where
from nextpass.review import ReviewedPass


def groups_by(car: Car, passes: Sequence[ReviewedPass], change: str | None) -> tuple[Group, ...]:
    """Passes grouped by the value of one adjuster, in the order in which the values were first run.

    Parameters
    ----------
    car : Car
        Whose adjusters count.
    passes : sequence of ReviewedPass
        In the order in which they were run.
    change : str, optional
        An adjuster, or ``adjuster.gear`` for one gear of it. Without it the one adjuster that was changed, or each of
        two passes for itself.

    Returns
    -------
    tuple of Group
        Two or more.

    Raises
    ------
    SettingError
        Not an adjuster of this car, or no such gear.
    NotEnoughData
        All passes have the same value, or more than one adjuster was changed and none is named.
    """
    if change is None:
        changed = changed_adjusters(passes)
        if len(passes) == 2 and len(changed) != 1:
            return tuple(Group(label=one.record.folder.name, passes=(one,)) for one in passes)
        change = _only(changed)
    name, gear = _adjuster(car, change)
    groups: dict[AdjusterValue, list[ReviewedPass]] = {}
    for one in passes:
        value = one.record.setup.values[name]
        groups.setdefault(value[gear - 1] if gear is not None and isinstance(value, tuple) else value, []).append(one)
    if len(groups) < 2:
        value = next(iter(groups))
        raise NotEnoughData(
            f"{change} is {_shown(value)} in every pass given", remedy="give passes with another value as well"
        )
    return tuple(Group(label=f"{change} {_shown(value)}", passes=tuple(found)) for value, found in groups.items())


def changed_adjusters(passes: Sequence[ReviewedPass]) -> tuple[str, ...]:
    """Adjusters that do not have one value in all passes.

    Parameters
    ----------
    passes : sequence of ReviewedPass
    """
    setups = [one.record.setup.values for one in passes]
    return tuple(name for name in setups[0] if len({setup[name] for setup in setups}) > 1)


def _only(changed: tuple[str, ...]) -> str:
    if not changed:
        raise NotEnoughData(
            "no adjuster was changed between these passes",
            remedy="say which passes were run before and which after, with --before and --after",
        )
    if len(changed) > 1:
        raise NotEnoughData(
            f"{', '.join(changed)} were changed between these passes",
            remedy=f"name one, such as --change {changed[0]}, or say which passes stand against which"
            " with --before and --after",
        )
    return changed[0]


def _adjuster(car: Car, change: str) -> tuple[str, int | None]:
    name, _, gear = change.partition(".")
    if name not in car.adjusters:
        raise SettingError(
            "is not an adjuster of this car", Where(key=name), f"its adjusters are {', '.join(car.adjusters)}"
        )
    if not gear:
        return name, None
    if not car.adjusters[name].per_gear:
        raise SettingError("has no value a gear", Where(key=name), f"write --change {name}")
    if not gear.isdecimal() or not 1 <= int(gear) <= car.gear_count:
        raise SettingError(f"there is no gear {gear}", Where(key=name), f"name a gear from 1 to {car.gear_count}")
    return name, int(gear)


def _shown(value: AdjusterValue) -> str:
    if isinstance(value, bool):
        return "on" if value else "off"
    if isinstance(value, tuple):
        return " ".join(f"{part:g}" for part in value)
    return value if isinstance(value, str) else f"{value:g}"
