"""Which passes stand against which: by the value of an adjuster, as the passes themselves tell it."""

from collections.abc import Sequence

from nextpass.car import AdjusterValue, Car
from nextpass.compare.comparison import Group
from nextpass.errors import NotEnoughData, SettingError, Where
from nextpass.review import ReviewedPass
from nextpass.words import phrase


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
            phrase("refusal.compare.same_everywhere", change=change, value=_shown(value)),
            remedy=phrase("refusal.compare.give_another_value"),
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
            phrase("refusal.compare.nothing_changed"),
            remedy=phrase("refusal.compare.say_sides"),
        )
    if len(changed) > 1:
        raise NotEnoughData(
            phrase("refusal.compare.several_changed", names=", ".join(changed)),
            remedy=phrase("refusal.compare.name_one", name=changed[0]),
        )
    return changed[0]


def _adjuster(car: Car, change: str) -> tuple[str, int | None]:
    name, _, gear = change.partition(".")
    if name not in car.adjusters:
        raise SettingError(
            phrase("refusal.setting.no_adjuster"),
            Where(key=name),
            phrase("refusal.setting.adjusters", names=", ".join(car.adjusters)),
        )
    if not gear:
        return name, None
    if not car.adjusters[name].per_gear:
        raise SettingError(
            phrase("refusal.setting.no_value_a_gear"), Where(key=name), phrase("refusal.common.write_change", name=name)
        )
    if not gear.isdecimal() or not 1 <= int(gear) <= car.gear_count:
        raise SettingError(
            phrase("refusal.setting.no_gear", gear=gear),
            Where(key=name),
            phrase("refusal.setting.name_gear", count=car.gear_count),
        )
    return name, int(gear)


def _shown(value: AdjusterValue) -> str:
    if isinstance(value, bool):
        return "on" if value else "off"
    if isinstance(value, tuple):
        return " ".join(f"{part:g}" for part in value)
    return value if isinstance(value, str) else f"{value:g}"
