"""The car as its owner describes it: chassis, tyres, driveline, clutch, engine, fuel supply, fuels.

The fields carry the names of the car file, except that percentages are ratios 0..1 and kilojoules are joules. What
the passes say about the car stands in `nextpass.fit`, never here.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from nextpass.car.adjuster import Adjuster
from nextpass.car.guard import Guards


@dataclass(frozen=True, slots=True, kw_only=True)
class Chassis:
    """Mass and its place, drag and rolling resistance; `front_weight_share` is static, 0..1."""

    mass_kg: float
    wheelbase_m: float
    cg_height_m: float
    front_weight_share: float
    drag_area_m2: float
    rolling_resistance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Tyres:
    """First guess of the tyre, which the passes correct; `peak_slip` is the slip ratio of the greatest pull.

    `size` is as on the side wall where the radius was taken from it, else empty.
    """

    rolling_radius_m: float
    peak_friction: float
    peak_slip: float
    size: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Driveline:
    """Ratios and losses; `front_drive_share` is the part of the driving torque that goes to the front axle."""

    gear_ratios: tuple[float, ...]
    final_drive: float
    efficiency: float
    front_drive_share: float
    shift_time_s: float
    engine_inertia_kgm2: float
    wheel_inertia_kgm2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Clutch:
    """Torque that each pack holds (one value, or A and B), and the heat that one launch puts into a kelvin."""

    torque_capacity_nm: tuple[float, ...]
    heat_capacity_j_per_k: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Engine:
    """Full-load torque over rpm at the reference manifold pressure, and how fast pressure comes."""

    displacement_l: float
    cylinders: int
    idle_rpm: float
    rev_limit_rpm: float
    reference_pressure_kpa: float
    full_load_torque_nm: tuple[tuple[float, float], ...]
    boost_threshold_rpm: float
    boost_rise_time_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Pump:
    """One fuel pump, in staging order; `flow_l_h` at the rated pressure, 0 where the car has none fitted."""

    name: str
    drive: Literal["duty", "on_off"]
    flow_l_h: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FuelSystem:
    """Injectors, the differential pressure of their rating, the tank, the pumps."""

    injector_count: int
    injector_flow_cc_min: float
    rated_pressure_kpa: float
    tank_l: float
    pumps: tuple[Pump, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fuel:
    """A fuel that the car has a calibration for; `ethanol` is the volume share 0..1."""

    name: str
    ethanol: float
    octane_ron: float
    manifold_pressure_max_kpa: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumed:
    """A value that the car file leaves open and a documented default fills.

    Parameters
    ----------
    key : str
        Dotted key of the car file.
    shown : str
        The value with its unit, as text.
    origin : str
        Where the default comes from.
    """

    key: str
    shown: str
    origin: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Car:
    """One car: what does not change from pass to pass, its limits and what can be set at the track.

    Parameters
    ----------
    name : str
        The owner's name for it.
    fuels : Mapping[str, Fuel]
        By name; at least one.
    guards : Guards
        Limits that a plan never crosses.
    adjusters : Mapping[str, Adjuster]
        What can be set at the track, by name, in the order of the file.
    assumed : tuple of Assumed
        The values that a default filled.
    thresholds : Mapping[str, float]
        Thresholds of findings that this car's file changes, by their documented name.
    """

    name: str
    chassis: Chassis
    tyres: Tyres
    driveline: Driveline
    clutch: Clutch
    engine: Engine
    fuel_system: FuelSystem
    fuels: Mapping[str, Fuel]
    guards: Guards
    adjusters: Mapping[str, Adjuster]
    assumed: tuple[Assumed, ...]
    thresholds: Mapping[str, float]

    @property
    def gear_count(self) -> int:
        """Number of forward gears."""
        return len(self.driveline.gear_ratios)
