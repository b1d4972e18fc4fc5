"""Do injectors and pumps carry the pressure that is planned on this fuel?

Air by speed-density at the engine speed of greatest demand, fuel by lambda and blend, duty by static flow plus the
injectors' opening time, and what the pumps bring hot and under load. From them the highest manifold pressure that each
part of the supply carries, and which binds. A log of a pass knows better than any of this: it is for the day before.
"""

from dataclasses import dataclass
from typing import Final

from nextpass.car import Car, Fuel
from nextpass.measure import Estimate, Measured
from nextpass.physics import blend, engine, fuel, supply
from nextpass.words import phrase
from nextpass.workbench.worked import Line, WorkedSum, line, worked_out

FILLING: Final = Estimate(value=0.95, plus_minus=0.06)
CHARGE_C: Final = Estimate(value=45.0, plus_minus=15.0)
FULL_LOAD_LAMBDA: Final = Estimate(value=0.82, plus_minus=0.03)
OPENING_S: Final = Estimate(value=0.8e-3, plus_minus=0.3e-3)
PUMP_UNDER_LOAD: Final = Estimate(value=0.85, plus_minus=0.10)
"""What the car file does not say: filling against manifold density of an engine with four valves a cylinder, charge
temperature, lambda at full load, opening less closing delay of an injector, and what a pump brings hot and under load
over its rating; with 90 % intervals (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyAssumptions:
    """What stands in for measurements, each with its ±; a log of the car narrows all of them.

    Parameters
    ----------
    filling : Estimate
        Air over what displacement holds at manifold density [ratio].
    charge_c : Estimate
        Charge temperature [°C].
    lambda_ : Estimate
        Mixture at full load [-].
    opening_s : Estimate
        Opening less closing delay of an injector [s].
    pump_under_load : Estimate
        Flow of the pumps over their rating [ratio].
    """

    filling: Estimate = FILLING
    charge_c: Estimate = CHARGE_C
    lambda_: Estimate = FULL_LOAD_LAMBDA
    opening_s: Estimate = OPENING_S
    pump_under_load: Estimate = PUMP_UNDER_LOAD

    @property
    def by_name(self) -> dict[str, Estimate]:
        """Each under the name that the formulas of this file give it."""
        return {
            "filling": self.filling,
            "charge_c": self.charge_c,
            "lambda_": self.lambda_,
            "opening_s": self.opening_s,
            "pump_under_load": self.pump_under_load,
        }


def supply_sum(
    car: Car,
    fuel_name: str,
    manifold_pressure_kpa: float,
    engine_rpm: float | None = None,
    assumptions: SupplyAssumptions | None = None,
) -> WorkedSum:
    """Injector duty and pump headroom at a planned pressure, and the pressure that each carries.

    Parameters
    ----------
    car : Car
        Engine, injectors, pumps and guards.
    fuel_name : str
        One of the car's fuels.
    manifold_pressure_kpa : float
        Planned, absolute [kPa].
    engine_rpm : float, optional
        Speed of greatest demand [rpm]; the rev limit where none is given.
    assumptions : SupplyAssumptions, optional
        What the car file does not say; the usual values where none are given.

    Returns
    -------
    WorkedSum
        Results: injector_duty, pump_headroom, injector_limit_kpa, pump_limit_kpa.

    Raises
    ------
    KeyError
        On a fuel that the car does not have.

    References
    ----------
    `nextpass.physics.engine`, `.blend`, `.supply`.
    """
    assumed = assumptions or SupplyAssumptions()
    demand = _Demand(
        car=car,
        burnt=car.fuels[fuel_name],
        pressure_kpa=manifold_pressure_kpa,
        engine_rpm=car.engine.rev_limit_rpm if engine_rpm is None else engine_rpm,
    )
    results = _results(demand, assumed)
    return WorkedSum(
        title=phrase("workbench.title.supply"),
        inputs=(
            line("manifold_pressure_kpa", manifold_pressure_kpa),
            line("engine_rpm", demand.engine_rpm),
            line("ethanol", demand.burnt.ethanol),
            line("filling", assumed.filling),
            line("charge_temperature_c", assumed.charge_c),
            line("lambda_target", assumed.lambda_),
            line("opening_s", assumed.opening_s),
            line("pump_under_load", assumed.pump_under_load),
        ),
        steps=_steps(demand, assumed),
        results=results,
        cautions=_cautions(demand, results),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Demand:
    """One planned moment; each method takes what is assumed by name and lets the rest pass."""

    car: Car
    burnt: Fuel
    pressure_kpa: float
    engine_rpm: float

    def air_kgps(self, filling: float, charge_c: float, **_: float) -> float:
        litres = self.car.engine.displacement_l
        return float(engine.air_flow_kgps(filling, litres, self.engine_rpm, self.pressure_kpa, charge_c))

    def fuel_kgps(self, lambda_: float, **rest: float) -> float:
        afr = blend.blend_stoichiometric_afr(self.burnt.ethanol)
        return float(fuel.fuel_flow_kgps(self.air_kgps(**rest), afr, lambda_))

    def fuel_l_h(self, **assumed: float) -> float:
        return float(supply.volume_flow_l_h(self.fuel_kgps(**assumed), blend.blend_density_kgpm3(self.burnt.ethanol)))

    def open_share(self, opening_s: float, **_: float) -> float:
        return float(supply.opening_duty(opening_s, self.engine_rpm))

    def static_duty(self, **assumed: float) -> float:
        system = self.car.fuel_system
        density = blend.blend_density_kgpm3(self.burnt.ethanol)
        flow_kgps = self.fuel_kgps(**assumed)
        return float(supply.injector_duty(flow_kgps, density, system.injector_count, system.injector_flow_cc_min))

    def duty(self, **assumed: float) -> float:
        return self.static_duty(**assumed) + self.open_share(**assumed)

    def pumped_l_h(self, pump_under_load: float, **_: float) -> float:
        return pump_under_load * sum(pump.flow_l_h for pump in self.car.fuel_system.pumps)

    def headroom(self, **assumed: float) -> float:
        return float(supply.pump_headroom(self.fuel_l_h(**assumed), self.pumped_l_h(**assumed)))

    def injector_limit_kpa(self, **assumed: float) -> float:
        """Static duty goes with the pressure; the opening time takes its part of the guard at any pressure."""
        left = self.car.guards.injector_duty - self.open_share(**assumed)
        return self.pressure_kpa * left / self.static_duty(**assumed)

    def pump_limit_kpa(self, **assumed: float) -> float:
        return self.pressure_kpa * self.pumped_l_h(**assumed) / self.fuel_l_h(**assumed)


def _steps(demand: _Demand, assumed: SupplyAssumptions) -> tuple[Line, ...]:
    given = assumed.by_name
    return (
        line(
            "air_flow_kgps", worked_out(demand.air_kgps, "beyond", **given), "η V N/120 p/(R T); Heywood 1988, eq. 2.27"
        ),
        line("fuel_flow_kgps", worked_out(demand.fuel_kgps, "beyond", **given), "air/(AFR λ)"),
        line("fuel_flow_l_h", worked_out(demand.fuel_l_h, "beyond", **given), "3.6e6 fuel/ρ"),
        line("opening_duty", worked_out(demand.open_share, "beyond", **given), "t_open N/120"),
        line("pumped_l_h", worked_out(demand.pumped_l_h, "beyond", **given), "Σ rated flow x share under load"),
    )


def _results(demand: _Demand, assumed: SupplyAssumptions) -> tuple[Line, ...]:
    given = assumed.by_name
    lines = [
        line("injector_duty", worked_out(demand.duty, "beyond", **given), "fuel/(n ρ Q) + t_open N/120"),
        line(
            "injector_limit_kpa", worked_out(demand.injector_limit_kpa, "beyond", **given), "p (guard - opening)/duty"
        ),
    ]
    if demand.car.fuel_system.pumps:
        lines += [
            line("pump_headroom", worked_out(demand.headroom, "beyond", **given), "1 - fuel/pumps"),
            line("pump_limit_kpa", worked_out(demand.pump_limit_kpa, "beyond", **given), "p pumps/fuel"),
        ]
    return tuple(lines)


def _cautions(demand: _Demand, results: tuple[Line, ...]) -> tuple[str, ...]:
    values: dict[str, Measured] = {result.name: result.value for result in results}
    said: list[str] = []
    guard = demand.car.guards.injector_duty
    duty, headroom = values["injector_duty"], values.get("pump_headroom")
    if isinstance(duty, Estimate) and duty.high > guard:
        said.append(phrase("workbench.caution.duty_over_guard", duty_pct=100.0 * duty.high, guard_pct=100.0 * guard))
    if isinstance(headroom, Estimate) and headroom.low < 0.0:
        said.append(phrase("workbench.caution.pumps_short"))
    most_kpa = demand.burnt.manifold_pressure_max_kpa
    if demand.pressure_kpa > most_kpa:
        said.append(phrase("workbench.caution.beyond_fuel", most_kpa=most_kpa, fuel=demand.burnt.name))
    return (*said, phrase("workbench.caution.rail_reference"), phrase("caution.advice"))
