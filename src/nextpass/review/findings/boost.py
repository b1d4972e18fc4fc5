"""Does manifold pressure do what it is asked: too high, too low, slow, swinging, creeping, throttle in the way?

The target is the log's own, else the pass's pressure cap of the gear. Pressure may stand above a target that has just
come down, so that it is compared with the highest target of the last moment.
"""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from nextpass.measure import step_response
from nextpass.review.findings.evidence import Evidence, Stretch
from nextpass.review.findings.finding import Finding, Severity, worded

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

PRESSURE, TARGET, WASTEGATE = "manifold_pressure_kpa", "target_pressure_kpa", "wastegate_duty"
# Pressure needs this long to come down after its target has.
COME_DOWN_S = 0.6
# In each gear pressure is still rising for this long.
RISING_S = 0.9
# The turbocharger holds its target from here on, as a multiple of the car file's boost threshold.
HOLDS_FROM = 1.15
# Oscillation worth the name: this many turns, none slower than this.
TURNS, SLOWEST_TURN_S = 4, 0.6
# A step of the target that is large enough to time the answer, and the engine speed of the car file's rise time.
TIMED_STEP_KPA, RISE_AT_RPM = 25.0, 4000.0
# Creep lasts: a control that has overshot is back by then.
CREEP_S, CREEP_GROWTH_KPA, CREEP_HELPED_S = 0.8, 4.0, 0.3
# Pressure within this part of its target is where the control wants it.
HELPING = 0.025
# A throttle more closed than this is not trimming any more.
HELPS_MUCH = 0.65
# A wastegate at this duty or more is asked for pressure, not to let gas past.
ASKS_FOR_MORE = 0.55
# A throttle as open as this does not help; a gear that holds its pressure so long and so steadily shows an offset.
FREE_THROTTLE, OFFSET_S, STEADY_KPA = 0.95, 0.5, 3.0
# Rise is timed in the pressure's own first pull of a gear; below this share of the threshold speed nothing can rise.
RISES_FROM = 1.05


def find(evidence: Evidence) -> tuple[Finding, ...]:
    """Overshoot, creep, shortfall or leak, oscillation, slow rise, throttle closed by the control unit.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Finding
    """
    pressure = evidence.series(PRESSURE)
    target = target_pressure(evidence)
    if pressure is None or target is None:
        return tuple(_throttle_closed(evidence, _closed(evidence)))
    known = evidence.is_pulling & np.isfinite(pressure) & np.isfinite(target)
    helping = _helping(evidence, pressure, target)
    settled = known & ~(_closed(evidence) & ~helping)
    # The fuel's limit is held against what the log reads, whoever is right; all else against what the control sees.
    offset = _offset(evidence, pressure, target, settled)
    over_limit = _over_fuel_limit(evidence, pressure, settled)
    if offset:
        pressure = pressure - offset[0].evidence["over_target_kpa"]
    return (
        *offset,
        *over_limit,
        *_throttle_closed(evidence, _closed(evidence) & ~helping),
        *_creeping(evidence, pressure, target, helping & known),
        *_too_high(evidence, pressure, target, settled),
        *_too_low(evidence, pressure, target, settled),
        *_swinging(evidence, pressure, target, settled),
        *_slow(evidence, pressure, target),
    )


def _helping(evidence: Evidence, pressure: FloatArray, target: FloatArray) -> BoolArray:
    """A throttle that closes while pressure is where it should be: the pressure control's own helper.

    Not so one that is far closed while the wastegate is asked to stay shut: no control wants both.
    """
    throttle, wastegate = evidence.series("throttle"), evidence.series(WASTEGATE)
    with np.errstate(invalid="ignore"):
        helping = _closed(evidence) & (pressure > (1.0 - HELPING) * target)
        if throttle is not None and wastegate is not None:
            helping &= ~((throttle < HELPS_MUCH) & (wastegate > ASKS_FOR_MORE))
    return np.asarray(helping)


def target_pressure(evidence: Evidence) -> FloatArray | None:
    """Target of manifold pressure on the shared clock [kPa absolute], None where neither log nor setup tells it."""
    logged = evidence.series(TARGET)
    if logged is not None:
        return logged
    if evidence.trace is None:
        return None
    caps = np.asarray(evidence.record.setup.gear_pressure_cap_kpa)
    gear = np.clip(evidence.gear, 1, caps.size)
    return np.where(evidence.gear > 0, caps[gear - 1], np.nan)


def _closed(evidence: Evidence) -> BoolArray:
    throttle = evidence.series("throttle")
    if throttle is None:
        return np.zeros(evidence.time_s.size, dtype=np.bool_)
    with np.errstate(invalid="ignore"):
        return np.asarray(throttle < evidence.limits["throttle_closed"])


def _recent_most(evidence: Evidence, target: FloatArray) -> FloatArray:
    """Highest target of the last moment."""
    most = target.copy()
    for back in range(1, max(int(COME_DOWN_S / evidence.period_s), 1) + 1):
        most[back:] = np.fmax(most[back:], target[:-back])
    return most


def _gear_stretches(evidence: Evidence, settled: BoolArray, after_s: float = 0.0) -> Iterator[tuple[int, BoolArray]]:
    """Each gear with the settled samples that lie `after_s` into its pull."""
    for phase in evidence.phases:
        if phase.kind == "gear" and phase.gear is not None:
            inside = settled & evidence.between(phase.start_s + after_s, phase.end_s)
            if inside.any():
                yield phase.gear, inside


def _over_fuel_limit(evidence: Evidence, pressure: FloatArray, settled: BoolArray) -> list[Finding]:
    fuel = evidence.car.fuels.get(evidence.record.setup.fuel)
    if fuel is None:
        return []
    over = settled & (pressure > fuel.manifold_pressure_max_kpa + evidence.limits["over_fuel_limit_kpa"])
    found = []
    for stretch in evidence.stretches(over, evidence.limits["overshoot_s"])[:1]:
        figures = {
            "manifold_pressure_kpa_max": float(pressure[over].max()),
            "fuel_limit_kpa": fuel.manifold_pressure_max_kpa,
            "over_limit_s": evidence.seconds(over),
        }
        gear = evidence.gear_of(stretch)
        found.append(
            worded("over-fuel-limit", Severity.STOP, stretch.start_s, stretch.end_s, (PRESSURE,), figures, gear=gear)
        )
    return found


def _offset(evidence: Evidence, pressure: FloatArray, target: FloatArray, settled: BoolArray) -> list[Finding]:
    """Pressure that stands over its target by one amount in all gears, throttle open, while the control leaves it so.

    A control takes a lasting error out, as far as its gate and throttle reach: what it leaves it does not see. The same
    amount below the target is a shortfall until shown otherwise: a control without feedback leaves that too.
    """
    throttle, wastegate = evidence.series("throttle"), evidence.series(WASTEGATE)
    if throttle is None or wastegate is None or evidence.trace is None:
        return []
    limits = evidence.limits
    with np.errstate(invalid="ignore"):
        free = (
            (throttle > FREE_THROTTLE) & (wastegate > limits["wastegate_low"]) & (wastegate < limits["wastegate_high"])
        )
    holds = settled & free & (evidence.trace.engine_rpm > HOLDS_FROM * evidence.car.engine.boost_threshold_rpm)
    steady = [inside for _, inside in _gear_stretches(evidence, holds, RISING_S) if evidence.seconds(inside) > OFFSET_S]
    errors = [(pressure - target)[inside] for inside in steady]
    levels = [float(np.median(error)) for error in errors if np.subtract(*np.percentile(error, [75, 25])) < STEADY_KPA]
    if len(levels) < 2 or np.ptp(levels) > STEADY_KPA or np.median(levels) < limits["offset_kpa"]:
        return []
    figures = {"over_target_kpa": float(np.median(levels)), "gears_compared": float(len(levels))}
    times = evidence.time_s[np.any(steady, axis=0)]
    channels = (PRESSURE, TARGET, WASTEGATE)
    return [worded("sensor-offset", Severity.ACT, float(times[0]), float(times[-1]), channels, figures)]


def _too_high(evidence: Evidence, pressure: FloatArray, target: FloatArray, settled: BoolArray) -> list[Finding]:
    limits = evidence.limits
    allowed = _recent_most(evidence, target)
    excess = pressure - allowed
    margin = np.maximum(limits["overshoot"] * allowed, limits["overshoot_kpa"])
    found = []
    for gear, inside in _gear_stretches(evidence, settled):
        high = evidence.stretches(inside & (excess > margin), limits["overshoot_s"])
        if not high:
            continue
        longest = max(high, key=lambda stretch: stretch.end_s - stretch.start_s)
        creeping = _is_creep(evidence, excess, longest)
        most, share = float(excess[longest.samples].max()), float((excess / allowed)[longest.samples].max())
        figures = {
            "over_target_kpa_max": most,
            "over_target_ratio_max": share,
            "over_target_s": longest.end_s - longest.start_s,
            "target_pressure_kpa": float(np.median(allowed[longest.samples])),
        }
        code = "boost-creep" if creeping else "boost-overshoot"
        grave = creeping or (share > limits["overshoot_act"] and most > limits["overshoot_act_kpa"])
        severity = Severity.ACT if grave else Severity.WATCH
        channels = (PRESSURE, TARGET, WASTEGATE) if creeping else (PRESSURE, TARGET)
        found.append(worded(code, severity, longest.start_s, longest.end_s, channels, figures, gear=gear))
    return found


def _creeping(evidence: Evidence, pressure: FloatArray, target: FloatArray, helping: BoolArray) -> list[Finding]:
    """The throttle holds the pressure, or the wastegate is as open as it gets: the gate cannot pass the gas."""
    wastegate, throttle = evidence.series(WASTEGATE), evidence.series("throttle")
    if wastegate is None or throttle is None:
        return []
    with np.errstate(invalid="ignore"):
        unable = helping & ((throttle < HELPS_MUCH) | (wastegate < evidence.limits["wastegate_low"]))
    found = []
    for gear, stretches in evidence.by_gear(evidence.stretches(unable, CREEP_HELPED_S)).items():
        longest = max(stretches, key=lambda stretch: stretch.end_s - stretch.start_s)
        figures = {
            "throttle_min": float(np.nanmin(throttle[longest.samples])),
            "wastegate_duty": float(np.nanmedian(wastegate[longest.samples])),
            "over_target_kpa_max": float((pressure - target)[longest.samples].max()),
            "creep_s": longest.end_s - longest.start_s,
        }
        span = (longest.start_s, longest.end_s)
        channels = (PRESSURE, TARGET, WASTEGATE, "throttle")
        found.append(worded("boost-creep", Severity.ACT, *span, channels, figures, gear=gear))
    return found


def _is_creep(evidence: Evidence, excess: FloatArray, stretch: Stretch) -> bool:
    """Pressure that stays over target and grows, with the gate asked to be open where the log shows it."""
    if stretch.end_s - stretch.start_s < CREEP_S:
        return False
    part = excess[stretch.samples]
    third = max(part.size // 3, 1)
    grows = float(np.mean(part[-third:]) - np.mean(part[:third])) > CREEP_GROWTH_KPA
    wastegate = evidence.series(WASTEGATE)
    if wastegate is None:
        return grows
    return grows or float(np.nanmedian(wastegate[stretch.samples])) < evidence.limits["wastegate_low"]


def _too_low(evidence: Evidence, pressure: FloatArray, target: FloatArray, settled: BoolArray) -> list[Finding]:
    if evidence.trace is None:
        return []
    limits = evidence.limits
    able = evidence.trace.engine_rpm > HOLDS_FROM * evidence.car.engine.boost_threshold_rpm
    margin = np.maximum(limits["shortfall"] * target, limits["shortfall_kpa"])
    wastegate = evidence.series(WASTEGATE)
    found = []
    for gear, inside in _gear_stretches(evidence, settled & able, RISING_S):
        low = evidence.stretches(inside & (target - pressure > margin), limits["shortfall_s"])
        if not low:
            continue
        longest = max(low, key=lambda stretch: stretch.end_s - stretch.start_s)
        missing = (target - pressure)[longest.samples]
        figures = {
            "below_target_kpa": float(np.median(missing)),
            "below_target_s": longest.end_s - longest.start_s,
            "target_pressure_kpa": float(np.median(target[longest.samples])),
        }
        duty = float("nan") if wastegate is None else float(np.nanmedian(wastegate[longest.samples]))
        leaks = duty > limits["wastegate_high"]
        if np.isfinite(duty):
            figures["wastegate_duty"] = duty
        code = "boost-leak" if leaks else "boost-shortfall"
        channels = (PRESSURE, TARGET, WASTEGATE)
        found.append(worded(code, Severity.ACT, longest.start_s, longest.end_s, channels, figures, gear=gear))
    return found


def _swinging(evidence: Evidence, pressure: FloatArray, target: FloatArray, settled: BoolArray) -> list[Finding]:
    least = evidence.limits["oscillation_kpa"]
    found = []
    for gear, inside in _gear_stretches(evidence, settled, RISING_S):
        time_s, error = evidence.time_s[inside], (pressure - target)[inside]
        if time_s.size < 12:
            continue
        level = error - np.polyval(np.polyfit(time_s - time_s[0], error, 2), time_s - time_s[0])
        amplitude = float(np.percentile(np.abs(level), 85))
        outer = np.sign(np.where(np.abs(level) > 0.4 * least, level, 0.0))
        outer = outer[outer != 0.0]
        turns = int(np.count_nonzero(np.diff(outer)))
        period_s = 2.0 * float(time_s[-1] - time_s[0]) / max(turns, 1)
        if amplitude < least or turns < TURNS or period_s > 2.0 * SLOWEST_TURN_S:
            continue
        figures = {"oscillation_kpa": amplitude, "oscillation_hz": 1.0 / period_s, "turns": float(turns)}
        channels = (PRESSURE, TARGET, WASTEGATE)
        span = (float(time_s[0]), float(time_s[-1]))
        found.append(worded("boost-oscillation", Severity.WATCH, *span, channels, figures, gear=gear))
    return found


def _slow(evidence: Evidence, pressure: FloatArray, target: FloatArray) -> list[Finding]:
    """Rise time after a step of the target in a gear, against the car file's at the engine speed of the rise."""
    if evidence.trace is None:
        return []
    found = []
    for phase in evidence.phases:
        inside = evidence.between(phase.start_s, phase.end_s) & np.isfinite(pressure) & np.isfinite(target)
        if phase.kind != "gear" or np.count_nonzero(inside) < 6:
            continue
        time_s, values, rpm = evidence.time_s[inside], pressure[inside], evidence.trace.engine_rpm[inside]
        goal = float(np.median(target[inside]))
        if goal - values[0] < TIMED_STEP_KPA:
            continue
        able = rpm > RISES_FROM * evidence.car.engine.boost_threshold_rpm
        if not able[: able.size // 2].any():
            continue
        first = int(np.argmax(able))
        start = float(values[first])
        if goal - start < TIMED_STEP_KPA or time_s.size - first < 4:
            continue
        rise_s = step_response(time_s[first:], values[first:], start, goal).rise_s
        if np.isnan(rise_s):
            # Not risen by the end of the gear: it takes longer than the gear gave it.
            rise_s = float(time_s[-1] - time_s[first])
        risen = first + int(np.argmax(values[first:] >= start + 0.9 * (goal - start)))
        usual_s = evidence.car.engine.boost_rise_time_s * RISE_AT_RPM / float(np.mean(rpm[first : risen + 1]))
        if not rise_s > evidence.limits["rise_factor"] * usual_s:
            continue
        figures = {"boost_rise_s": rise_s, "boost_rise_usual_s": usual_s, "target_step_kpa": goal - start}
        span = (float(time_s[first]), float(time_s[first]) + rise_s)
        channels = (PRESSURE, TARGET, WASTEGATE)
        found.append(worded("boost-slow", Severity.WATCH, *span, channels, figures, gear=phase.gear))
    return found


def _throttle_closed(evidence: Evidence, closed: BoolArray) -> list[Finding]:
    """The throttle less open than the driver's foot asks, in a gear and not for a shift: one finding a gear."""
    throttle = evidence.series("throttle")
    if throttle is None:
        return []
    pedal = evidence.series("pedal")
    closed = closed & evidence.is_pulling
    if pedal is not None:
        closed &= pedal > evidence.limits["throttle_closed"]
    found = []
    for gear, in_gear in evidence.by_gear(evidence.stretches(closed, evidence.limits["throttle_closed_s"])).items():
        figures = {
            "throttle_min": min(float(np.nanmin(throttle[stretch.samples])) for stretch in in_gear),
            "throttle_closed_s": sum(stretch.end_s - stretch.start_s for stretch in in_gear),
        }
        span = (in_gear[0].start_s, in_gear[-1].end_s)
        channels = ("throttle", "pedal")
        found.append(worded("throttle-closed", Severity.ACT, *span, channels, figures, gear=gear))
    return found
