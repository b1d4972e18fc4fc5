"""The adjusters of a car file: each sound by itself, and all of them in keeping with the rest of the car."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from nextpass.car import FUEL, GEAR_PRESSURE_CAP, LAUNCH_PRESSURE, LAUNCH_RPM, SHIFT_RPM, Adjuster, Fuel
from nextpass.errors import CarFileError
from nextpass.files.car_keys import ADJUSTER_KEYS, ADJUSTER_KIND, MODELLED_ADJUSTERS
from nextpass.files.keys import Key
from nextpass.files.reading import Reading
from nextpass.files.toml_lines import KeyPath
from nextpass.files.wording import nearest

# A step divides a range when the last step ends within this share of a step from the end of the range.
STEP_TOLERANCE = 1e-6


def read_adjusters(reading: Reading[CarFileError]) -> dict[str, Adjuster]:
    """The adjusters without fault, by name in the order of the file."""
    tables = reading.named_tables("adjusters")
    adjusters = {}
    for name, table in tables.items():
        adjuster = _read_adjuster(reading, name, table)
        if adjuster is not None:
            adjusters[name] = adjuster
    for name, modelled in MODELLED_ADJUSTERS.items():
        if name not in tables:
            near = nearest(name, [given for given in tables if given not in MODELLED_ADJUSTERS])
            fixed = (
                "" if modelled.kind == "choice" else "; where the car cannot set it, give min and max the same value"
            )
            remedy = f"is [adjusters.{near}] meant?" if near else f"write it: {modelled.meaning}{fixed}"
            here: KeyPath = ("adjusters", near) if near else ()
            reading.fault(here, f"[adjusters.{name}] is missing", remedy, names_key=False)
    return adjusters


def _read_adjuster(reading: Reading[CarFileError], name: str, table: Mapping[str, Any]) -> Adjuster | None:
    path = ("adjusters", name)
    before = len(reading.faults)
    kind = table.get("kind")
    known = isinstance(kind, str) and kind in ADJUSTER_KEYS
    keys = _keys(name, str(kind)) if known else (ADJUSTER_KIND,)
    # Without a known kind nothing can be said about the other keys.
    fields = reading.keys(path, table if known else {key: table[key] for key in table if key == "kind"}, keys)
    if len(reading.faults) > before:
        return None
    adjuster = Adjuster(name=name, **fields)
    _judge_kind(reading, path, adjuster)
    if adjuster.kind == "number":
        _judge_step(reading, path, adjuster)
    return adjuster if len(reading.faults) == before else None


def _keys(name: str, kind: str) -> tuple[Key, ...]:
    """Keys of an adjuster; the ends of a modelled one have the physical range of what it sets."""
    modelled = MODELLED_ADJUSTERS.get(name)
    if modelled is None:
        return ADJUSTER_KEYS[kind]
    return tuple(
        replace(key, unit=modelled.unit, low=modelled.low, high=modelled.high, bound=modelled.bound)
        if key.name in ("min", "max")
        else key
        for key in ADJUSTER_KEYS[kind]
    )


def _judge_kind(reading: Reading[CarFileError], path: KeyPath, adjuster: Adjuster) -> None:
    modelled = MODELLED_ADJUSTERS.get(adjuster.name)
    if modelled is None:
        return
    if adjuster.kind != modelled.kind:
        reading.fault((*path, "kind"), f'"{adjuster.kind}" is not how this is set', f'write kind = "{modelled.kind}"')
    elif adjuster.per_gear != modelled.per_gear:
        here = (*path, "per_gear") if adjuster.per_gear else path
        how = "one value a gear" if modelled.per_gear else "one value for all gears"
        remedy = "write per_gear = true" if modelled.per_gear else "remove per_gear"
        reading.fault(here, f"is planned as {how}", remedy)


def _judge_step(reading: Reading[CarFileError], path: KeyPath, adjuster: Adjuster) -> None:
    low, high, step = adjuster.minimum, adjuster.maximum, adjuster.step
    if step <= 0:
        reading.fault((*path, "step"), f"{step:g} is not above 0", "write the difference between two values")
    elif low > high:
        reading.fault((*path, "max"), f"{high:g} lies below min = {low:g}", "exchange min and max")
    elif abs(round((high - low) / step) - (high - low) / step) > STEP_TOLERANCE:
        below = low + int((high - low) / step) * step
        reading.fault(
            (*path, "max"),
            f"{high:g} is not reached from min = {low:g} in steps of {step:g}",
            f"write max = {below:g} or {below + step:g}, or another step",
        )


def judge_adjusters(
    reading: Reading[CarFileError], adjusters: Mapping[str, Adjuster], fuels: Mapping[str, Fuel], rev_limit_rpm: float
) -> None:
    """Note where sound adjusters contradict the fuels or the engine."""
    for place, value in enumerate(adjusters[FUEL].values):
        if value not in fuels:
            near = nearest(value, fuels)
            remedy = f'did you mean "{near}"?' if near else f"write a [fuels.{value}], or one of {', '.join(fuels)}"
            reading.fault(("adjusters", FUEL, "values", place), f'"{value}" has no table under [fuels]', remedy)
    for name in (LAUNCH_RPM, SHIFT_RPM):
        if adjusters[name].maximum > rev_limit_rpm:
            reading.fault(
                ("adjusters", name, "max"),
                f"{adjusters[name].maximum:g} rpm is above the engine's rev_limit_rpm = {rev_limit_rpm:g}",
                f"write at most {rev_limit_rpm:g}",
            )
    for name in (GEAR_PRESSURE_CAP, LAUNCH_PRESSURE):
        for fuel in fuels.values():
            if fuel.manifold_pressure_max_kpa < adjusters[name].minimum:
                reading.fault(
                    ("fuels", fuel.name, "manifold_pressure_max_kpa"),
                    f"{fuel.manifold_pressure_max_kpa:g} kPa is below the least that {name} can be set to, "
                    f"{adjusters[name].minimum:g} kPa",
                    "correct one of the two: no setup could be run on this fuel",
                )
