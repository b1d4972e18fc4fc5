"""What will the tyres read hot, what must they be set to cold, and what does another size do?

Gauge pressure over absolute temperature is the classic error: the law holds for absolute pressure. The air in a tyre is
rarely dry and its volume grows a little, so a computed pressure is known to a few kilopascals.
"""

import math
from typing import Final

from nextpass.measure import Estimate
from nextpass.physics import tyre
from nextpass.words import phrase
from nextpass.workbench.worked import WorkedSum, line, worked_out

GAUGE_KPA: Final = 2.0
TYRE_AIR_C: Final = 5.0
ROLLING_RADIUS: Final = 0.01
"""Half widths of the 90 % intervals of a hand gauge [kPa], of the temperature of the air in a tyre [K], and of the
rolling radius by its size, as a part of it (common practice)."""


def hot_pressure_sum(set_kpa_gauge: float, set_c: float, hot_c: float, ambient_kpa: float) -> WorkedSum:
    """Pressure that a tyre reads when it has come to another temperature.

    Parameters
    ----------
    set_kpa_gauge : float
        As set [kPa gauge].
    set_c, hot_c : float
        Temperature of the air in it, when set and later [°C].
    ambient_kpa : float
        Station pressure [kPa].

    Returns
    -------
    WorkedSum
        Result: hot_pressure_kpa_gauge.

    References
    ----------
    `nextpass.physics.tyre.heated_pressure_kpa_gauge`.
    """
    return _pressure_sum("hot_pressure", set_kpa_gauge, set_c, hot_c, ambient_kpa)


def cold_pressure_sum(hot_kpa_gauge: float, hot_c: float, cold_c: float, ambient_kpa: float) -> WorkedSum:
    """Pressure to set cold so that the tyre comes to a wanted one when hot.

    Parameters
    ----------
    hot_kpa_gauge : float
        Wanted when hot [kPa gauge].
    hot_c, cold_c : float
        Temperature of the air in it, when hot and when it is set [°C].
    ambient_kpa : float
        Station pressure [kPa].

    Returns
    -------
    WorkedSum
        Result: cold_pressure_kpa_gauge.

    References
    ----------
    `nextpass.physics.tyre.heated_pressure_kpa_gauge`.
    """
    return _pressure_sum("cold_pressure", hot_kpa_gauge, hot_c, cold_c, ambient_kpa)


def _pressure_sum(asked: str, given_kpa_gauge: float, from_c: float, to_c: float, ambient_kpa: float) -> WorkedSum:
    pressure = Estimate(value=given_kpa_gauge, plus_minus=GAUGE_KPA)
    start, end = Estimate(value=from_c, plus_minus=TYRE_AIR_C), Estimate(value=to_c, plus_minus=TYRE_AIR_C)
    answer = worked_out(
        lambda pressure, start, end: tyre.heated_pressure_kpa_gauge(pressure, start, end, ambient_kpa),
        "beyond",
        pressure=pressure,
        start=start,
        end=end,
    )
    return WorkedSum(
        title=phrase(f"workbench.title.{asked}"),
        inputs=(
            line("given_pressure_kpa_gauge", pressure),
            line("from_temperature_c", start),
            line("to_temperature_c", end),
            line("station_pressure_kpa", ambient_kpa),
        ),
        steps=(),
        results=(line(f"{asked}_kpa_gauge", answer, "(p + p_air) T2/T1 - p_air; Gay-Lussac, absolute"),),
        cautions=(phrase("workbench.caution.tyre_limits"),),
    )


def size_sum(size: str, instead_of: str | None = None) -> WorkedSum:
    """Diameter and rolling radius of a tyre size, and what a change of size does to gearing and speed.

    Parameters
    ----------
    size : str
        Such as ``285/35R20``.
    instead_of : str, optional
        The size that it replaces.

    Returns
    -------
    WorkedSum
        Results: diameter_m, rolling_radius_m, turns_a_km; with `instead_of` also gearing_factor, road speed at like
        engine speed over that of the old size.

    Raises
    ------
    ValueError
        On a text that is no metric size.

    References
    ----------
    ISO 4000-1 for the dimensions; ETRTO rolling circumference (memory).
    """
    fitted = tyre.tyre_size(size)
    radius = Estimate(value=fitted.rolling_radius_m, plus_minus=ROLLING_RADIUS * fitted.rolling_radius_m)
    results = [
        line("diameter_m", fitted.diameter_m, "25.4 rim + 2 aspect width; ISO 4000-1"),
        line("rolling_radius_m", radius, "3.05/(2 π) diameter; ETRTO (memory)"),
        line(
            "turns_a_km",
            worked_out(lambda radius: 1000.0 / (math.tau * radius), "beyond", radius=radius),
            "1000/(2 π r)",
        ),
    ]
    if instead_of is not None:
        factor = fitted.diameter_m / tyre.tyre_size(instead_of).diameter_m
        results.append(line("gearing_factor", factor, "d/d_old"))
    return WorkedSum(
        title=phrase("workbench.title.tyre_size"),
        inputs=(
            line("section_width_m", fitted.width_mm / 1000.0),
            line("aspect", fitted.aspect),
            line("rim_diameter_m", fitted.rim_in * 0.0254),
        ),
        steps=(line("section_height_m", fitted.section_height_m, "aspect x width"),),
        results=tuple(results),
        cautions=(phrase("workbench.caution.radius_measured"), phrase("workbench.caution.tyre_limits")),
    )
