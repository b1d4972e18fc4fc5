"""The car file: read strictly into a `Car`, each fault with its line and what to write instead."""

from collections.abc import Collection, Mapping
from pathlib import Path
from typing import Any

from nextpass.car import (
    Adjuster,
    Assumed,
    Car,
    Chassis,
    Clutch,
    Driveline,
    Engine,
    Fuel,
    FuelSystem,
    Guards,
    Pump,
    Tyres,
)
from nextpass.errors import CarFileError
from nextpass.files import car_keys
from nextpass.files.adjusters import judge_adjusters, read_adjusters
from nextpass.files.document import Document, load_toml
from nextpass.files.keys import Key
from nextpass.files.reading import Reading
from nextpass.files.wording import nearest
from nextpass.physics import tyre
from nextpass.words import phrase

KIND = phrase("refusal.files.kind.car")


def read_car(path: Path | str, threshold_names: Collection[str] | None = None) -> Car:
    """The car that a file describes.

    Parameters
    ----------
    path : Path or str
        The car file.
    threshold_names : collection of str, optional
        The thresholds of findings that exist; others are refused. Without it any name is taken.

    Raises
    ------
    CarFileError
        The first fault of the file.
    """
    car, faults = examine_car(path, threshold_names)
    if car is None:
        raise faults[0]
    return car


def examine_car(
    path: Path | str, threshold_names: Collection[str] | None = None
) -> tuple[Car | None, tuple[CarFileError, ...]]:
    """The car, or every fault of its file.

    Parameters
    ----------
    path, threshold_names
        As for `read_car`.

    Returns
    -------
    car : Car or None
        None where there is a fault.
    faults : tuple of CarFileError
        In the order in which they are best mended.

    Raises
    ------
    CarFileError
        The file cannot be read as TOML at all.
    """
    return car_of(load_toml(Path(path), CarFileError, KIND), threshold_names)


def car_of(
    document: Document, threshold_names: Collection[str] | None = None
) -> tuple[Car | None, tuple[CarFileError, ...]]:
    """The car, or every fault of the values that should describe it; see `examine_car`."""
    reading = Reading(document, CarFileError, KIND)
    reading.top(car_keys.CAR_TABLES, car_keys.NAMED_TABLES)
    fields = {table.name: reading.fields((table.name,), table, car_keys.CAR_TABLES) for table in car_keys.CAR_TABLES}
    _complete_tyres(reading, fields["tyres"])
    fuels = _read_fuels(reading)
    adjusters = read_adjusters(reading)
    thresholds = _read_thresholds(reading, threshold_names)
    if not reading.faults:
        _judge_gears(reading, fields["driveline"]["gear_ratios"])
        judge_adjusters(reading, adjusters, fuels, fields["engine"]["rev_limit_rpm"])
    if reading.faults:
        return None, tuple(reading.faults)
    return _car(fields, fuels, adjusters, thresholds, tuple(reading.assumed)), ()


def _car(
    fields: Mapping[str, dict[str, Any]],
    fuels: Mapping[str, Fuel],
    adjusters: Mapping[str, Adjuster],
    thresholds: Mapping[str, float],
    assumed: tuple[Assumed, ...],
) -> Car:
    supply = fields["fuel_system"]
    return Car(
        name=fields["car"]["name"],
        chassis=Chassis(**fields["chassis"]),
        tyres=Tyres(**fields["tyres"]),
        driveline=Driveline(**fields["driveline"]),
        clutch=Clutch(**fields["clutch"]),
        engine=Engine(**fields["engine"]),
        fuel_system=FuelSystem(**{**supply, "pumps": tuple(Pump(**pump) for pump in supply["pumps"])}),
        fuels=fuels,
        guards=Guards(**fields["guards"]),
        adjusters=adjusters,
        assumed=assumed,
        thresholds=thresholds,
    )


def _complete_tyres(reading: Reading[CarFileError], tyres: dict[str, Any]) -> None:
    """The rolling radius from the size, where the file gives the size instead."""
    size = tyres.get("size")
    given = reading.document.values.get("tyres")
    if not isinstance(given, dict) or ("size" in given) != ("size" in tyres):
        return
    if size is None and "rolling_radius_m" not in given:
        reading.fault(
            ("tyres",),
            phrase("refusal.files.key_missing", name="tyres.rolling_radius_m", holder="[tyres]"),
            phrase("refusal.files.write_radius"),
            names_key=False,
        )
    elif size is not None and "rolling_radius_m" in given:
        reading.fault(("tyres", "size"), phrase("refusal.files.radius_and_size"), phrase("refusal.files.keep_measured"))
    elif size is not None:
        try:
            radius_m = tyre.tyre_size(size).rolling_radius_m
        except ValueError:
            what = phrase("refusal.files.no_tyre_size", size=size)
            reading.fault(("tyres", "size"), what, phrase("refusal.files.write_tyre_size"))
            return
        tyres["rolling_radius_m"] = radius_m
        reading.assumed.append(
            Assumed(
                key="tyres.rolling_radius_m",
                shown=f"{radius_m:.4f} m",
                origin=phrase("origin.tyre_size", share=f"{tyre.ROLLING_OVER_FREE_RADIUS:.2f}", size=size),
            )
        )


def _read_fuels(reading: Reading[CarFileError]) -> dict[str, Fuel]:
    fuels = {}
    for name, table in reading.named_tables("fuels").items():
        fields = reading.keys(("fuels", name), table, car_keys.ONE_FUEL.keys)
        if len(fields) == len(car_keys.ONE_FUEL.keys):
            fuels[name] = Fuel(name=name, **fields)
    return fuels


def _read_thresholds(reading: Reading[CarFileError], known: Collection[str] | None) -> dict[str, float]:
    """Thresholds of findings that the owner changes; the names are the review's."""
    thresholds = {}
    for name, value in (reading.table_at(("thresholds",), required=False) or {}).items():
        path = ("thresholds", name)
        if known is not None and name not in known:
            near = nearest(name, known)
            remedy = (
                phrase("refusal.common.meant", near=near)
                if near
                else phrase("refusal.files.known_thresholds", names=", ".join(sorted(known)))
            )
            reading.fault(path, phrase("refusal.files.no_threshold", name=name), remedy, names_key=False)
            continue
        number = reading.value(path, Key(name=name, kind="number", meaning="of a finding", example=1.0), value)
        if number is not None:
            thresholds[name] = number
    return thresholds


def _judge_gears(reading: Reading[CarFileError], ratios: tuple[float, ...]) -> None:
    for place in range(1, len(ratios)):
        if ratios[place] >= ratios[place - 1]:
            reading.fault(
                ("driveline", "gear_ratios"),
                phrase(
                    "refusal.files.ratio_not_below",
                    gear=place + 1,
                    ratio=ratios[place],
                    below_gear=place,
                    below=ratios[place - 1],
                ),
                phrase("refusal.files.falling_ratios"),
                element=place,
            )
