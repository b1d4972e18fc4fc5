"""A car from the few answers that an owner has at hand, to be made better by hand and by passes.

What the owner does not say has a usual value, and its key is listed as unsure so that the file marks it. The limits are
cautious: a fuel may be driven at no more pressure than the torque was given at, unless the owner names one.
"""

import math
import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass, fields
from typing import Literal

from nextpass.car import FUEL, GEAR_PRESSURE_CAP, LAUNCH_PRESSURE, LAUNCH_RPM, SHIFT_RPM, Car
from nextpass.errors import CarFileError, Where
from nextpass.files.car_file import car_of
from nextpass.files.document import Document
from nextpass.words import phrase

Drive = Literal["all", "rear", "front"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CarAnswers:
    """What an owner says of a car, in the units of the car file; the defaults are a usual strip car (common practice).

    Parameters
    ----------
    drive : {"all", "rear", "front"}
        The driven axles.
    gears : tuple of float
        The gear ratios, or one number from 4 to 10: how many gears there are.
    torque_nm, pressure_kpa : float
        Peak torque at the crank, and the absolute manifold pressure at which the engine makes it.
    pumps_l_h : tuple of float
        Flow of each fuel pump in staging order; the first is taken to be driven by duty.
    fuels : tuple of str
        Each ``NAME``, ``NAME:MAX_KPA`` or ``NAME:MAX_KPA:ETHANOL_PCT:RON``; names such as ``E85`` and ``road98`` say
        what is in them.
    """

    name: str
    mass_kg: float = 1700
    drive: Drive = "all"
    gears: tuple[float, ...] = (6,)
    final_drive: float = 3.7
    tyre_size: str = "285/35R20"
    displacement_l: float = 3.0
    cylinders: int = 6
    torque_nm: float = 600
    pressure_kpa: float = 200
    rev_limit_rpm: float = 7000
    clutch_nm: float = 800
    injector_cc_min: float = 900
    pumps_l_h: tuple[float, ...] = (255,)
    fuels: tuple[str, ...] = ("road98",)


# The keys of the file that each answer decides.
_KEYS: Mapping[str, tuple[str, ...]] = {
    "mass_kg": ("chassis.mass_kg",),
    "drive": ("driveline.front_drive_share",),
    "gears": ("driveline.gear_ratios",),
    "final_drive": ("driveline.final_drive",),
    "tyre_size": ("tyres.size",),
    "displacement_l": ("engine.displacement_l",),
    "cylinders": ("engine.cylinders", "fuel_system.injector_count"),
    "torque_nm": ("engine.full_load_torque_nm",),
    "pressure_kpa": ("engine.reference_pressure_kpa",),
    "rev_limit_rpm": ("engine.rev_limit_rpm",),
    "clutch_nm": ("clutch.torque_capacity_nm",),
    "injector_cc_min": ("fuel_system.injector_flow_cc_min",),
    "pumps_l_h": ("fuel_system.pumps",),
    "fuels": (),
}
# Nobody is asked for these: a curve needs a dynamometer, a wheelbase a tape, and what can be set a look at the car.
_NEVER_SAID = (
    "chassis.wheelbase_m",
    "engine.full_load_torque_nm",
    *(f"adjusters.{name}" for name in (LAUNCH_RPM, LAUNCH_PRESSURE, GEAR_PRESSURE_CAP, SHIFT_RPM)),
)
_WHEELBASE_M = 2.75
# Of the torque that an all-wheel drive sends to the front (common practice); the other two are what the words mean.
_FRONT_DRIVE_SHARE: Mapping[Drive, float] = {"all": 0.4, "rear": 0.0, "front": 1.0}
# Full-load torque of a turbocharged engine: shares of the rev limit and of the peak (common practice).
_TORQUE_SHAPE = ((0.21, 0.48), (0.35, 0.76), (0.49, 0.97), (0.62, 1.0), (0.76, 0.95), (0.90, 0.87), (1.0, 0.76))
# First and last ratio of a dual-clutch box: the steps grow smaller towards the top (common practice).
_FIRST_GEAR, _TOP_GEAR, _CLOSING_UP = 4.0, 0.8, 0.75


def new_car(answers: CarAnswers, said: Collection[str]) -> tuple[Car, frozenset[str]]:
    """A car from a few answers.

    Parameters
    ----------
    answers : CarAnswers
        What the owner says, with the usual values where they say nothing.
    said : collection of str
        Names of the answers that the owner gave.

    Returns
    -------
    car : Car
        Sound by the rules of the car file.
    unsure : frozenset of str
        Dotted keys whose value the owner has not confirmed.

    Raises
    ------
    CarFileError
        An answer is not possible for a car.
    """
    _refuse_boundless(answers)
    fuels, unsure = _fuels(answers, is_said="fuels" in said)
    car, faults = car_of(Document(file=None, values=_values(answers, fuels), lines={}))
    if car is None:
        raise faults[0]
    unsure |= {key for name, keys in _KEYS.items() if name not in said for key in keys}
    if answers.drive == "all":
        unsure.add("driveline.front_drive_share")
    if len(answers.gears) == 1:
        unsure.add("driveline.gear_ratios")
    return car, frozenset(unsure | set(_NEVER_SAID))


def _refuse_boundless(answers: CarAnswers) -> None:
    for field in fields(answers):
        value = getattr(answers, field.name)
        numbers = value if isinstance(value, tuple) else (value,)
        if any(isinstance(number, float) and not math.isfinite(number) for number in numbers):
            raise CarFileError(
                phrase("refusal.value.unusable", shown=value), Where(key=field.name), phrase("refusal.value.plain")
            )


def _values(answers: CarAnswers, fuels: Mapping[str, Mapping[str, float]]) -> dict[str, object]:
    """The values of the car file; what is impossible stays, for the reader of the file to refuse."""
    pumps = [
        {"name": f"pump {place}", "drive": "duty" if place == 1 else "on_off", "flow_l_h": flow}
        for place, flow in enumerate(answers.pumps_l_h, start=1)
    ]
    torque = [[round(share * answers.rev_limit_rpm), round(part * answers.torque_nm)] for share, part in _TORQUE_SHAPE]
    return {
        "car": {"name": answers.name},
        "chassis": {"mass_kg": answers.mass_kg, "wheelbase_m": _WHEELBASE_M},
        "tyres": {"size": answers.tyre_size},
        "driveline": {
            "gear_ratios": _gear_ratios(answers.gears),
            "final_drive": answers.final_drive,
            "front_drive_share": _FRONT_DRIVE_SHARE[answers.drive],
        },
        "clutch": {"torque_capacity_nm": answers.clutch_nm},
        "engine": {
            "displacement_l": answers.displacement_l,
            "cylinders": answers.cylinders,
            "rev_limit_rpm": answers.rev_limit_rpm,
            "reference_pressure_kpa": answers.pressure_kpa,
            "full_load_torque_nm": torque,
        },
        "fuel_system": {
            "injector_count": answers.cylinders,
            "injector_flow_cc_min": answers.injector_cc_min,
            "pumps": pumps,
        },
        "fuels": fuels,
        "adjusters": _adjusters(answers.rev_limit_rpm, fuels),
    }


def _gear_ratios(gears: tuple[float, ...]) -> list[float]:
    """The ratios that were given, or usual ones for a number of gears."""
    if len(gears) != 1 or not 2 <= gears[0] <= 20:
        return list(gears)
    steps = int(gears[0]) - 1
    span = _TOP_GEAR / _FIRST_GEAR
    return [round(_FIRST_GEAR * span ** ((place / steps) ** _CLOSING_UP), 2) for place in range(steps + 1)]


_ETHANOL_BLEND = re.compile(r"E(\d{1,3})", re.IGNORECASE)
_ROAD_FUEL = re.compile(r"\D+(\d{2,3})")
# Ethanol in road petrol (EN 228, memory), and the octane that strip blends are sold with (common practice).
_ROAD_ETHANOL_PCT, _BLEND_OCTANE_RON = 5.0, 106.0


def _fuels(answers: CarAnswers, *, is_said: bool) -> tuple[dict[str, dict[str, float]], set[str]]:
    """The fuels' tables, and the keys in them that the owner did not say."""
    tables: dict[str, dict[str, float]] = {}
    unsure: set[str] = set()
    for said in answers.fuels:
        name, *figures = (part.strip() for part in said.split(":"))
        table = {"manifold_pressure_max_kpa": answers.pressure_kpa, **_content(name)}
        keys = ("manifold_pressure_max_kpa", "ethanol_pct", "octane_ron")
        try:
            table.update({key: _finite(figure) for key, figure in zip(keys, figures, strict=False)})
        except ValueError as error:
            raise CarFileError(
                phrase("refusal.files.fuel_figure", said=said), Where(key="fuel"), _FUEL_FORMS
            ) from error
        if not name or len(figures) > len(keys) or len(table) < len(keys):
            raise CarFileError(phrase("refusal.files.fuel_unsaid", said=said), Where(key="fuel"), _FUEL_FORMS)
        tables[name] = table
        known = keys[: len(figures)] if is_said else ()
        unsure |= {f"fuels.{name}.{key}" for key in keys if key not in known}
    return tables, unsure


def _finite(figure: str) -> float:
    number = float(figure)
    if not math.isfinite(number):
        raise ValueError(figure)
    return number


_FUEL_FORMS = phrase("refusal.files.fuel_forms")


def _content(name: str) -> dict[str, float]:
    """What a name says of a fuel: ``E85`` its ethanol, ``road98`` its octane number."""
    if blend := _ETHANOL_BLEND.fullmatch(name):
        return {"ethanol_pct": float(blend[1]), "octane_ron": _BLEND_OCTANE_RON}
    if road := _ROAD_FUEL.fullmatch(name):
        return {"ethanol_pct": _ROAD_ETHANOL_PCT, "octane_ron": float(road[1])}
    return {}


def _adjusters(rev_limit_rpm: float, fuels: Mapping[str, Mapping[str, float]]) -> dict[str, object]:
    """What can usually be set: the owner checks it against the car's own interface."""
    limits_kpa = [fuel["manifold_pressure_max_kpa"] for fuel in fuels.values()] or [0.0]
    least_kpa, most_kpa = min(100.0, 5.0 * (min(limits_kpa) // 5.0)), max(limits_kpa)

    def number(low: float, high: float, step: float) -> dict[str, object]:
        return {"kind": "number", "min": low, "max": low + max(0, int((high - low) // step)) * step, "step": step}

    return {
        LAUNCH_RPM: number(2000, min(5000, rev_limit_rpm), 100),
        LAUNCH_PRESSURE: number(least_kpa, min(200.0, most_kpa), 5),
        GEAR_PRESSURE_CAP: {**number(least_kpa, most_kpa, 5), "per_gear": True},
        SHIFT_RPM: number(rev_limit_rpm - 1500, rev_limit_rpm, 50),
        FUEL: {"kind": "choice", "values": list(fuels)},
    }
