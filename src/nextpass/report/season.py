"""What a season shows, in the reader's words: figures of wear with their units, how they drift, when a limit is met."""

import math

from nextpass.health import FigureTrend, Reach
from nextpass.measure import Absent, Estimate
from nextpass.report.reader import Reader

# Ratios that people read in percent.
_PERCENT = ("trim_bank1", "trim_bank2", "trims_apart", "pump_strength", "rail_pressure_drop", "cooler_effectiveness")


def wear_unit(name: str, reader: Reader) -> str:
    """Unit in which a figure of wear is shown.

    Parameters
    ----------
    name : str
        Of `PassFigures.wear`.
    reader : Reader
        For the units.
    """
    return "%" if name in _PERCENT else reader.unit_of(name)


def wear_text(name: str, value: float, reader: Reader, like: float | None = None) -> str:
    """A figure of wear without its unit.

    Parameters
    ----------
    name : str
        Of `PassFigures.wear`.
    value : float
        In the unit of its name; ratios 0..1.
    reader : Reader
        Language.
    like : float, optional
        Whose two leading digits decide the decimals; the value's own without it.
    """
    factor = _factor(name)
    return reader.number(value * factor, _decimals((value if like is None else like) * factor))


def drift_text(trend: FigureTrend, reader: Reader) -> str:
    """How a figure drifts: by how much over the season, how surely, and when it reaches its limit.

    Parameters
    ----------
    trend : FigureTrend
        One that drifts.
    reader : Reader
        Language and units.
    """
    assert isinstance(trend.over_season, Estimate)
    assert not isinstance(trend.trend, Absent)
    over, unit = trend.over_season, wear_unit(trend.name, reader)
    factor = _factor(trend.name)
    size = reader.signed(over.value * factor, _decimals(over.value * factor))
    spread = wear_text(trend.name, over.plus_minus, reader, like=over.value)
    parts = [
        reader.says(
            "ledger.drifting",
            figure=reader.says(f"ledger.figure.{trend.name}"),
            change=f"{size} ±{spread} {unit}".strip(),
            first=reader.number(trend.launches[0]),
            last=reader.number(trend.launches[-1]),
            chance=_chance(trend.trend.p_value, reader),
        )
    ]
    if not trend.is_wear:
        parts.append(reader.says("ledger.no_wear"))
    if isinstance(trend.reach, Reach) and trend.limit is not None:
        latest = trend.reach.latest
        parts.append(
            reader.says(
                "ledger.reaches",
                limit=f"{wear_text(trend.name, trend.limit, reader)} {unit}".strip(),
                launches=reader.number(trend.reach.launches),
                soonest=reader.number(trend.reach.soonest),
                latest=reader.number(latest) if math.isfinite(latest) else reader.says("ledger.open_end"),
            )
        )
    if trend.freed_of_air:
        parts.append(f"({reader.says('ledger.air_taken_out')})")
    return " ".join(parts)


def learned_text(value: float | str, reader: Reader) -> str:
    """A learned value as the car shows it.

    Parameters
    ----------
    value : float or str
        In the car's own unit.
    reader : Reader
        Language.
    """
    return value if isinstance(value, str) else reader.number(value, 3).rstrip("0").rstrip(".,")


def _chance(p_value: float, reader: Reader) -> str:
    """Probability in percent; below what anybody would tell apart, as a bound."""
    percent = 100.0 * p_value
    return f"<{reader.number(0.01, 2)}" if percent < 0.01 else reader.number(percent, _decimals(percent))


def _factor(name: str) -> float:
    return 100.0 if name in _PERCENT else 1.0


def _decimals(value: float) -> int:
    """So many that two digits of a figure show."""
    return max(0, 1 - math.floor(math.log10(abs(value)))) if value else 0
