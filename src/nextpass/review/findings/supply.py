"""Can the fuel supply follow: injectors, rail pressure, the second pump?"""

import numpy as np
from numpy.typing import NDArray

from nextpass.review.findings.evidence import Evidence
from nextpass.review.findings.finding import Finding, Severity, worded
from nextpass.review.findings.fuelling import wanted_lambda

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

DUTY, RAIL = "injector_duty", "rail_pressure_kpa"
# Rail pressure is led by its level while little fuel is drawn: below this share of the most.
LITTLE_DEMAND = 0.35
# Twice the guard's loss, or a loss with the mixture going lean, is not to be repeated.
SAG_STOP = 2.0


def find(evidence: Evidence) -> tuple[Finding, ...]:
    """Injector duty and headroom, rail pressure against demand, second pump.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Finding
    """
    return (*_injectors(evidence), *_rail(evidence), *_second_pump(evidence))


def _injectors(evidence: Evidence) -> list[Finding]:
    duty = evidence.series(DUTY)
    if duty is None or not evidence.is_pulling.any():
        return []
    limits, guard = evidence.limits, evidence.car.guards.injector_duty
    with np.errstate(invalid="ignore"):
        static = evidence.stretches(
            evidence.is_pulling & (duty >= limits["injector_static"]), limits["injector_static_s"]
        )
        over = evidence.stretches(evidence.is_pulling & (duty > guard), 2.0 * evidence.period_s)
    most = float(np.nanpercentile(duty[evidence.is_pulling], 99.5))
    at = int(np.nanargmax(np.where(evidence.is_pulling, duty, -1.0)))
    figures = {"injector_duty_max": most, "injector_duty_guard": guard, "engine_rpm": _rpm_at(evidence, at)}
    if static:
        span = (static[0].start_s, static[-1].end_s)
        gear = evidence.gear_of(static[0])
        return [worded("injector-static", Severity.STOP, *span, (DUTY,), figures, gear=gear)]
    if over:
        span = (over[0].start_s, over[-1].end_s)
        return [worded("injector-duty", Severity.ACT, *span, (DUTY,), figures, gear=evidence.gear_of(over[0]))]
    more = most * (1.0 + limits["headroom_air"])
    if more > guard:
        figures["injector_duty_with_more_air"] = more
        time_s = float(evidence.time_s[at])
        return [
            worded("injector-headroom", Severity.NOTE, time_s, time_s, (DUTY,), figures, gear=_gear_at(evidence, at))
        ]
    return []


def rail_loss(evidence: Evidence) -> FloatArray | None:
    """Share of rail pressure that is missing, against its target or its own level at little demand; None without it."""
    rail = evidence.series(RAIL)
    if rail is None:
        return None
    target = evidence.series("rail_target_kpa")
    if target is not None:
        return np.asarray(1.0 - rail / np.where(target > 0.0, target, np.nan))
    demand = evidence.series(DUTY)
    quiet = evidence.time_s < evidence.motion.moved_s
    if demand is not None and np.isfinite(demand).any():
        quiet = np.asarray(demand < LITTLE_DEMAND * np.nanmax(demand))
    quiet &= np.isfinite(rail)
    return np.asarray(1.0 - rail / np.median(rail[quiet])) if np.count_nonzero(quiet) > 5 else None


def _rail(evidence: Evidence) -> list[Finding]:
    loss = rail_loss(evidence)
    if loss is None:
        return []
    limits, guard = evidence.limits, evidence.car.guards.rail_pressure_drop
    # The mean of a tenth of a second: a rail gauge swings with every injection.
    width = max(int(0.12 / evidence.period_s), 1)
    smooth = np.convolve(np.nan_to_num(loss), np.ones(width) / width, mode="same")
    sagging = evidence.stretches(evidence.is_pulling & (smooth > limits["rail_watch"]), limits["rail_s"])
    if not sagging:
        return []
    worst = max(sagging, key=lambda stretch: float(smooth[stretch.samples].max()))
    most = float(smooth[worst.samples].max())
    severity = Severity.WATCH
    if most >= guard:
        leans = _leans(evidence, worst.samples)
        severity = Severity.STOP if leans or most > SAG_STOP * guard else Severity.ACT
    rail = evidence.series(RAIL)
    assert rail is not None
    figures = {
        "rail_pressure_drop": most,
        "rail_pressure_drop_guard": guard,
        "rail_pressure_kpa_min": float(np.nanmin(rail[worst.samples])),
        # Flow through an injector goes with the root of its pressure (Bernoulli).
        "flow_lost": 1.0 - float(np.sqrt(max(1.0 - most, 0.0))),
    }
    gear = evidence.gear_of(worst)
    return [worded("rail-sag", severity, worst.start_s, worst.end_s, (RAIL, DUTY), figures, gear=gear)]


def _leans(evidence: Evidence, samples: slice) -> bool:
    lambda_ = evidence.series("lambda_bank1")
    if lambda_ is None:
        return False
    excess = (lambda_ - wanted_lambda(evidence))[samples]
    return bool(np.nanmedian(excess) > evidence.limits["lean"])


def _second_pump(evidence: Evidence) -> list[Finding]:
    """Sagging rail while the pump that should come in with demand stays off."""
    has_second = any(pump.drive == "on_off" and pump.flow_l_h > 0.0 for pump in evidence.car.fuel_system.pumps[1:])
    is_on, loss = evidence.series("second_pump_on"), rail_loss(evidence)
    if not has_second or is_on is None or loss is None:
        return []
    with np.errstate(invalid="ignore"):
        sagging = evidence.is_pulling & (loss > evidence.limits["rail_watch"])
        missing = evidence.stretches(sagging & (is_on < 0.5), evidence.limits["rail_s"])
    if not missing:
        return []
    figures = {
        "rail_pressure_drop": float(np.nanmax(loss[missing[0].samples])),
        "second_pump_on_s": evidence.seconds(is_on > 0.5),
    }
    span = (missing[0].start_s, missing[-1].end_s)
    channels = ("second_pump_on", RAIL)
    return [worded("second-pump", Severity.ACT, *span, channels, figures, gear=evidence.gear_of(missing[0]))]


def _rpm_at(evidence: Evidence, index: int) -> float:
    return float("nan") if evidence.trace is None else float(evidence.trace.engine_rpm[index])


def _gear_at(evidence: Evidence, index: int) -> int | None:
    return int(evidence.gear[index]) or None
