"""One pass from pedal down: the parts in their order, the beams, the tally and the trace.

Fast parts (engine torque, clutch, shafts, wheels, tyres, body) take the step `dt_s`; what moves slowly (control,
charge, fuel, knock, heat) takes every fourth. Semi-implicit Euler: speeds first, then what follows from them.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from nextpass.proving.model.body import move, squat
from nextpass.proving.model.charge import throttle, turbocharger, wastegate
from nextpass.proving.model.compiled import compiled
from nextpass.proving.model.control import DRIVE, LAUNCH, LIFTED, STAGED, control
from nextpass.proving.model.driveline import shafts, wheels
from nextpass.proving.model.engine import engine_torque, spark
from nextpass.proving.model.fuel import mixture
from nextpass.proving.model.heat import fluids
from nextpass.proving.model.layout import MARKS_M
from nextpass.proving.model.tyre import CREEP_MPS, tyre_forces

SLOW_EVERY = 4
SPIN = 0.20


@compiled
def torque_request(c: Any, s: Any, dt: float) -> None:
    """The share of torque that the control unit lets through: quick to go, slower to return."""
    target = 0.0 if s.limiter_on > 0.5 else s.fraction_target * (1.0 - s.slip_cut)
    lag_s = c.torque_lag_s if target < s.torque_fraction else c.torque_return_s
    s.torque_fraction += dt * (target - s.torque_fraction) / lag_s


@compiled
def fast_step(c: Any, s: Any, y: Any, grip: NDArray[np.float64], volumetric: NDArray[np.float64], dt: float) -> None:
    """Everything that moves the car."""
    torque_request(c, s, dt)
    engine_torque(c, s, volumetric)
    if s.phase == STAGED:
        # The brakes hold the car; only the engine turns.
        s.engine_rate_radps2 = s.engine_nm / c.engine_inertia_kgm2
        s.engine_radps = max(s.engine_radps + dt * s.engine_rate_radps2, 0.0)
        return
    for pack in range(2):
        s.clamp_nm[pack] += dt * (s.clamp_command_nm[pack] - s.clamp_nm[pack]) / c.clutch_lag_s
        if s.clamp_command_nm[pack] <= 0.0 and s.clamp_nm[pack] < 1.0:
            s.clamp_nm[pack] = 0.0
    shafts(c, s, y, dt)
    is_braking = s.phase == LIFTED and s.time_s - s.phase_since_s > c.brake_after_s
    wheels(c, s, y, c.brake_force_n * c.radius_m if is_braking else 0.0, dt)
    y.tyre_loss_j += tyre_forces(c, s, grip, dt) * dt
    squat(c, s, dt)
    move(c, s, y, dt)


@compiled
def slow_step(c: Any, s: Any, y: Any, volumetric: NDArray[np.float64], dt: float) -> None:
    """Everything that only sets what the engine and gearbox do."""
    turn = 2.0 * np.pi * s.time_s
    s.wind_mps = c.headwind_mps + c.gust_mps * (
        np.sin(0.31 * turn + c.gust_phase) + 0.6 * np.sin(0.83 * turn + 1.7 * c.gust_phase)
    )
    control(c, s, y, dt)
    wastegate(c, s, dt)
    turbocharger(c, s, volumetric, dt)
    throttle(c, s, dt)
    spark(c, s, dt)
    mixture(c, s, dt)
    fluids(c, s, dt)


@compiled
def extremes(c: Any, s: Any, y: Any, dt: float) -> None:
    """Peaks and seconds by gear, from the release to the line or the lift."""
    gear = int(s.gear) - 1
    y.duty = max(y.duty, s.duty)
    y.knock_deg = max(y.knock_deg, s.knock_deg)
    y.rail_drop = max(y.rail_drop, 1.0 - s.rail_pa / c.rail_target_pa)
    y.charge_k = max(y.charge_k, s.charge_k)
    y.coolant_k = max(y.coolant_k, s.coolant_k)
    y.oil_k = max(y.oil_k, s.oil_k)
    y.box_oil_k = max(y.box_oil_k, s.box_oil_k)
    y.pack_k = max(y.pack_k, s.pack_k[0], s.pack_k[1])
    y.battery_v = min(y.battery_v, s.battery_v)
    y.engine_radps = max(y.engine_radps, s.engine_radps)
    y.peak_pa[gear] = max(y.peak_pa[gear], s.manifold_pa)
    y.clutch_energy_j = s.clutch_energy_j
    y.limiter_s += dt * s.limiter_on
    y.cut_s += dt if s.slip_cut > 0.05 else 0.0
    y.gear_s[gear] += dt
    if s.phase == DRIVE and s.time_s - s.phase_since_s > 0.25:
        y.overshoot_pa = max(y.overshoot_pa, s.manifold_pa - s.target_pa)
        if s.manifold_pa > 1.1 * c.ambient_pa:
            y.wot_lambda = max(y.wot_lambda, s.lambda_1, s.lambda_2)
        if abs(s.engine_radps - s.ratio[gear % 2] * s.box_radps) > 3.0:
            y.clutch_slip_s[gear] += dt
    if s.speed_mps > CREEP_MPS:
        front = max(s.slip[0], s.slip[1]) if c.front_drive_share > 0.0 else 0.0
        rear = max(s.slip[2], s.slip[3]) if c.front_drive_share < 1.0 else 0.0
        quickest = max(front, rear)
        y.spin_s[gear] += dt if quickest > SPIN else 0.0
        y.past_peak_s[gear] += dt if quickest > c.peak_slip else 0.0


@compiled
def beams(s: Any, y: Any, passed: int, before_m: float, dt: float) -> int:
    """Crossing times of the marks that this step went through; the number of marks behind the car comes back."""
    while passed < len(MARKS_M) and s.distance_m >= MARKS_M[passed]:
        share = (s.distance_m - MARKS_M[passed]) / max(s.distance_m - before_m, 1e-12)
        y.mark_s[passed] = s.time_s - share * dt
        passed += 1
    return passed


@compiled
def run_pass(
    c: Any,
    s: Any,
    y: Any,
    state_row: NDArray[np.float64],
    grip: NDArray[np.float64],
    volumetric: NDArray[np.float64],
    trace: NDArray[np.float64],
    trace_every: int,
    dt_s: float,
) -> int:
    """Drive until the end, or only to the line where the trace has no rows; the rows written come back.

    Parameters
    ----------
    c, s, y : records of `CONSTANTS`, `STATE`, `TALLY`
        The state is that of the idling car and is driven on in place.
    state_row : ndarray, shape (fields,)
        The same memory as `s`.
    grip : ndarray, shape (2, n)
        Grip of the left and right track along the strip [-].
    volumetric : ndarray, shape (k,)
        Volumetric efficiency by engine speed [-].
    trace : ndarray, shape (rows, fields)
        Filled every `trace_every` slow steps; no rows where only the tally is wanted.
    dt_s : float
        Fast step [s].
    """
    rows = 0
    passed = 0
    step = 0
    is_traced = trace.shape[0] > 0
    while s.time_s < c.end_s:
        if step % SLOW_EVERY == 0:
            if is_traced and step % (SLOW_EVERY * trace_every) == 0 and rows < trace.shape[0]:
                trace[rows, :] = state_row
                rows += 1
            slow_step(c, s, y, volumetric, SLOW_EVERY * dt_s)
            if LAUNCH <= s.phase < LIFTED and y.finish_s == 0.0:
                extremes(c, s, y, SLOW_EVERY * dt_s)
        before_m = s.distance_m
        fast_step(c, s, y, grip, volumetric, dt_s)
        step += 1
        s.time_s = step * dt_s
        if s.speed_mps > 0.01 and y.moved_s == 0.0:
            y.moved_s = s.time_s
        passed = beams(s, y, passed, before_m, dt_s)
        if passed == len(MARKS_M) and y.finish_s == 0.0:
            y.finish_s = s.time_s
            if not is_traced:
                break
        if s.phase == LIFTED and s.time_s - s.phase_since_s > c.ends_after_lift_s:
            break
    return rows
