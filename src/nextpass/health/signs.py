"""Signs: figures of one pass that speak for or against the cause of a trouble code, by name with unit.

Where a finding says that something is wrong, a sign says how: is pressure short early in a gear or to its end, is the
mixture lean from the first pull or only where the injectors have run out, did the rail fall first. What a log does not
have is nan, and then speaks neither for nor against.
"""

from collections.abc import Mapping
from typing import Final

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car
from nextpass.health.wear import idle_seconds
from nextpass.review import Evidence, Phase
from nextpass.review.findings import cooler_effectiveness, rail_loss

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
NAN: Final = float("nan")

# The engine holds its target from this multiple of the boost threshold on; a target that has come down needs a while.
_HOLDS_FROM, _COME_DOWN_S = 1.15, 0.6
# Long enough in a gear that its beginning and its end can be told apart.
_LONG_GEAR_S, _RISING_S, _END_S = 1.6, 0.9, 0.5
_LEAST_SAMPLES = 6


def signs_of(car: Car, evidence: Evidence) -> Mapping[str, float]:
    """Every sign that a pass shows.

    Parameters
    ----------
    car : Car
    evidence : Evidence

    Returns
    -------
    Mapping of str to float
        Finite values only.
    """
    found = {"pressure_missing_staged": _staged(evidence), "cooler_effectiveness": cooler_effectiveness(evidence)}
    for part in (_boost, _wastegate, _mixture, _supply, _throttle, _standing, _levels):
        found |= part(car, evidence)
    return {name: value for name, value in found.items() if np.isfinite(value)}


def _missing_pressure(car: Car, evidence: Evidence) -> tuple[FloatArray, BoolArray] | None:
    """Share of the target pressure that is missing, and where the engine is able to hold it."""
    pressure, target = evidence.series("manifold_pressure_kpa"), evidence.series("target_pressure_kpa")
    if pressure is None or target is None or evidence.trace is None:
        return None
    able = evidence.is_pulling & (evidence.trace.engine_rpm > _HOLDS_FROM * car.engine.boost_threshold_rpm)
    missing = 1.0 - pressure / target
    return missing, np.asarray(able & np.isfinite(missing))


def _long_gears(evidence: Evidence) -> list[Phase]:
    return [phase for phase in evidence.phases if phase.kind == "gear" and phase.end_s - phase.start_s > _LONG_GEAR_S]


def _boost(car: Car, evidence: Evidence) -> dict[str, float]:
    """Missing and excess pressure early in the long gears, at their ends, and how both go with engine speed."""
    known = _missing_pressure(car, evidence)
    if known is None:
        return {}
    missing, able = known
    early, late, excess, growth = [], [], [], []
    for phase in _long_gears(evidence):
        first = able & evidence.between(phase.start_s + 0.3, phase.start_s + _RISING_S)
        last = able & evidence.between(phase.end_s - _END_S, phase.end_s)
        if np.count_nonzero(first) >= _LEAST_SAMPLES and np.count_nonzero(last) >= _LEAST_SAMPLES:
            early.append(float(np.median(missing[first])))
            late.append(float(np.median(missing[last])))
            excess.append(float(np.percentile(-missing[able & evidence.between(phase.start_s, phase.end_s)], 95)))
            growth.append(early[-1] - late[-1])
    if not early:
        return {}
    return {
        "pressure_missing_early": max(early),
        "pressure_missing_late": max(late),
        "pressure_excess": max(excess),
        "pressure_excess_late": max(-value for value in late),
        "pressure_recovers": max(growth),
    }


def _staged(evidence: Evidence) -> float:
    """Share of the pressure set for the line that is missing just before the car moves."""
    pressure = evidence.series("manifold_pressure_kpa")
    if pressure is None or not evidence.motion.from_rest:
        return NAN
    moved_s = evidence.motion.moved_s
    held = _median(pressure, evidence.between(moved_s - 0.4, moved_s - 0.05))
    return 1.0 - held / evidence.record.setup.launch_pressure_kpa


def _wastegate(car: Car, evidence: Evidence) -> dict[str, float]:
    """Duty of the wastegate while pressure is missing, and while there is too much of it."""
    known, duty = _missing_pressure(car, evidence), evidence.series("wastegate_duty")
    if known is None or duty is None:
        return {}
    missing, able = known
    found = {"wastegate_duty": _median(duty, able)}
    ends = np.zeros_like(able)
    for phase in _long_gears(evidence):
        ends |= evidence.between(phase.end_s - _END_S, phase.end_s)
    found["wastegate_duty_late"] = _median(duty, able & ends)
    found["wastegate_duty_while_short"] = _median(duty, able & (missing > 0.04))
    found["wastegate_duty_while_over"] = _median(duty, able & (missing < -0.03))
    return found


def _mixture(_car: Car, evidence: Evidence) -> dict[str, float]:
    """Lambda over its target and trims of each bank; lean only at the end of the gears or from their beginning."""
    found: dict[str, float] = {}
    target = evidence.series("lambda_target")
    wanted = np.full(evidence.time_s.shape, evidence.car.guards.wot_lambda_max - 0.05) if target is None else target
    over = {}
    for bank in (1, 2):
        lambda_ = evidence.series(f"lambda_bank{bank}")
        if lambda_ is not None:
            over[bank] = lambda_ - wanted
            found[f"lambda_over_bank{bank}"] = _median(over[bank], evidence.is_pulling)
        trims = [evidence.series(f"{kind}_trim_bank{bank}") for kind in ("short", "long")]
        known = [values for values in trims if values is not None]
        if known:
            found[f"trim_bank{bank}"] = _median(np.asarray(np.sum(known, axis=0)), evidence.is_pulling)
    if over:
        worst = np.nanmax(np.stack(list(over.values())), axis=0)
        found["lambda_over"] = _median(np.nanmean(np.stack(list(over.values())), axis=0), evidence.is_pulling)
        found |= _lean_where(evidence, worst)
    if len(over) == 2:
        found["banks_apart"] = abs(found["lambda_over_bank1"] - found["lambda_over_bank2"])
    if "trim_bank1" in found and "trim_bank2" in found:
        found["trims_apart"] = abs(found["trim_bank1"] - found["trim_bank2"])
    trims_seen = [found[name] for name in ("trim_bank1", "trim_bank2") if name in found]
    if trims_seen:
        found["trim_mean"] = float(np.mean(trims_seen))
    return found


def _lean_where(evidence: Evidence, over: FloatArray) -> dict[str, float]:
    """Excess lambda where little fuel is asked for, and where most is."""
    duty = evidence.series("injector_duty")
    if duty is None or not evidence.is_pulling.any():
        return {}
    pulling = evidence.is_pulling & np.isfinite(duty)
    low, high = np.percentile(duty[pulling], [35, 85]) if pulling.any() else (NAN, NAN)
    with np.errstate(invalid="ignore"):
        little, much = _median(over, pulling & (duty <= low)), _median(over, pulling & (duty >= high))
    return {"lambda_over_little_duty": little, "lambda_over_much_duty": much, "lambda_grows": much - little}


def _supply(_car: Car, evidence: Evidence) -> dict[str, float]:
    found: dict[str, float] = {}
    pulling = evidence.is_pulling
    duty, loss = evidence.series("injector_duty"), rail_loss(evidence)
    if duty is not None and pulling.any():
        found["injector_duty_max"] = float(np.nanpercentile(duty[pulling], 99))
    if loss is not None and pulling.any():
        found["rail_pressure_drop"] = float(np.nanpercentile(loss[pulling], 98))
    second = evidence.series("second_pump_on")
    if second is not None and loss is not None:
        with np.errstate(invalid="ignore"):
            sagging = pulling & (loss > 0.04)
        if np.count_nonzero(sagging) >= _LEAST_SAMPLES:
            found["second_pump_on_while_sagging"] = float(np.nanmean(second[sagging]))
    pump = evidence.series("fuel_pump_duty")
    if pump is not None and pulling.any():
        found["fuel_pump_duty_max"] = float(np.nanpercentile(pump[pulling], 98))
    return found


def _throttle(_car: Car, evidence: Evidence) -> dict[str, float]:
    throttle, pedal = evidence.series("throttle"), evidence.series("pedal")
    if throttle is None:
        return {}
    open_foot = evidence.is_pulling if pedal is None else evidence.is_pulling & (pedal > 0.9)
    return {"throttle": _median(throttle, open_foot), "throttle_spread": _spread(throttle, open_foot)}


def _standing(car: Car, evidence: Evidence) -> dict[str, float]:
    """What stands still says before the launch: idle vacuum, charge pressure against the barometer."""
    found: dict[str, float] = {}
    log = evidence.log
    time_s, idling = idle_seconds(car, log)
    pressure, charge = log.get("manifold_pressure_kpa"), log.get("charge_pressure_kpa")
    barometer = evidence.record.conditions.pressure_kpa
    if np.count_nonzero(idling) >= _LEAST_SAMPLES:
        if pressure is not None:
            found["idle_pressure_kpa"] = float(np.nanmedian(pressure.at(time_s)[idling]))
        if charge is not None:
            found["idle_charge_over_air_kpa"] = float(np.nanmedian(charge.at(time_s)[idling])) - barometer
        engine = log.get("engine_rpm")
        if engine is not None:
            found["idle_swing_rpm"] = float(np.std(engine.values[idling]))
    if pressure is not None and charge is not None:
        # At full throttle the manifold never stands over the charge pipe: one of the two sensors is wrong.
        with np.errstate(invalid="ignore"):
            over = pressure.at(evidence.time_s) - charge.at(evidence.time_s)
        found["manifold_over_charge_kpa"] = _median(over, evidence.is_pulling)
    return found


def _levels(_car: Car, evidence: Evidence) -> dict[str, float]:
    """Extremes of temperatures, voltage, knock; excess of charge air over what the cooler should give."""
    found: dict[str, float] = {}
    powered = evidence.between(evidence.motion.moved_s, evidence.lift_s)
    for channel, name, share in (
        ("coolant_temperature_c", "coolant_c", 98),
        ("oil_temperature_c", "oil_c", 98),
        ("gearbox_oil_temperature_c", "gearbox_oil_c", 98),
        ("charge_temperature_c", "charge_c", 98),
        ("battery_v", "battery_v", 5),
        ("knock_retard_deg", "knock_retard_deg", 98),
        ("clutch_slip_rpm", "clutch_slip_rpm", 95),
    ):
        values = evidence.series(channel)
        if values is not None and np.isfinite(values[powered]).any():
            found[name] = float(np.nanpercentile(values[powered], share))
    coolant = evidence.series("coolant_temperature_c")
    if coolant is not None:
        start = evidence.between(evidence.motion.moved_s - 1.0, evidence.motion.moved_s)
        if np.isfinite(coolant[start]).any() and "coolant_c" in found:
            found["coolant_climb_c"] = found["coolant_c"] - float(np.nanmedian(coolant[start]))
    counts = [
        float(np.nanmax(channel.values) - np.nanmin(channel.values))
        for name, channel in evidence.log.channels.items()
        if name.startswith("misfire_count") and np.isfinite(channel.values).any()
    ]
    if counts:
        found["misfires"] = max(counts)
    return found


def _median(values: FloatArray, where: BoolArray) -> float:
    use = where & np.isfinite(values)
    return float(np.median(values[use])) if np.count_nonzero(use) >= _LEAST_SAMPLES else NAN


def _spread(values: FloatArray, where: BoolArray) -> float:
    use = where & np.isfinite(values)
    return float(np.std(values[use])) if np.count_nonzero(use) >= _LEAST_SAMPLES else NAN
