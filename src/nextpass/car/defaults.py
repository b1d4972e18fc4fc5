"""Every value that stands in for one which the car file leaves open, in one table, each with its origin.

`review` and `plan` list those that they used as *assumed*. Guards have the cautious value, the rest the usual one. What
no default could stand for (mass, ratios, torque curve, injectors, pumps, fuels) has none: the file must say it.
"""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Default:
    """A value that is assumed, in the unit of the car file, and where it comes from."""

    value: float
    unit: str
    origin: str

    @property
    def shown(self) -> str:
        """Value with its unit, as text."""
        return f"{self.value:g} {self.unit}".rstrip()


_SALOON = "a saloon or coupe of ordinary build (common practice)"
_CAUTIOUS = "the cautious end of common practice"

# By the dotted key of the car file.
DEFAULTS: Mapping[str, Default] = {
    "chassis.cg_height_m": Default(value=0.50, unit="m", origin=_SALOON),
    "chassis.front_weight_share": Default(value=0.54, unit="", origin=f"engine in front: {_SALOON}"),
    "chassis.drag_area_m2": Default(value=0.66, unit="m2", origin=f"Cd 0.30 on 2.2 m2: {_SALOON}"),
    "chassis.rolling_resistance": Default(
        value=0.014, unit="", origin="a warm road tyre on asphalt (Gillespie, Fundamentals of Vehicle Dynamics, memory)"
    ),
    "tyres.peak_friction": Default(value=1.15, unit="", origin="a drag radial on a prepared strip (common practice)"),
    "tyres.peak_slip": Default(value=0.12, unit="", origin="a radial tyre's usual 0.1 to 0.15 (common practice)"),
    "driveline.efficiency": Default(
        value=0.88, unit="", origin="gearbox, final drive and joints together (common practice)"
    ),
    "driveline.shift_time_s": Default(
        value=0.12, unit="s", origin="a dual-clutch upshift at full load (common practice)"
    ),
    "driveline.engine_inertia_kgm2": Default(
        value=0.20, unit="kg m2", origin="crank, flywheel and clutch drum of a six-cylinder engine (common practice)"
    ),
    "driveline.wheel_inertia_kgm2": Default(
        value=1.5, unit="kg m2", origin="wheel, tyre, brake disc and its share of shafts (common practice)"
    ),
    "clutch.heat_capacity_j_per_k": Default(
        value=6000, unit="J/K", origin="about 8 kg of steel plates and the oil between them (common practice)"
    ),
    "engine.idle_rpm": Default(value=850, unit="rpm", origin="common practice"),
    "engine.boost_threshold_rpm": Default(
        value=2800, unit="rpm", origin="turbochargers sized for the strip (common practice)"
    ),
    "engine.boost_rise_time_s": Default(value=0.45, unit="s", origin="10-90 % at full load (common practice)"),
    "fuel_system.rated_pressure_kpa": Default(
        value=300, unit="kPa", origin="the usual rating pressure of port injectors (common practice)"
    ),
    "fuel_system.tank_l": Default(value=60, unit="l", origin="common practice"),
    "guards.injector_duty_pct": Default(value=90, unit="%", origin=_CAUTIOUS),
    "guards.knock_retard_deg": Default(value=3.0, unit="°", origin=_CAUTIOUS),
    "guards.wot_lambda_max": Default(value=0.90, unit="", origin=_CAUTIOUS),
    "guards.clutch_energy_kj": Default(value=240, unit="kJ", origin=_CAUTIOUS),
    "guards.gearbox_oil_c": Default(
        value=120, unit="°C", origin="the usual limit of dual-clutch oil (common practice)"
    ),
    "guards.charge_air_c": Default(
        value=70, unit="°C", origin="above it most calibrations take timing out (common practice)"
    ),
    "guards.rail_pressure_drop_pct": Default(value=10, unit="%", origin=_CAUTIOUS),
    "guards.pressure_step_kpa": Default(
        value=20, unit="kPa", origin="0.2 bar from pass to pass: the cautious end of common practice"
    ),
}
