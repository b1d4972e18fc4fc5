"""How much heat does a launch put into the clutch, and how high may its rpm go?

Two bounds from closed forms. At most: the engine speed is held until the car has caught up, and the heat is the car's
kinetic energy at that speed over the driveline's efficiency. At least: the clutch grips with all that it holds and
pulls the engine down. Tyres that spin shorten the slip and take a part of the heat, so a strip launch lies between.
"""

import math
from dataclasses import dataclass
from typing import Final

from nextpass.car import Car
from nextpass.measure import Estimate, Measured
from nextpass.physics import clutch, lock_up, roadload
from nextpass.words import phrase
from nextpass.workbench.worked import WorkedSum, line, worked_out

MASS: Final = 0.01
EFFICIENCY: Final = 0.03
HEAT_CAPACITY: Final = 0.25
"""Half widths of the 90 % intervals of what the car file says of mass, driveline efficiency and the clutch's heat
capacity, as parts of the value (common practice)."""


def launch_sum(car: Car, launch_rpm: float) -> WorkedSum:
    """Clutch heat of a launch from rest in first gear.

    Parameters
    ----------
    car : Car
        Mass, gears, clutch and guards.
    launch_rpm : float
        Engine speed at the line [rpm].

    Returns
    -------
    WorkedSum
        Results: clutch_energy_j, the most, and clutch_energy_least_j; clutch_rise_k, guard_share, slip_s, and
        launch_limit_rpm, where the most comes to the guard.

    Raises
    ------
    ValueError
        On a speed of zero or less.

    References
    ----------
    `nextpass.physics.lock_up`.
    """
    launch = _Launch(car=car, launch_rpm=launch_rpm)
    mass = _known_to(MASS, car.chassis.mass_kg)
    efficiency = _known_to(EFFICIENCY, car.driveline.efficiency)
    heat_capacity = _known_to(HEAT_CAPACITY, car.clutch.heat_capacity_j_per_k)
    given = {"mass_kg": mass, "efficiency": efficiency}
    most_j = worked_out(launch.most_j, "beyond", **given)
    return WorkedSum(
        title=phrase("workbench.title.launch"),
        inputs=(
            line("launch_rpm", launch_rpm),
            line("mass_kg", mass),
            line("driveline_efficiency", efficiency),
            line("clutch_capacity_nm", launch.capacity_nm),
            line("heat_capacity_j_per_k", heat_capacity),
            line("guard_energy_j", car.guards.clutch_energy_j),
        ),
        steps=(
            line("overall_ratio", launch.overall_ratio, "first gear x final drive"),
            line("car_inertia_kgm2", worked_out(launch.inertia_kgm2, "beyond", mass_kg=mass), "(m + 4 I_w/r²) r²/N²"),
        ),
        results=(
            line("clutch_energy_j", most_j, "½ I ω²/η, engine speed held"),
            line(
                "clutch_energy_least_j",
                worked_out(launch.least_j, "beyond", **given),
                "½ I1 I2/(I1 + I2) ω², the engine gives no torque",
            ),
            line("guard_share", worked_out(launch.guard_share, "beyond", **given), "heat/guard"),
            line(
                "clutch_rise_k",
                worked_out(launch.rise_k, "beyond", heat_capacity=heat_capacity, **given),
                "heat/heat capacity",
            ),
            line("slip_s", worked_out(launch.slip_s, "beyond", **given), "I ω/(T η)"),
            line("launch_limit_rpm", worked_out(launch.limit_rpm, "beyond", **given), "n √(guard/heat)"),
        ),
        cautions=_cautions(most_j, car.guards.clutch_energy_j),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Launch:
    """One launch; each method takes what is uncertain by name."""

    car: Car
    launch_rpm: float

    @property
    def overall_ratio(self) -> float:
        return self.car.driveline.gear_ratios[0] * self.car.driveline.final_drive

    @property
    def capacity_nm(self) -> float:
        return min(self.car.clutch.torque_capacity_nm)

    def inertia_kgm2(self, mass_kg: float) -> float:
        radius_m = self.car.tyres.rolling_radius_m
        moved_kg = roadload.effective_mass_kg(mass_kg, self.car.driveline.wheel_inertia_kgm2, radius_m)
        return float(lock_up.car_inertia_kgm2(moved_kg, radius_m, self.overall_ratio))

    def held(self, mass_kg: float, efficiency: float) -> lock_up.LockUp:
        return lock_up.held_speed_lock_up(self.launch_rpm, self.capacity_nm, self.inertia_kgm2(mass_kg), efficiency)

    def most_j(self, **given: float) -> float:
        return float(self.held(**given).heat_j)

    def slip_s(self, **given: float) -> float:
        return float(self.held(**given).time_s)

    def least_j(self, mass_kg: float, efficiency: float) -> float:
        behind_kgm2 = self.inertia_kgm2(mass_kg) / efficiency
        heat_j, _ = lock_up.coasting_lock_up(self.launch_rpm, self.car.driveline.engine_inertia_kgm2, behind_kgm2)
        return float(heat_j)

    def guard_share(self, **given: float) -> float:
        return self.most_j(**given) / self.car.guards.clutch_energy_j

    def rise_k(self, heat_capacity: float, **given: float) -> float:
        return float(clutch.temperature_rise_k(self.most_j(**given), heat_capacity))

    def limit_rpm(self, **given: float) -> float:
        return self.launch_rpm / math.sqrt(self.guard_share(**given))


def _known_to(part: float, value: float) -> Estimate:
    return Estimate(value=value, plus_minus=part * value)


def _cautions(most_j: Measured, guard_j: float) -> tuple[str, ...]:
    is_over = isinstance(most_j, Estimate) and most_j.high > guard_j
    return (
        *((phrase("workbench.caution.launch_over_guard"),) if is_over else ()),
        phrase("workbench.caution.faces_hotter"),
        phrase("caution.hot_oil"),
    )
