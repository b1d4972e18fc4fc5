"""The limits of a car that a plan never crosses, at the pessimistic end of its own forecast."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Guards:
    """Limits in the units of the program: ratios 0..1, joules, kPa absolute, °C, degrees of spark.

    `pressure_step_kpa` is the most by which a plan goes above the highest pressure that a pass has shown clean.
    """

    injector_duty: float
    knock_retard_deg: float
    wot_lambda_max: float
    clutch_energy_j: float
    gearbox_oil_c: float
    charge_air_c: float
    rail_pressure_drop: float
    pressure_step_kpa: float
