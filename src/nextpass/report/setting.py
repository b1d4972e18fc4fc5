"""Settings in words: what one was turned from and to, and what differs between two setups."""

from collections.abc import Iterator

from nextpass.car import AdjusterValue, Setup
from nextpass.report.reader import Reader

# Of more gears than this the whole rows are shown: gear by gear they would be longer.
_MOST_GEARS = 2


def step_text(adjuster: str, gear: int | None, before: AdjusterValue, after: AdjusterValue, reader: Reader) -> str:
    """One setting turned: what, where, from and to.

    Parameters
    ----------
    adjuster : str
        Its name.
    gear : int or None
        Of a value for each gear; None for the whole.
    before, after : AdjusterValue
        Values of it.
    reader : Reader
        Language and units.

    Returns
    -------
    str
        Such as ``pressure cap, gear 3: 2.00 → 2.25 bar abs``.
    """
    name = reader.adjuster_name(adjuster)
    where = f"{name}, {reader.says('gear.nth', gear=gear)}" if gear is not None else name
    first, second = reader.adjuster_value(adjuster, before), reader.adjuster_value(adjuster, after)
    return f"{where}: {first.value} → {second.value} {second.unit}".strip()


def setup_steps(before: Setup, after: Setup, reader: Reader) -> Iterator[str]:
    """What differs between two setups, in the order of the car's adjusters.

    Parameters
    ----------
    before, after : Setup
        Of two passes of one car.
    reader : Reader
        Language and units.
    """
    for name, now in after.values.items():
        was = before.values.get(name)
        if was is None or was == now:
            continue
        gears = _gears_turned(was, now)
        if gears is None:
            yield step_text(name, None, was, now, reader)
        else:
            yield from (step_text(name, gear, one, other, reader) for gear, one, other in gears)


def _gears_turned(was: AdjusterValue, now: AdjusterValue) -> list[tuple[int, float, float]] | None:
    """Gear, value before and after; None where the values are not a few gears of one row."""
    if not isinstance(was, tuple) or not isinstance(now, tuple) or len(was) != len(now):
        return None
    turned = [(gear, one, other) for gear, (one, other) in enumerate(zip(was, now, strict=True), 1) if one != other]
    return turned if len(turned) <= _MOST_GEARS else None
