"""What is too hot or getting there: charge air, coolant, oil, gearbox oil?"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nextpass.physics import charge
from nextpass.review.findings.evidence import Evidence
from nextpass.review.findings.finding import Finding, Severity, worded

FloatArray = NDArray[np.float64]

# First and last of a try that a climb is measured between.
END_S = 0.8
# Outlet of a compressor at this efficiency stands in where it is not logged (typical of a road turbocharger, memory).
COMPRESSOR_EFFICIENCY = 0.70
# Charge temperature this far over its guard, or oil and coolant over their limits, is not to be repeated.
FAR_OVER_C = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Limit:
    """One temperature: its channel, its limit, and how far it may climb in a pass before that is worth a word."""

    channel: str
    hot_code: str
    climb_code: str
    limit_c: float
    climb_c: float


def find(evidence: Evidence) -> tuple[Finding, ...]:
    """Temperatures over their limit or climbing, charge air soaked before the launch, weak charge cooling.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Finding
    """
    limits, guards = evidence.limits, evidence.car.guards
    known: Sequence[_Limit] = (
        _Limit(
            channel="charge_temperature_c",
            hot_code="charge-hot",
            climb_code="",
            limit_c=guards.charge_air_c,
            # Pressure itself heats the charge: what the cooler leaves of it is judged by its effectiveness.
            climb_c=np.inf,
        ),
        _Limit(
            channel="coolant_temperature_c",
            hot_code="coolant-hot",
            climb_code="coolant-climb",
            limit_c=limits["coolant_c"],
            climb_c=limits["coolant_climb_c"],
        ),
        _Limit(
            channel="oil_temperature_c",
            hot_code="oil-hot",
            climb_code="oil-climb",
            limit_c=limits["oil_c"],
            climb_c=limits["gearbox_climb_c"],
        ),
        _Limit(
            channel="gearbox_oil_temperature_c",
            hot_code="gearbox-hot",
            climb_code="gearbox-climb",
            limit_c=guards.gearbox_oil_c,
            climb_c=limits["gearbox_climb_c"],
        ),
    )
    found = [finding for limit in known if (finding := _hot_or_climbing(evidence, limit)) is not None]
    return (*found, *_soaked(evidence), *_weak_cooler(evidence))


def _hot_or_climbing(evidence: Evidence, limit: _Limit) -> Finding | None:
    values = evidence.series(limit.channel)
    if values is None:
        return None
    inside = evidence.between(evidence.motion.moved_s, evidence.lift_s) & np.isfinite(values)
    if np.count_nonzero(inside) < 5:
        return None
    most = float(np.percentile(values[inside], 98))
    climb = _climb_c(evidence, values)
    figures = {f"{limit.channel}_max": most, "limit_c": limit.limit_c, "climb_c": climb}
    span = (evidence.motion.moved_s, evidence.lift_s)
    if most > limit.limit_c:
        severity = Severity.STOP if most > limit.limit_c + FAR_OVER_C else Severity.ACT
        return worded(limit.hot_code, severity, *span, (limit.channel,), figures)
    if most > limit.limit_c - evidence.limits["near_limit_c"]:
        return worded(limit.hot_code, Severity.WATCH, *span, (limit.channel,), figures)
    if climb > limit.climb_c:
        return worded(limit.climb_code, Severity.WATCH, *span, (limit.channel,), figures)
    return None


def _climb_c(evidence: Evidence, values: FloatArray) -> float:
    """Rise from the launch to the lift, each the median of a second or so [°C]."""
    start = evidence.between(evidence.motion.moved_s - END_S, evidence.motion.moved_s)
    end = evidence.between(evidence.lift_s - END_S, evidence.lift_s)
    if not (np.isfinite(values[start]).any() and np.isfinite(values[end]).any()):
        return 0.0
    return float(np.nanmedian(values[end]) - np.nanmedian(values[start]))


def _soaked(evidence: Evidence) -> list[Finding]:
    """Charge air far over the day's air before the launch: the cooler has not shed the last pass."""
    values = evidence.series("charge_temperature_c")
    if values is None:
        return []
    before = evidence.between(evidence.time_s[0], evidence.motion.moved_s) & np.isfinite(values)
    if np.count_nonzero(before) < 5:
        return []
    at_rest = float(np.median(values[before]))
    over = at_rest - evidence.record.conditions.air_temperature_c
    if over < evidence.limits["charge_soak_c"]:
        return []
    figures = {"charge_temperature_c": at_rest, "over_air_c": over}
    span = (float(evidence.time_s[0]), evidence.motion.moved_s)
    return [worded("charge-soak", Severity.WATCH, *span, ("charge_temperature_c",), figures)]


def cooler_effectiveness(evidence: Evidence) -> float:
    """Share of the compressor's heating that the charge cooler takes out over the last second of the pull.

    With an inlet temperature before the cooler from an assumed compressor; nan where pressure or temperature lack.
    """
    pressure, temperature = evidence.series("manifold_pressure_kpa"), evidence.series("charge_temperature_c")
    end = evidence.is_pulling & evidence.between(evidence.lift_s - 1.5, evidence.lift_s)
    if pressure is None or temperature is None or not np.isfinite((pressure + temperature)[end]).any():
        return float("nan")
    conditions = evidence.record.conditions
    ratio = float(np.nanmedian(pressure[end])) / conditions.pressure_kpa
    if ratio < 1.3:
        return float("nan")
    hot = charge.compressor_outlet_c(conditions.air_temperature_c, ratio, COMPRESSOR_EFFICIENCY)
    cooled = float(np.nanmedian(temperature[end]))
    return float(charge.cooler_effectiveness(hot, cooled, conditions.air_temperature_c))


def _weak_cooler(evidence: Evidence) -> list[Finding]:
    effectiveness = cooler_effectiveness(evidence)
    if not effectiveness < evidence.limits["cooler_effectiveness"]:
        return []
    span = (max(evidence.lift_s - 1.5, evidence.motion.moved_s), evidence.lift_s)
    channels = ("charge_temperature_c", "manifold_pressure_kpa")
    return [worded("weak-cooler", Severity.WATCH, *span, channels, {"cooler_effectiveness": effectiveness})]
