"""How hot will the charge be at a held boost on this day, and what density is left of it?

Compressor and intercooler one after the other, with what is usually known of both. The boost control is taken to hold
the absolute pressure; what the day then changes is temperature, not pressure, and the sum says by how much that differs
from what a weather factor would claim.
"""

from typing import Final

from nextpass.car import Conditions
from nextpass.measure import Estimate, Measured
from nextpass.physics import air, charge, standards
from nextpass.words import phrase
from nextpass.workbench.worked import WorkedSum, line, worked_out

COMPRESSOR_EFFICIENCY: Final = Estimate(value=0.70, plus_minus=0.06)
COOLER_EFFECTIVENESS: Final = Estimate(value=0.70, plus_minus=0.12)
INTAKE_LOSS_KPA: Final = Estimate(value=3.0, plus_minus=2.0)
"""A turbocharger near the middle of its map, an air-to-air cooler with air moving through it, and filter and pipe
before the compressor; with 90 % intervals (common practice). A log of both temperatures narrows the first two."""

STANDARD_C, STANDARD_KPA = 15.0, 101.325


def charge_sum(
    conditions: Conditions,
    manifold_pressure_kpa: float,
    compressor_efficiency: Estimate = COMPRESSOR_EFFICIENCY,
    cooler_effectiveness: Estimate = COOLER_EFFECTIVENESS,
    intake_loss_kpa: Estimate = INTAKE_LOSS_KPA,
    limit_c: float | None = None,
) -> WorkedSum:
    """Charge temperature and density at a held absolute boost.

    Parameters
    ----------
    conditions : Conditions
        Air of the day.
    manifold_pressure_kpa : float
        Held, absolute [kPa].
    compressor_efficiency, cooler_effectiveness : Estimate
        [0..1].
    intake_loss_kpa : Estimate
        Lost before the compressor [kPa].
    limit_c : float, optional
        Charge temperature guard of the car [°C].

    Returns
    -------
    WorkedSum
        Results: charge_temperature_c, charge_density_kgpm3, charge_density_share (over a standard day), and
        weather_factor_share, what SAE J1349 would say of the same day.

    Raises
    ------
    ValueError
        On a pressure of zero or less.

    References
    ----------
    `nextpass.physics.charge`.
    """
    given = {"efficiency": compressor_efficiency, "effectiveness": cooler_effectiveness, "loss_kpa": intake_loss_kpa}

    def ratio(loss_kpa: float, **_: float) -> float:
        return manifold_pressure_kpa / (conditions.pressure_kpa - loss_kpa)

    def outlet_c(efficiency: float, **rest: float) -> float:
        return float(charge.compressor_outlet_c(conditions.air_temperature_c, ratio(**rest), efficiency))

    def held_c(station_kpa: float, air_c: float, efficiency: float, effectiveness: float, loss_kpa: float) -> float:
        held = (manifold_pressure_kpa, station_kpa, air_c, efficiency, effectiveness, loss_kpa)
        return float(charge.held_charge_c(*held))

    def charge_c(**assumed: float) -> float:
        return held_c(conditions.pressure_kpa, conditions.air_temperature_c, **assumed)

    def density(**assumed: float) -> float:
        return float(charge.charge_density_kgpm3(manifold_pressure_kpa, charge_c(**assumed)))

    def density_share(**assumed: float) -> float:
        standard_c = held_c(STANDARD_KPA, STANDARD_C, **assumed)
        return density(**assumed) / float(charge.charge_density_kgpm3(manifold_pressure_kpa, standard_c))

    temperature = worked_out(charge_c, "no_compression", **given)
    return WorkedSum(
        title=phrase("workbench.title.charge"),
        inputs=(
            line("manifold_pressure_kpa", manifold_pressure_kpa),
            line("station_pressure_kpa", conditions.pressure_kpa),
            line("air_temperature_c", conditions.air_temperature_c),
            line("compressor_efficiency", compressor_efficiency),
            line("cooler_effectiveness", cooler_effectiveness),
            line("intake_loss_kpa", intake_loss_kpa),
        ),
        steps=(
            line("pressure_ratio", worked_out(ratio, "no_compression", **given), "p/(p_air - loss)"),
            line("compressor_outlet_c", worked_out(outlet_c, "no_compression", **given), "T1 (1 + (r^0.2857 - 1)/η)"),
        ),
        results=(
            line("charge_temperature_c", temperature, "t2 - ε (t2 - t_air)"),
            line("charge_density_kgpm3", worked_out(density, "no_compression", **given), "p/(287.053 T)"),
            line(
                "charge_density_share",
                worked_out(density_share, "no_compression", **given),
                "ρ/ρ at 15 °C, 101.325 kPa",
            ),
            line("weather_factor_share", _by_the_standard(conditions), "f(15 °C, 101.325 kPa)/f(t, p); f: SAE J1349"),
        ),
        cautions=_cautions(temperature, limit_c),
    )


def _by_the_standard(conditions: Conditions) -> Measured:
    standard_dry_kpa = air.dry_pressure_kpa(STANDARD_C, STANDARD_KPA, 0.0)

    def share(air_c: float) -> float:
        dry_kpa = air.dry_pressure_kpa(air_c, conditions.pressure_kpa, conditions.humidity)
        factor = standards.sae_j1349_factor(dry_kpa, air_c)
        return float(standards.sae_j1349_factor(standard_dry_kpa, STANDARD_C) / factor)

    return worked_out(share, "air_fit", air_c=Estimate(value=conditions.air_temperature_c, plus_minus=0.0))


def _cautions(temperature: Measured, limit_c: float | None) -> tuple[str, ...]:
    said: list[str] = []
    if limit_c is not None and isinstance(temperature, Estimate) and temperature.high > limit_c:
        said.append(phrase("workbench.caution.charge_over_guard", charge_c=temperature.high, limit_c=limit_c))
    return (*said, phrase("workbench.caution.heat_soak"), phrase("caution.advice"))
