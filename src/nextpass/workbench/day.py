"""How thick is the air today, and what would the standards make of it?

Density, density altitude and dew point from the station's readings, with what handheld instruments leave open. The
weather factors of the standards come with a word on whether the standard would accept the day, and with the warning
that a car which holds its boost loses far less than they say: such a car is compared by simulating both days.
"""

from typing import Final

from nextpass.car import Conditions
from nextpass.measure import Absent, Estimate, Measured
from nextpass.physics import air, atmosphere, standards
from nextpass.words import phrase
from nextpass.workbench.worked import Line, WorkedSum, line, worked_out

THERMOMETER_C: Final = 0.5
BAROMETER_KPA: Final = 0.2
HYGROMETER: Final = 0.04
"""Half widths of the 90 % intervals of a handheld weather meter in the shade [°C, kPa, ratio] (common practice)."""


def day_sum(conditions: Conditions) -> WorkedSum:
    """Air of a day, worked out.

    Parameters
    ----------
    conditions : Conditions
        Air temperature, station pressure and humidity; the site's altitude, where given, checks the pressure.

    Returns
    -------
    WorkedSum
        Results: density_kgpm3, density_altitude_m, dew_point_c, sae_j1349_factor, iso_1585_factor, din_70020_factor.

    References
    ----------
    `nextpass.physics.air`, `.atmosphere`, `.standards`.
    """
    air_c = Estimate(value=conditions.air_temperature_c, plus_minus=THERMOMETER_C)
    station_kpa = Estimate(value=conditions.pressure_kpa, plus_minus=BAROMETER_KPA)
    humidity = Estimate(value=conditions.humidity, plus_minus=HYGROMETER)
    vapour_kpa = worked_out(
        lambda air_c, humidity: air.vapour_pressure_kpa(air_c, _ratio(humidity)),
        "air_fit",
        air_c=air_c,
        humidity=humidity,
    )
    dry_kpa = worked_out(_dry_kpa, "air_fit", air_c=air_c, station_kpa=station_kpa, humidity=humidity)
    return WorkedSum(
        title=phrase("workbench.title.day"),
        inputs=(
            line("air_temperature_c", air_c),
            line("station_pressure_kpa", station_kpa),
            line("humidity", humidity),
        ),
        steps=(
            line("vapour_pressure_kpa", vapour_kpa, "e = RH e_s(t); Buck 1981, revised 1996"),
            line("dry_pressure_kpa", dry_kpa, "p_d = p - e; Dalton"),
        ),
        results=(*_air_lines(air_c, station_kpa, humidity), *_factor_lines(air_c, station_kpa, humidity)),
        cautions=_cautions(conditions, dry_kpa),
    )


def _air_lines(air_c: Estimate, station_kpa: Estimate, humidity: Estimate) -> tuple[Line, ...]:
    readings = {"air_c": air_c, "station_kpa": station_kpa, "humidity": humidity}
    density = worked_out(_density_kgpm3, "air_fit", **readings)
    altitude = worked_out(
        lambda **day: atmosphere.density_altitude_m(_density_kgpm3(**day)), "standard_atmosphere", **readings
    )
    dew_c = worked_out(
        lambda air_c, humidity: air.dew_point_c(air_c, _ratio(humidity)), "dew_point", air_c=air_c, humidity=humidity
    )
    return (
        line("density_kgpm3", density, "ρ = p_d/(287.053 T) + e/(461.52 T)"),
        line("density_altitude_m", altitude, "h = (288.15/0.0065) (1 - (ρ/1.225)^(1/4.25588)); ISO 2533"),
        line("dew_point_c", dew_c, "e_s(t_d) = e"),
    )


def _factor_lines(air_c: Estimate, station_kpa: Estimate, humidity: Estimate) -> tuple[Line, ...]:
    readings = {"air_c": air_c, "station_kpa": station_kpa, "humidity": humidity}
    sae = worked_out(
        lambda air_c, **rest: standards.sae_j1349_factor(_dry_kpa(air_c=air_c, **rest), air_c), "air_fit", **readings
    )
    iso = worked_out(
        lambda air_c, **rest: standards.iso_1585_factor(_dry_kpa(air_c=air_c, **rest), air_c), "air_fit", **readings
    )
    din = worked_out(
        lambda air_c, station_kpa: standards.din_70020_factor(station_kpa, air_c),
        "air_fit",
        air_c=air_c,
        station_kpa=station_kpa,
    )
    return (
        line("sae_j1349_factor", sae, "1.18 (99/p_d) √((t + 273)/298) - 0.18; SAE J1349"),
        line("iso_1585_factor", iso, "(99/p_d)^1.2 ((t + 273)/298)^0.6; ISO 1585"),
        line("din_70020_factor", din, "(1013/p) √(T/293); DIN 70020, withdrawn"),
    )


def _cautions(conditions: Conditions, dry_kpa: Measured) -> tuple[str, ...]:
    said: list[str] = []
    altitude_m = conditions.altitude_m
    if altitude_m is not None and air.is_sea_level_reading(conditions.pressure_kpa, altitude_m):
        said.append(phrase("workbench.caution.sea_level", pressure_kpa=conditions.pressure_kpa, altitude_m=altitude_m))
    if not isinstance(dry_kpa, Absent):
        if not standards.sae_j1349_applies(dry_kpa.value, conditions.air_temperature_c):
            said.append(phrase("workbench.caution.outside_standard", standard="SAE J1349"))
        if not standards.iso_1585_applies(standards.iso_1585_factor(dry_kpa.value, conditions.air_temperature_c)):
            said.append(phrase("workbench.caution.outside_standard", standard="ISO 1585"))
    return (*said, phrase("workbench.caution.boost_held"))


def _dry_kpa(air_c: float, station_kpa: float, humidity: float) -> float:
    return float(air.dry_pressure_kpa(air_c, station_kpa, _ratio(humidity)))


def _density_kgpm3(air_c: float, station_kpa: float, humidity: float) -> float:
    return float(air.density_kgpm3(air_c, station_kpa, _ratio(humidity)))


def _ratio(humidity: float) -> float:
    """A reading of 99 % with its ± still means no more than saturated air."""
    return min(max(humidity, 0.0), 1.0)
