"""Figures of one pass that tell of wear when they are laid side by side over a season.

Each is made so that setup and day disturb it little: a clutch's capacity from its torque over pressure while it slips
and the pressure that the box gives it, a pump's strength from the flow that it brings for its duty, the idle from the
seconds before staging. What a log cannot show is nan, and the figure is not in the ledger of that pass.
"""

from collections.abc import Callable, Mapping
from typing import Final

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car
from nextpass.log import Log
from nextpass.measure import Estimate
from nextpass.physics import air
from nextpass.review import Evidence
from nextpass.review.findings import cooler_effectiveness, rail_loss

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
NAN: Final = float("nan")

# The idle that is judged: slow, standing, closed throttle, and long enough for its swing to show.
IDLE_OVER, IDLE_S = 1.35, 2.0
# A pack's torque over its pressure is read while it slips by more than this under more than this torque.
SLIPPING_RPM, CARRYING_NM, LEAST_SLIPPING = 120.0, 80.0, 8
# Relative standard error of torque over pressure up to which the line is used.
SLOPE_SURE: Final = 0.04
# A pump's strength is read between these duties, below the other pump's help.
PUMP_DUTY_BETWEEN = (0.35, 0.98)
PUMP_DROOP: Final = 0.3
"""Share of its flow that a pump loses when it works against twice its rated pressure (common practice)."""
LEAST_SAMPLES: Final = 10


def wear_figures(car: Car, evidence: Evidence) -> dict[str, float]:
    """Every figure of a pass that its log supports, by name with unit.

    Parameters
    ----------
    car : Car
    evidence : Evidence

    Returns
    -------
    dict of str to float
        Finite values only.
    """
    found: dict[str, float] = {}
    for part in (_clutches, _shifts, _idle, _trims, _supply, _temperatures, _rest):
        found |= part(car, evidence)
    return {name: value for name, value in found.items() if np.isfinite(value)}


def _clutches(_car: Car, evidence: Evidence) -> dict[str, float]:
    """Bite pressure and torque over pressure of pack A in the launch; capacity of both at the pressure they are given.

    Pack B has no launch of its own: its torque over pressure is taken to be A's, and its own pressure tells the rest.
    """
    torque = evidence.series("clutch_torque_nm")
    pressures = {pack: evidence.series(f"clutch_{pack}_pressure_kpa") for pack in ("a", "b")}
    launch = next((phase for phase in evidence.phases if phase.kind == "launch"), None)
    if torque is None or pressures["a"] is None or launch is None or evidence.trace is None:
        return {}
    slip = evidence.trace.clutch_slip_rpm
    with np.errstate(invalid="ignore"):
        slipping = evidence.between(launch.start_s, launch.end_s) & (slip > SLIPPING_RPM) & (torque > CARRYING_NM)
    bite_kpa, nm_per_kpa = _straight(pressures["a"][slipping], torque[slipping])
    found = {"clutch_a_bite_kpa": bite_kpa, "clutch_nm_per_kpa": nm_per_kpa}
    # A pack holds its gears: A the odd ones, B the even ones.
    for pack, odd in (("a", 1), ("b", 0)):
        pressure = pressures[pack]
        holding = evidence.is_pulling & (evidence.gear % 2 == odd)
        if pressure is not None and np.count_nonzero(holding) > LEAST_SAMPLES:
            held_kpa = float(np.nanmedian(pressure[holding]))
            found[f"clutch_{pack}_held_kpa"] = held_kpa
            found[f"clutch_{pack}_capacity_nm"] = nm_per_kpa * (held_kpa - bite_kpa)
    carried = torque[evidence.is_pulling]
    if carried.size > LEAST_SAMPLES:
        found["clutch_torque_nm_max"] = float(np.nanpercentile(carried, 99))
    return found


def _straight(pressure_kpa: FloatArray, torque_nm: FloatArray) -> tuple[float, float]:
    """Pressure of no torque, and torque over pressure, by a line through slipping samples; nan where it is not sure."""
    known = np.isfinite(pressure_kpa) & np.isfinite(torque_nm)
    x, y = pressure_kpa[known], torque_nm[known]
    if x.size < LEAST_SLIPPING or float(np.ptp(x)) < 0.15 * float(np.max(x)):
        return NAN, NAN
    # Both are measured, so that neither is taken as free of error: the geometric mean of the two regressions.
    together = float(np.corrcoef(x, y)[0, 1])
    slope = float(np.std(y) / np.std(x))
    if together <= 0.0 or float(np.sqrt((1.0 - together**2) / (x.size - 2))) > SLOPE_SURE:
        return NAN, NAN
    return float(np.mean(x) - np.mean(y) / slope), slope


def _shifts(_car: Car, evidence: Evidence) -> dict[str, float]:
    taken = [phase.end_s - phase.start_s for phase in evidence.phases if phase.kind == "shift"]
    # A shift is timed between samples; the mean of several knows more than any one.
    return {"shift_s": float(np.mean(taken))} if len(taken) >= 2 else {}


def idle_seconds(car: Car, log: Log) -> tuple[FloatArray, BoolArray]:
    """Clock of the engine speed, and which of its samples are idle: standing, closed throttle, slow.

    Parameters
    ----------
    car : Car
    log : Log

    Returns
    -------
    ndarray, shape (n,)
        Times [s].
    ndarray of bool, shape (n,)
        All False where the log has no engine speed or shows no idle of `IDLE_S`.
    """
    engine = log.get("engine_rpm")
    if engine is None:
        return np.empty(0), np.empty(0, dtype=np.bool_)
    time_s = engine.time_s
    idling = np.abs(engine.values - car.engine.idle_rpm) < (IDLE_OVER - 1.0) * car.engine.idle_rpm
    for name, most in (
        ("vehicle_speed_mps", 0.8),
        ("gps_speed_mps", 0.8),
        ("pedal", 0.05),
        ("wheel_speed_fl_mps", 0.8),
    ):
        channel = log.get(name)
        if channel is not None:
            with np.errstate(invalid="ignore"):
                idling &= ~(channel.at(time_s) > most)
    edges = np.flatnonzero(np.diff(np.concatenate([[0], idling.astype(np.int8), [0]]))).reshape(-1, 2)
    for first, stop in edges:
        # The run-up at the end of an idle belongs to what follows.
        if time_s[stop - 1] - time_s[first] < IDLE_S:
            idling[first:stop] = False
    return time_s, idling


def _idle(car: Car, evidence: Evidence) -> dict[str, float]:
    engine = evidence.log.get("engine_rpm")
    time_s, idling = idle_seconds(car, evidence.log)
    if engine is None or np.count_nonzero(idling) < LEAST_SAMPLES:
        return {}
    before = idling & (time_s < evidence.motion.moved_s)
    # The last half second may hold the first of the run-up.
    if before.any():
        before &= time_s < float(time_s[before][-1]) - 0.5
    values = engine.values[before]
    if values.size < LEAST_SAMPLES:
        return {}
    return {"idle_roughness_rpm": swing_rpm(time_s[before], values), "idle_rpm": float(np.median(values))}


def swing_rpm(time_s: FloatArray, values: FloatArray) -> float:
    """How much an idle swings about its slow course: standard deviation without the noise between samples [rpm].

    Parameters
    ----------
    time_s, values : ndarray, shape (n,)
        Times [s] and engine speed [rpm].
    """
    level = np.polyval(np.polyfit(time_s - time_s[0], values, 1), time_s - time_s[0])
    # Neighbouring samples of a swing that takes a good part of a second differ by noise alone.
    noise = 0.5 * float(np.mean(np.diff(values) ** 2))
    return float(np.sqrt(max(float(np.var(values - level)) - noise, 0.0)))


def _trims(_car: Car, evidence: Evidence) -> dict[str, float]:
    """Learned trims, which a pass hardly moves, with what the short ones show beside them at idle and in the pull."""
    found = {}
    for bank in (1, 2):
        parts = [evidence.log.get(f"{kind}_trim_bank{bank}") for kind in ("long", "short")]
        known = [float(np.nanmedian(part.values)) for part in parts if part is not None]
        if known:
            found[f"trim_bank{bank}"] = float(np.sum(known))
    if len(found) == 2:
        found["trims_apart"] = found["trim_bank2"] - found["trim_bank1"]
    return found


def _supply(car: Car, evidence: Evidence) -> dict[str, float]:
    found = {}
    duty = evidence.series("injector_duty")
    if duty is not None and evidence.is_pulling.any():
        found["injector_duty_max"] = float(np.nanpercentile(duty[evidence.is_pulling], 99.5))
        pressure = evidence.series("manifold_pressure_kpa")
        if pressure is not None and evidence.trace is not None:
            # Air, and so fuel and duty, goes with pressure times engine speed over the charge's absolute temperature.
            charge = evidence.series("charge_temperature_c")
            cold = 1.0 if charge is None else 300.0 / (charge + air.KELVIN)
            burden = pressure / 100.0 * evidence.trace.engine_rpm / 1000.0 * cold
            with np.errstate(invalid="ignore"):
                busy = evidence.is_pulling & (duty > 0.3) & (duty < 0.97)
            if np.count_nonzero(busy) > LEAST_SAMPLES:
                found["injector_duty_per_air"] = float(np.nanmedian(duty[busy] / burden[busy]))
    loss = rail_loss(evidence)
    if loss is not None and evidence.is_pulling.any():
        found["rail_pressure_drop"] = float(np.nanpercentile(loss[evidence.is_pulling], 98))
    strength = _pump_strength(car, evidence)
    if np.isfinite(strength):
        found["pump_strength"] = strength
    return found


def _pump_strength(car: Car, evidence: Evidence) -> float:
    """Flow that the first pump would bring at full duty over its rating [-], from what the injectors take.

    A pump gives less the more pressure it works against, and a worn one is helped by the second earlier, at less
    pressure: its flow is brought to the rated pressure against the day's air.
    """
    system = car.fuel_system
    pump, duty = evidence.series("fuel_pump_duty"), evidence.series("injector_duty")
    rail, second = evidence.series("rail_pressure_kpa"), evidence.series("second_pump_on")
    manifold = evidence.series("manifold_pressure_kpa")
    if pump is None or duty is None or manifold is None or not system.pumps:
        return NAN
    pressure = np.full(duty.shape, system.rated_pressure_kpa) if rail is None else rail
    static_l_h = (
        system.injector_count
        * system.injector_flow_cc_min
        * 0.06
        * np.sqrt(np.maximum(pressure, 1.0) / system.rated_pressure_kpa)
    )
    low, high = PUMP_DUTY_BETWEEN
    with np.errstate(invalid="ignore"):
        alone = evidence.is_pulling & (pump > low) & (pump < high) & (duty < 0.97) & np.isfinite(manifold)
        if second is not None:
            alone &= second < 0.5
    if np.count_nonzero(alone) < LEAST_SAMPLES:
        return NAN
    against = (manifold[alone] - evidence.record.conditions.pressure_kpa) / system.rated_pressure_kpa
    flow_l_h = static_l_h[alone] * duty[alone] / (1.0 - PUMP_DROOP * against)
    return float(np.nanmedian(flow_l_h / pump[alone])) / system.pumps[0].flow_l_h


def _temperatures(_car: Car, evidence: Evidence) -> dict[str, float]:
    """Where each fluid stood when the car was launched."""
    found = {}
    for name in ("coolant_temperature_c", "oil_temperature_c", "gearbox_oil_temperature_c"):
        channel = evidence.log.get(name)
        if channel is not None:
            found[f"launch_{name}"] = float(channel.at(np.array([evidence.motion.moved_s]))[0])
    return found


def _rest(_car: Car, evidence: Evidence) -> dict[str, float]:
    found = {"cooler_effectiveness": cooler_effectiveness(evidence)}
    pulling = evidence.is_pulling
    figures: Mapping[str, tuple[str, Callable[[FloatArray], float]]] = {
        "battery_v": ("battery_v_min", lambda values: float(np.nanpercentile(values, 5))),
        "oil_pressure_kpa_gauge": ("oil_pressure_kpa_gauge", lambda values: float(np.nanmedian(values))),
        "knock_retard_deg": ("knock_retard_deg_max", lambda values: float(np.nanpercentile(values, 99))),
    }
    for channel, (name, figure) in figures.items():
        values = evidence.series(channel)
        if values is not None and np.isfinite(values[pulling]).any():
            found[name] = figure(values[pulling])
    radius = evidence.motion.rolling_radius
    if isinstance(radius, Estimate):
        found["rolling_radius_m"] = radius.value
    for wheel in ("fl", "fr", "rl", "rr"):
        pressure = evidence.log.get(f"tyre_pressure_{wheel}_kpa_gauge")
        if pressure is not None:
            known = pressure.values[np.isfinite(pressure.values)]
            if known.size:
                found[f"tyre_pressure_{wheel}_kpa_gauge"] = float(known[0])
    return found
