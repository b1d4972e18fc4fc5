"""The keys of a car file: meaning, unit, range and default of each, as data.

The ranges hold every car that the program is for with room to spare: they catch a slipped unit or digit, not an unusual
car. What is unusual but possible is `car check`'s to question.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from nextpass.car import DEFAULTS, FUEL, GEAR_PRESSURE_CAP, LAUNCH_PRESSURE, LAUNCH_RPM, SHIFT_RPM, AdjusterKind
from nextpass.files.keys import Key, KeyKind, Table


def _number(
    path: str,
    example: float,
    unit: str,
    low: float,
    high: float,
    bound: str,
    meaning: str,
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
        meaning=meaning,
        example=example,
        unit=unit,
        inside=inside,
        low=low,
        high=high,
        bound=bound,
        field=field,
        counts=counts,
        default=default,
        required=default is None,
    )


CAR = Table(
    name="car",
    meaning="The car",
    keys=(Key(name="name", kind="text", meaning="your name for it", example="Harrow wagon"),),
)

CHASSIS = Table(
    name="chassis",
    meaning="Mass, its place, and what resists",
    keys=(
        _number(
            "chassis.mass_kg", 1795, "kg", 300, 5000, "a car with its driver", "as raced: driver, fuel, everything"
        ),
        _number("chassis.wheelbase_m", 2.78, "m", 1.5, 4.5, "cars on four wheels", "front axle to rear axle"),
        _number(
            "chassis.cg_height_m", 0.50, "m", 0.15, 1.2, "racing cars to vans", "centre of gravity above the ground"
        ),
        _number(
            "chassis.front_weight_share",
            0.54,
            "",
            0.2,
            0.8,
            "a share of 1, not of 100",
            "static share of the weight on the front axle, 0..1",
        ),
        _number(
            "chassis.drag_area_m2", 0.62, "m2", 0.1, 2.5, "streamliners to vans", "drag coefficient x frontal area"
        ),
        _number(
            "chassis.rolling_resistance",
            0.014,
            "",
            0.003,
            0.06,
            "tyres on a hard surface",
            "rolling force as a share of the weight",
        ),
    ),
)

TYRES = Table(
    name="tyres",
    meaning="The tyres; friction and slip are a first guess that the passes correct",
    keys=(
        Key(
            name="rolling_radius_m",
            kind="number",
            meaning="loaded, rolling; or give size instead",
            example=0.347,
            unit="m",
            low=0.2,
            high=0.6,
            bound="tyres of cars",
            required=False,
        ),
        Key(
            name="size",
            kind="text",
            meaning="of the driven wheels, as on the side wall, instead of rolling_radius_m",
            example="285/35R20",
            required=False,
        ),
        _number("tyres.peak_friction", 1.15, "", 0.3, 4.0, "wet asphalt to drag slicks", "greatest pull over load"),
        _number(
            "tyres.peak_slip", 0.12, "", 0.02, 0.5, "radials to soft slicks", "slip ratio at which it pulls hardest"
        ),
    ),
)

DRIVELINE = Table(
    name="driveline",
    meaning="From the engine to the wheels",
    keys=(
        Key(
            name="gear_ratios",
            kind="numbers",
            meaning="first gear first, 4 to 10 gears",
            example=[4.06, 2.30, 1.59, 1.25, 1.00, 0.80],
            low=0.2,
            high=12,
            bound="gears of car gearboxes",
            counts=(4, 10),
        ),
        _number("driveline.final_drive", 3.70, "", 1.0, 10, "final drives of cars", "final drive ratio"),
        _number(
            "driveline.efficiency",
            0.88,
            "",
            0.5,
            1.0,
            "a share of 1, not of 100",
            "share of the engine's torque that reaches the wheels",
        ),
        _number(
            "driveline.front_drive_share",
            0.40,
            "",
            0.0,
            1.0,
            "0 is rear drive, 1 front drive",
            "share of the driving torque on the front axle: 0 rear drive, 1 front drive",
        ),
        _number(
            "driveline.shift_time_s",
            0.12,
            "s",
            0.0,
            2.0,
            "seamless to slow",
            "how long torque is missing in an upshift",
        ),
        _number(
            "driveline.engine_inertia_kgm2",
            0.20,
            "kg m2",
            0.01,
            3.0,
            "small to very large engines",
            "crank, flywheel and clutch drum",
        ),
        _number(
            "driveline.wheel_inertia_kgm2",
            1.5,
            "kg m2",
            0.1,
            15,
            "light wheels to truck wheels",
            "one wheel with its brake and its share of shafts",
        ),
    ),
)

CLUTCH = Table(
    name="clutch",
    meaning="The clutch packs",
    keys=(
        _number(
            "clutch.torque_capacity_nm",
            980,
            "N m",
            50,
            10000,
            "clutches of cars",
            "torque that it holds: one value, or [A, B] for two packs",
            kind="number_or_numbers",
            counts=(1, 2),
        ),
        _number(
            "clutch.heat_capacity_j_per_k",
            6000,
            "J/K",
            200,
            100000,
            "half a kilogram to 200 kg of steel",
            "steel and oil that take the heat of one launch",
        ),
    ),
)

ENGINE = Table(
    name="engine",
    meaning="The engine",
    keys=(
        _number("engine.displacement_l", 3.6, "l", 0.3, 12, "engines of cars", "swept volume"),
        _number("engine.cylinders", 6, "", 1, 16, "engines of cars", "number of cylinders", kind="whole"),
        _number("engine.idle_rpm", 850, "rpm", 300, 3000, "engines of cars", "warm idle"),
        _number("engine.rev_limit_rpm", 7200, "rpm", 3000, 14000, "engines of cars", "where the limiter cuts"),
        _number(
            "engine.reference_pressure_kpa",
            200,
            "kPa",
            60,
            600,
            "absolute manifold pressures",
            "manifold pressure of the curve below, absolute",
        ),
        Key(
            name="full_load_torque_nm",
            kind="points",
            meaning="[rpm, N m at the crank] at reference_pressure_kpa, rpm rising",
            example=[[1500, 330], [2500, 520], [3500, 660], [4500, 680], [5500, 650], [6500, 590], [7200, 520]],
            unit="N m",
            low=1,
            high=5000,
            bound="engines of cars",
            counts=(2, 200),
        ),
        _number(
            "engine.boost_threshold_rpm",
            2600,
            "rpm",
            800,
            10000,
            "turbochargers of car engines",
            "below it the turbocharger cannot hold its target",
        ),
        _number(
            "engine.boost_rise_time_s",
            0.45,
            "s",
            0.02,
            5.0,
            "electric assistance to very large turbochargers",
            "10-90 % at 4000 rpm, full load",
        ),
    ),
)

FUEL_SYSTEM = Table(
    name="fuel_system",
    meaning="Injectors, tank and pumps",
    keys=(
        _number("fuel_system.injector_count", 6, "", 1, 32, "engines of cars", "number of injectors", kind="whole"),
        _number(
            "fuel_system.injector_flow_cc_min",
            1050,
            "cc/min",
            50,
            6000,
            "injectors of car engines",
            "static flow of one at rated_pressure_kpa",
        ),
        _number(
            "fuel_system.rated_pressure_kpa",
            300,
            "kPa",
            100,
            40000,
            "port to direct injection",
            "pressure across the injector at that flow",
        ),
        _number("fuel_system.tank_l", 70, "l", 1, 300, "tanks of cars", "tank volume"),
        Key(
            name="pumps",
            kind="tables",
            meaning="fuel pumps in staging order",
            example=[{"name": "main", "drive": "duty", "flow_l_h": 255}],
            counts=(1, 8),
            keys=(
                Key(name="name", kind="text", meaning="your name for it", example="main"),
                Key(
                    name="drive",
                    kind="choice",
                    choices=("duty", "on_off"),
                    meaning="driven by duty, or switched on and off",
                    example="duty",
                ),
                Key(
                    name="flow_l_h",
                    kind="number",
                    unit="l/h",
                    low=0,
                    high=2000,
                    bound="pumps of cars; 0 where none is fitted",
                    meaning="at the rated pressure and running voltage; 0 where none is fitted",
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
        _number(
            "fuels.ethanol_pct",
            60,
            "%",
            0,
            100,
            "a share of the volume",
            "ethanol by volume",
            inside="fraction",
            field="ethanol",
        ),
        _number("fuels.octane_ron", 106, "", 80, 130, "fuels for spark ignition", "research octane number"),
        _number(
            "fuels.manifold_pressure_max_kpa",
            260,
            "kPa",
            80,
            600,
            "absolute manifold pressures",
            "most that this fuel is calibrated for, absolute",
        ),
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
            "at 100 % the injector never closes",
            "injector duty",
            inside="fraction",
            field="injector_duty",
        ),
        _number("guards.knock_retard_deg", 3.0, "°", 0, 15, "beyond it no engine is safe", "timing taken out by knock"),
        _number("guards.wot_lambda_max", 0.90, "", 0.6, 1.05, "mixtures at full load", "leanest mixture at full load"),
        _number(
            "guards.clutch_energy_kj",
            260,
            "kJ",
            1,
            3000,
            "launches of cars",
            "heat put into the clutch by one launch",
            inside="J",
            field="clutch_energy_j",
        ),
        _number("guards.gearbox_oil_c", 120, "°C", 40, 180, "gearbox oils", "gearbox oil temperature"),
        _number("guards.charge_air_c", 70, "°C", 10, 150, "charge air at full load", "charge air temperature"),
        _number(
            "guards.rail_pressure_drop_pct",
            10,
            "%",
            1,
            60,
            "beyond it the mixture is lost",
            "fall of rail pressure below its target",
            inside="fraction",
            field="rail_pressure_drop",
        ),
        _number(
            "guards.pressure_step_kpa",
            40,
            "kPa",
            1,
            200,
            "steps from pass to pass",
            "most by which a plan goes above the highest pressure that a pass has shown clean",
        ),
    ),
)

ADJUSTER_KIND = Key(
    name="kind",
    kind="choice",
    choices=("number", "choice", "switch", "momentary"),
    meaning="number, choice, switch (on or off) or momentary (held by hand, noted only)",
    example="number",
)
# The keys of an adjuster, by its kind.
ADJUSTER_KEYS: Mapping[str, tuple[Key, ...]] = {
    "number": (
        ADJUSTER_KIND,
        Key(name="min", kind="number", meaning="least value", example=2200, field="minimum"),
        Key(name="max", kind="number", meaning="greatest value", example=5200, field="maximum"),
        Key(name="step", kind="number", meaning="from one value to the next", example=100),
        Key(name="per_gear", kind="flag", meaning="one value a gear", example=True, required=False),
    ),
    "choice": (
        ADJUSTER_KIND,
        Key(name="values", kind="names", meaning="what can be chosen", example=["road98", "E60"]),
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
        meaning="engine speed held at the line",
        unit="rpm",
        low=500,
        high=14000,
        bound="engines of cars",
    ),
    LAUNCH_PRESSURE: ModelledAdjuster(
        kind="number",
        meaning="manifold pressure held at the line and until the clutch is closed, absolute",
        unit="kPa",
        low=30,
        high=600,
        bound="absolute manifold pressures",
    ),
    GEAR_PRESSURE_CAP: ModelledAdjuster(
        kind="number",
        meaning="most manifold pressure in each gear, absolute",
        per_gear=True,
        unit="kPa",
        low=50,
        high=600,
        bound="absolute manifold pressures",
    ),
    SHIFT_RPM: ModelledAdjuster(
        kind="number", meaning="engine speed of the upshifts", unit="rpm", low=2000, high=14000, bound="engines of cars"
    ),
    FUEL: ModelledAdjuster(kind="choice", meaning="the fuel in the tank, one of [fuels]"),
}

# In the order in which a car file is written; the tables below `NAMED_TABLES` carry names of the owner's choice.
CAR_TABLES = (CAR, CHASSIS, TYRES, DRIVELINE, CLUTCH, ENGINE, FUEL_SYSTEM, GUARDS)
NAMED_TABLES = ("fuels", "adjusters", "thresholds")
