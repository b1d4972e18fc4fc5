"""The keys of a car file: unit, range and default of each, as data; what each means stands with the words.

The ranges hold every car that the program is for with room to spare: they catch a slipped unit or digit, not an unusual
car. What is unusual but possible is `car check`'s to question.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from nextpass.car import DEFAULTS, FUEL, GEAR_PRESSURE_CAP, LAUNCH_PRESSURE, LAUNCH_RPM, SHIFT_RPM, AdjusterKind
from nextpass.files.keys import Key, KeyKind, Table
from nextpass.words import phrase


def _number(
    path: str,
    example: float,
    unit: str,
    low: float,
    high: float,
    bound: str,
    *,
    kind: KeyKind = "number",
    inside: str = "",
    field: str = "",
    counts: tuple[int, int] = (1, 1_000),
) -> Key:
    default = DEFAULTS.get(path)
    return Key(
        name=path.rpartition(".")[2],
        kind=kind,
        meaning=phrase(f"file_key.{path}"),
        example=example,
        unit=unit,
        inside=inside,
        low=low,
        high=high,
        bound=phrase(f"file_key.bound.{bound}"),
        field=field,
        counts=counts,
        default=default,
        required=default is None,
    )


CAR = Table(
    name="car",
    meaning="The car",
    keys=(Key(name="name", kind="text", meaning=phrase("file_key.car.name"), example="Harrow wagon"),),
)

CHASSIS = Table(
    name="chassis",
    meaning="Mass, its place, and what resists",
    keys=(
        _number("chassis.mass_kg", 1795, "kg", 300, 5000, "with_driver"),
        _number("chassis.wheelbase_m", 2.78, "m", 1.5, 4.5, "four_wheels"),
        _number("chassis.cg_height_m", 0.50, "m", 0.15, 1.2, "racers_to_vans"),
        _number("chassis.front_weight_share", 0.54, "", 0.2, 0.8, "share"),
        _number("chassis.drag_area_m2", 0.62, "m2", 0.1, 2.5, "streamliners_to_vans"),
        _number("chassis.rolling_resistance", 0.014, "", 0.003, 0.06, "hard_surface"),
    ),
)

TYRES = Table(
    name="tyres",
    meaning="The tyres; friction and slip are a first guess that the passes correct",
    keys=(
        Key(
            name="rolling_radius_m",
            kind="number",
            meaning=phrase("file_key.tyres.rolling_radius_m"),
            example=0.347,
            unit="m",
            low=0.2,
            high=0.6,
            bound=phrase("file_key.bound.tyres"),
            required=False,
        ),
        Key(
            name="size",
            kind="text",
            meaning=phrase("file_key.tyres.size"),
            example="285/35R20",
            required=False,
        ),
        _number("tyres.peak_friction", 1.15, "", 0.3, 4.0, "wet_to_slicks"),
        _number("tyres.peak_slip", 0.12, "", 0.02, 0.5, "radials_to_slicks"),
    ),
)

DRIVELINE = Table(
    name="driveline",
    meaning="From the engine to the wheels",
    keys=(
        Key(
            name="gear_ratios",
            kind="numbers",
            meaning=phrase("file_key.driveline.gear_ratios"),
            example=[4.06, 2.30, 1.59, 1.25, 1.00, 0.80],
            low=0.2,
            high=12,
            bound=phrase("file_key.bound.gears"),
            counts=(4, 10),
        ),
        _number("driveline.final_drive", 3.70, "", 1.0, 10, "final_drives"),
        _number("driveline.efficiency", 0.88, "", 0.5, 1.0, "share"),
        _number("driveline.front_drive_share", 0.40, "", 0.0, 1.0, "drive_share"),
        _number("driveline.shift_time_s", 0.12, "s", 0.0, 2.0, "seamless_to_slow"),
        _number("driveline.engine_inertia_kgm2", 0.20, "kg m2", 0.01, 3.0, "small_to_large_engines"),
        _number("driveline.wheel_inertia_kgm2", 1.5, "kg m2", 0.1, 15, "light_to_truck_wheels"),
    ),
)

CLUTCH = Table(
    name="clutch",
    meaning="The clutch packs",
    keys=(
        _number(
            "clutch.torque_capacity_nm", 980, "N m", 50, 10000, "clutches", kind="number_or_numbers", counts=(1, 2)
        ),
        _number("clutch.heat_capacity_j_per_k", 6000, "J/K", 200, 100000, "clutch_steel"),
    ),
)

ENGINE = Table(
    name="engine",
    meaning="The engine",
    keys=(
        _number("engine.displacement_l", 3.6, "l", 0.3, 12, "engines"),
        _number("engine.cylinders", 6, "", 1, 16, "engines", kind="whole"),
        _number("engine.idle_rpm", 850, "rpm", 300, 3000, "engines"),
        _number("engine.rev_limit_rpm", 7200, "rpm", 3000, 14000, "engines"),
        _number("engine.reference_pressure_kpa", 200, "kPa", 60, 600, "manifold_pressures"),
        Key(
            name="full_load_torque_nm",
            kind="points",
            meaning=phrase("file_key.engine.full_load_torque_nm"),
            example=[[1500, 330], [2500, 520], [3500, 660], [4500, 680], [5500, 650], [6500, 590], [7200, 520]],
            unit="N m",
            low=1,
            high=5000,
            bound=phrase("file_key.bound.engines"),
            counts=(2, 200),
        ),
        _number("engine.boost_threshold_rpm", 2600, "rpm", 800, 10000, "turbochargers"),
        _number("engine.boost_rise_time_s", 0.45, "s", 0.02, 5.0, "electric_to_large_turbochargers"),
    ),
)

FUEL_SYSTEM = Table(
    name="fuel_system",
    meaning="Injectors, tank and pumps",
    keys=(
        _number("fuel_system.injector_count", 6, "", 1, 32, "engines", kind="whole"),
        _number("fuel_system.injector_flow_cc_min", 1050, "cc/min", 50, 6000, "injectors"),
        _number("fuel_system.rated_pressure_kpa", 300, "kPa", 100, 40000, "port_to_direct"),
        _number("fuel_system.tank_l", 70, "l", 1, 300, "tanks"),
        Key(
            name="pumps",
            kind="tables",
            meaning=phrase("file_key.fuel_system.pumps"),
            example=[{"name": "main", "drive": "duty", "flow_l_h": 255}],
            counts=(1, 8),
            keys=(
                Key(name="name", kind="text", meaning=phrase("file_key.pumps.name"), example="main"),
                Key(
                    name="drive",
                    kind="choice",
                    choices=("duty", "on_off"),
                    meaning=phrase("file_key.pumps.drive"),
                    example="duty",
                ),
                Key(
                    name="flow_l_h",
                    kind="number",
                    unit="l/h",
                    low=0,
                    high=2000,
                    bound=phrase("file_key.bound.pumps"),
                    meaning=phrase("file_key.pumps.flow_l_h"),
                    example=255,
                ),
            ),
        ),
    ),
)

ONE_FUEL = Table(
    name="fuels",
    meaning="A fuel that the car has a calibration for",
    keys=(
        _number("fuels.ethanol_pct", 60, "%", 0, 100, "volume_share", inside="fraction", field="ethanol"),
        _number("fuels.octane_ron", 106, "", 80, 130, "spark_fuels"),
        _number("fuels.manifold_pressure_max_kpa", 260, "kPa", 80, 600, "manifold_pressures"),
    ),
)

GUARDS = Table(
    name="guards",
    meaning="Limits that a plan never crosses, at the pessimistic end of its own forecast",
    required=False,
    keys=(
        _number(
            "guards.injector_duty_pct",
            90,
            "%",
            20,
            100,
            "injector_never_closes",
            inside="fraction",
            field="injector_duty",
        ),
        _number("guards.knock_retard_deg", 3.0, "°", 0, 15, "no_engine_safe"),
        _number("guards.wot_lambda_max", 0.90, "", 0.6, 1.05, "full_load_mixtures"),
        _number("guards.clutch_energy_kj", 260, "kJ", 1, 3000, "launches", inside="J", field="clutch_energy_j"),
        _number("guards.gearbox_oil_c", 120, "°C", 40, 180, "gearbox_oils"),
        _number("guards.charge_air_c", 70, "°C", 10, 150, "charge_air"),
        _number(
            "guards.rail_pressure_drop_pct",
            10,
            "%",
            1,
            60,
            "mixture_lost",
            inside="fraction",
            field="rail_pressure_drop",
        ),
        _number("guards.pressure_step_kpa", 40, "kPa", 1, 200, "steps"),
    ),
)

ADJUSTER_KIND = Key(
    name="kind",
    kind="choice",
    choices=("number", "choice", "switch", "momentary"),
    meaning=phrase("file_key.adjuster.kind"),
    example="number",
)
# The keys of an adjuster, by its kind.
ADJUSTER_KEYS: Mapping[str, tuple[Key, ...]] = {
    "number": (
        ADJUSTER_KIND,
        Key(name="min", kind="number", meaning=phrase("file_key.adjuster.min"), example=2200, field="minimum"),
        Key(name="max", kind="number", meaning=phrase("file_key.adjuster.max"), example=5200, field="maximum"),
        Key(name="step", kind="number", meaning=phrase("file_key.adjuster.step"), example=100),
        Key(name="per_gear", kind="flag", meaning=phrase("file_key.adjuster.per_gear"), example=True, required=False),
    ),
    "choice": (
        ADJUSTER_KIND,
        Key(name="values", kind="names", meaning=phrase("file_key.adjuster.values"), example=["road98", "E60"]),
    ),
    "switch": (ADJUSTER_KIND,),
    "momentary": (ADJUSTER_KIND,),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelledAdjuster:
    """What an adjuster that the simulation understands has to be: its kind, and the range of a number."""

    kind: AdjusterKind
    meaning: str
    per_gear: bool = False
    unit: str = ""
    low: float = -math.inf
    high: float = math.inf
    bound: str = ""


MODELLED_ADJUSTERS: Mapping[str, ModelledAdjuster] = {
    LAUNCH_RPM: ModelledAdjuster(
        kind="number",
        meaning=phrase("file_key.modelled.launch_rpm"),
        unit="rpm",
        low=500,
        high=14000,
        bound=phrase("file_key.bound.engines"),
    ),
    LAUNCH_PRESSURE: ModelledAdjuster(
        kind="number",
        meaning=phrase("file_key.modelled.launch_pressure_kpa"),
        unit="kPa",
        low=30,
        high=600,
        bound=phrase("file_key.bound.manifold_pressures"),
    ),
    GEAR_PRESSURE_CAP: ModelledAdjuster(
        kind="number",
        meaning=phrase("file_key.modelled.gear_pressure_cap_kpa"),
        per_gear=True,
        unit="kPa",
        low=50,
        high=600,
        bound=phrase("file_key.bound.manifold_pressures"),
    ),
    SHIFT_RPM: ModelledAdjuster(
        kind="number",
        meaning=phrase("file_key.modelled.shift_rpm"),
        unit="rpm",
        low=2000,
        high=14000,
        bound=phrase("file_key.bound.engines"),
    ),
    FUEL: ModelledAdjuster(kind="choice", meaning=phrase("file_key.modelled.fuel")),
}

# In the order in which a car file is written; the tables below `NAMED_TABLES` carry names of the owner's choice.
CAR_TABLES = (CAR, CHASSIS, TYRES, DRIVELINE, CLUTCH, ENGINE, FUEL_SYSTEM, GUARDS)
NAMED_TABLES = ("fuels", "adjusters", "thresholds")
