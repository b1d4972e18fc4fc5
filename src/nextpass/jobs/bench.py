"""The sums of the workbench by name: what each asks for, what stands there first for a car, and the sum itself.

The command line names its options one by one; a page and the API ask for the same things by the names of this table.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from nextpass.car import FUEL, LAUNCH_RPM, SHIFT_RPM, Car, Conditions, PassRecord
from nextpass.errors import NextpassError, SettingError, Where
from nextpass.measure import Estimate
from nextpass.words import phrase
from nextpass.workbench import (
    MEASURED_SHARE,
    PUMP_SHARE,
    OtherHands,
    WorkedSum,
    blend_sum,
    charge_sum,
    cold_pressure_sum,
    day_sum,
    gearing_sum,
    hot_pressure_sum,
    launch_sum,
    other_hands,
    size_sum,
    supply_sum,
)

Given = Mapping[str, float | str]
FieldKind = Literal["number", "manifold_pressure", "tyre_pressure", "text", "fuel", "yes"]
_PERCENT = 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchField:
    """One thing that a sum asks for.

    Parameters
    ----------
    name : str
        With its unit; numbers are given in it.
    kind : FieldKind
        What it takes.
    low, high : float
        Least and greatest number.
    is_needed : bool
        False where the sum does without it.
    """

    name: str
    kind: FieldKind = "number"
    low: float = 0.0
    high: float = math.inf
    is_needed: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchSum:
    """One sum: its fields, and how it is worked out for a car."""

    fields: tuple[BenchField, ...]
    work: Callable[[Car, PassRecord | None, Mapping[str, Any]], WorkedSum]


_AIR = BenchField(name="air_temperature_c", low=-60.0, high=70.0)
_BAROMETER = BenchField(name="pressure_kpa", low=50.0, high=115.0)
_HUMIDITY = BenchField(name="humidity_pct", high=100.0)
_BOOST = BenchField(name="manifold_pressure_kpa", kind="manifold_pressure", low=60.0, high=600.0)
_ETHANOLS = tuple(
    BenchField(name=name, high=_PERCENT) for name in ("left_ethanol_pct", "add_ethanol_pct", "wanted_ethanol_pct")
)
_TYRE_HEAT = tuple(BenchField(name=name, low=-40.0, high=200.0) for name in ("cold_c", "hot_c"))

SUMS: Mapping[str, BenchSum] = {
    "day": BenchSum(fields=(_AIR, _BAROMETER, _HUMIDITY), work=lambda _car, _record, given: day_sum(_day(given))),
    "tank": BenchSum(
        fields=(
            BenchField(name="tank_l", low=1.0, high=500.0),
            BenchField(name="left_l", high=500.0),
            *_ETHANOLS,
            BenchField(name="measured", kind="yes", is_needed=False),
        ),
        work=lambda _car, _record, given: _tank(given),
    ),
    "supply": BenchSum(
        fields=(
            BenchField(name="fuel", kind="fuel"),
            _BOOST,
            BenchField(name="engine_rpm", low=500.0, high=20_000.0, is_needed=False),
        ),
        work=lambda car, _record, given: supply_sum(
            car, given["fuel"], given["manifold_pressure_kpa"], given.get("engine_rpm")
        ),
    ),
    "charge": BenchSum(
        fields=(_AIR, _BAROMETER, _HUMIDITY, _BOOST),
        work=lambda car, _record, given: charge_sum(
            _day(given), given["manifold_pressure_kpa"], limit_c=car.guards.charge_air_c
        ),
    ),
    "launch": BenchSum(
        fields=(BenchField(name="launch_rpm", low=500.0, high=20_000.0),),
        work=lambda car, _record, given: launch_sum(car, given["launch_rpm"]),
    ),
    "gearing": BenchSum(
        fields=(BenchField(name="shift_rpm", low=1000.0, high=20_000.0),),
        work=lambda car, _record, given: gearing_sum(car, given["shift_rpm"]),
    ),
    "tyre_hot": BenchSum(
        fields=(BenchField(name="cold_kpa_gauge", kind="tyre_pressure", high=800.0), *_TYRE_HEAT, _BAROMETER),
        work=lambda _car, _record, given: hot_pressure_sum(
            given["cold_kpa_gauge"], given["cold_c"], given["hot_c"], given["pressure_kpa"]
        ),
    ),
    "tyre_cold": BenchSum(
        fields=(BenchField(name="hot_kpa_gauge", kind="tyre_pressure", high=800.0), *_TYRE_HEAT, _BAROMETER),
        work=lambda _car, _record, given: cold_pressure_sum(
            given["hot_kpa_gauge"], given["hot_c"], given["cold_c"], given["pressure_kpa"]
        ),
    ),
    "size": BenchSum(
        fields=(
            BenchField(name="size", kind="text"),
            BenchField(name="instead_of", kind="text", is_needed=False),
        ),
        work=lambda _car, _record, given: size_sum(given["size"], given.get("instead_of")),
    ),
    "hand_over": BenchSum(fields=(), work=lambda car, record, _given: gentle_setup(car, record).worked),
}
"""By name, in the order of the day before."""


def usual_given(car: Car, record: PassRecord | None) -> dict[str, float | str]:
    """What stands in the fields first: of the car, and of its newest pass.

    Parameters
    ----------
    car : Car
        Whose sums they are.
    record : PassRecord or None
        Of its newest pass.

    Returns
    -------
    dict
        By field name; nothing for what nobody can know.
    """
    found: dict[str, float | str] = {
        "tank_l": car.fuel_system.tank_l,
        "engine_rpm": car.engine.rev_limit_rpm,
        "fuel": next(iter(car.fuels)),
        "pressure_kpa": 101.3,
        "air_temperature_c": 20.0,
        "humidity_pct": 50.0,
    }
    if record is None:
        return found
    day, setup = record.conditions, record.setup.values
    found |= {
        "pressure_kpa": day.pressure_kpa,
        "air_temperature_c": day.air_temperature_c,
        "humidity_pct": day.humidity * _PERCENT,
        "cold_c": day.air_temperature_c,
        "manifold_pressure_kpa": max(record.setup.gear_pressure_cap_kpa),
    }
    found |= {
        name: value for name in (FUEL, LAUNCH_RPM, SHIFT_RPM) if isinstance(value := setup.get(name), str | float)
    }
    return found


def worked_sum(car: Car, name: str, given: Given, record: PassRecord | None = None) -> WorkedSum:
    """A sum of the workbench.

    Parameters
    ----------
    car : Car
        Whose sum it is.
    name : str
        One of `SUMS`.
    given : Mapping
        By field name, numbers in the unit of the name.
    record : PassRecord, optional
        Newest pass of the car, for the sums that start from its setup.

    Raises
    ------
    SettingError
        No such sum or field, a field that is missing, or a value that cannot be.
    """
    asked = SUMS.get(name)
    if asked is None:
        raise SettingError(
            phrase("refusal.bench.no_sum"), Where(key=name), phrase("refusal.bench.sums", names=", ".join(SUMS))
        )
    unknown = sorted(set(given) - {field.name for field in asked.fields})
    if unknown:
        names = ", ".join(field.name for field in asked.fields) or phrase("refusal.bench.nothing")
        raise SettingError(
            phrase("refusal.bench.not_asked"), Where(key=unknown[0]), phrase("refusal.bench.asks_for", names=names)
        )
    checked = {field.name: value for field in asked.fields if (value := _checked(car, field, given)) is not None}
    try:
        return asked.work(car, record, checked)
    except NextpassError:
        raise
    except ValueError as error:
        # The sums refuse what cannot be in words of their own.
        raise SettingError(str(error), Where(key=name), phrase("refusal.bench.correct")) from error


def gentle_setup(car: Car, record: PassRecord | None) -> OtherHands:
    """How to set a car, and what to see to, before it is in other hands.

    Parameters
    ----------
    car : Car
        To be handed over.
    record : PassRecord or None
        Its newest pass, whose setup it starts from.

    Raises
    ------
    SettingError
        There is no pass.
    """
    if record is None:
        raise SettingError(phrase("refusal.bench.from_setup"), Where(key="hand_over"), phrase("refusal.jobs.bring_log"))
    return other_hands(car, record.setup)


def _checked(car: Car, field: BenchField, given: Given) -> float | str | bool | None:
    value = given.get(field.name)
    where = Where(key=field.name)
    if value is None or value == "":
        if field.is_needed:
            raise SettingError(phrase("refusal.bench.missing"), where, phrase("refusal.common.write_it"))
        return None
    if field.kind == "yes":
        return str(value).lower() in ("1", "1.0", "yes", "true", "on")
    if field.kind == "fuel" and value not in car.fuels:
        raise SettingError(
            phrase("refusal.bench.no_fuel", value=value),
            where,
            phrase("refusal.bench.fuels", names=", ".join(car.fuels)),
        )
    if field.kind in ("text", "fuel"):
        return str(value)
    try:
        number = float(value)
    except ValueError as error:
        raise SettingError(
            phrase("refusal.bench.no_number", value=value), where, phrase("refusal.common.write_number")
        ) from error
    if not field.low <= number <= field.high:
        raise SettingError(phrase("refusal.bench.beyond", number=number), where, _range_text(field))
    return number


def _range_text(field: BenchField) -> str:
    return (
        phrase("refusal.bench.write_range", low=field.low, high=field.high)
        if math.isfinite(field.high)
        else phrase("refusal.bench.write_least", low=field.low)
    )


def _day(given: Mapping[str, Any]) -> Conditions:
    return Conditions(
        air_temperature_c=given["air_temperature_c"],
        pressure_kpa=given["pressure_kpa"],
        humidity=given["humidity_pct"] / _PERCENT,
        track_temperature_c=given["air_temperature_c"],
    )


def _tank(given: Mapping[str, Any]) -> WorkedSum:
    plus_minus = MEASURED_SHARE if given.get("measured") else PUMP_SHARE
    left, added = (
        Estimate(value=given[name] / _PERCENT, plus_minus=plus_minus)
        for name in ("left_ethanol_pct", "add_ethanol_pct")
    )
    return blend_sum(given["tank_l"], given["left_l"], left, added, given["wanted_ethanol_pct"] / _PERCENT)
