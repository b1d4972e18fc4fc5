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
from nextpass.words import phrase

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
            form = "write_adjuster" if modelled.kind == "choice" else "write_or_fix_adjuster"
            remedy = (
                phrase("refusal.files.is_adjuster_meant", near=near)
                if near
                else phrase(f"refusal.files.{form}", meaning=modelled.meaning)
            )
            here: KeyPath = ("adjusters", near) if near else ()
            missing = phrase("refusal.files.table_missing", table=f"adjusters.{name}")
            reading.fault(here, missing, remedy, names_key=False)
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
        reading.fault(
            (*path, "kind"),
            phrase("refusal.files.not_so_set", kind=adjuster.kind),
            phrase("refusal.common.write", what=f'kind = "{modelled.kind}"'),
        )
    elif adjuster.per_gear != modelled.per_gear:
        here = (*path, "per_gear") if adjuster.per_gear else path
        if modelled.per_gear:
            reading.fault(
                here,
                phrase("refusal.files.planned_each_gear"),
                phrase("refusal.common.write", what="per_gear = true"),
            )
        else:
            reading.fault(
                here, phrase("refusal.files.planned_all_gears"), phrase("refusal.files.remove", name="per_gear")
            )


def _judge_step(reading: Reading[CarFileError], path: KeyPath, adjuster: Adjuster) -> None:
    low, high, step = adjuster.minimum, adjuster.maximum, adjuster.step
    if step <= 0:
        what = phrase("refusal.files.step_not_above", step=step)
        reading.fault((*path, "step"), what, phrase("refusal.files.write_step"))
    elif low > high:
        what = phrase("refusal.files.max_below_min", high=high, low=low)
        reading.fault((*path, "max"), what, phrase("refusal.files.exchange_ends"))
    elif abs(round((high - low) / step) - (high - low) / step) > STEP_TOLERANCE:
        below = low + int((high - low) / step) * step
        reading.fault(
            (*path, "max"),
            phrase("refusal.files.max_off_step", high=high, low=low, step=step),
            phrase("refusal.files.write_max", below=below, above=below + step),
        )


def judge_adjusters(
    reading: Reading[CarFileError], adjusters: Mapping[str, Adjuster], fuels: Mapping[str, Fuel], rev_limit_rpm: float
) -> None:
    """Note where sound adjusters contradict the fuels or the engine."""
    for place, value in enumerate(adjusters[FUEL].values):
        if value not in fuels:
            near = nearest(value, fuels)
            remedy = (
                phrase("refusal.common.meant", near=f'"{near}"')
                if near
                else phrase("refusal.files.write_fuel", value=value, known=", ".join(fuels))
            )
            what = phrase("refusal.files.no_fuel_table", value=value)
            reading.fault(("adjusters", FUEL, "values", place), what, remedy)
    for name in (LAUNCH_RPM, SHIFT_RPM):
        if adjusters[name].maximum > rev_limit_rpm:
            reading.fault(
                ("adjusters", name, "max"),
                phrase("refusal.files.above_rev_limit", rpm=adjusters[name].maximum, limit=rev_limit_rpm),
                phrase("refusal.files.write_at_most", most=rev_limit_rpm),
            )
    for name in (GEAR_PRESSURE_CAP, LAUNCH_PRESSURE):
        for fuel in fuels.values():
            if fuel.manifold_pressure_max_kpa < adjusters[name].minimum:
                reading.fault(
                    ("fuels", fuel.name, "manifold_pressure_max_kpa"),
                    phrase(
                        "refusal.files.fuel_below_cap",
                        most=fuel.manifold_pressure_max_kpa,
                        name=name,
                        least=adjusters[name].minimum,
                    ),
                    phrase("refusal.files.correct_one"),
                )
