"""Every value that stands in for one which the car file leaves open, in one table, each with its origin.

`review` and `plan` list those that they used as *assumed*. Guards have the cautious value, the rest the usual one. What
no default could stand for (mass, ratios, torque curve, injectors, pumps, fuels) has none: the file must say it.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from nextpass.words import phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class Default:
    """A value that is assumed, in the unit of the car file; `source` names its origin in the table of texts."""

    value: float
    unit: str
    source: str

    @property
    def shown(self) -> str:
        """Value with its unit, as text."""
        return f"{self.value:g} {self.unit}".rstrip()

    @property
    def origin(self) -> str:
        """Where the value comes from."""
        return phrase(f"origin.{self.source}")


# By the dotted key of the car file.
DEFAULTS: Mapping[str, Default] = {
    "chassis.cg_height_m": Default(value=0.50, unit="m", source="saloon"),
    "chassis.front_weight_share": Default(value=0.54, unit="", source="engine_in_front"),
    "chassis.drag_area_m2": Default(value=0.66, unit="m2", source="drag_area"),
    "chassis.rolling_resistance": Default(value=0.014, unit="", source="rolling_resistance"),
    "tyres.peak_friction": Default(value=1.15, unit="", source="peak_friction"),
    "tyres.peak_slip": Default(value=0.12, unit="", source="peak_slip"),
    "driveline.efficiency": Default(value=0.88, unit="", source="efficiency"),
    "driveline.shift_time_s": Default(value=0.12, unit="s", source="shift_time"),
    "driveline.engine_inertia_kgm2": Default(value=0.20, unit="kg m2", source="engine_inertia"),
    "driveline.wheel_inertia_kgm2": Default(value=1.5, unit="kg m2", source="wheel_inertia"),
    "clutch.heat_capacity_j_per_k": Default(value=6000, unit="J/K", source="clutch_heat"),
    "engine.idle_rpm": Default(value=850, unit="rpm", source="usual"),
    "engine.boost_threshold_rpm": Default(value=2800, unit="rpm", source="boost_threshold"),
    "engine.boost_rise_time_s": Default(value=0.45, unit="s", source="boost_rise"),
    "fuel_system.rated_pressure_kpa": Default(value=300, unit="kPa", source="rated_pressure"),
    "fuel_system.tank_l": Default(value=60, unit="l", source="usual"),
    "guards.injector_duty_pct": Default(value=90, unit="%", source="cautious"),
    "guards.knock_retard_deg": Default(value=3.0, unit="°", source="cautious"),
    "guards.wot_lambda_max": Default(value=0.90, unit="", source="cautious"),
    "guards.clutch_energy_kj": Default(value=240, unit="kJ", source="cautious"),
    "guards.gearbox_oil_c": Default(value=120, unit="°C", source="gearbox_oil"),
    "guards.charge_air_c": Default(value=90, unit="°C", source="charge_air"),
    "guards.rail_pressure_drop_pct": Default(value=10, unit="%", source="cautious"),
    "guards.pressure_step_kpa": Default(value=20, unit="kPa", source="pressure_step"),
}
