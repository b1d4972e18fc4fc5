"""The control unit and the gearbox: launch, upshifts, torque requests, rev limiter, pressure target; and the driver.

One small machine of phases. The launch holds engine speed with the spark and closes the clutch on a feed-forward of
the engine's torque plus a correction of the speed; an upshift hands the torque over and then pulls the engine down.
"""

from typing import Any

import numpy as np

from nextpass.proving.model.compiled import compiled
from nextpass.proving.model.engine import losses_nm

STAGED, LAUNCH, DRIVE, HANDOVER, INERTIA, LIFTED = 0.0, 1.0, 2.0, 3.0, 4.0, 5.0
CLOSED_RADPS = 2.0
HOLD_GAIN_NMS = 3.0


@compiled
def begin(s: Any, phase: float) -> None:
    """A new phase from now on."""
    s.phase = phase
    s.phase_since_s = s.time_s


@compiled
def launch_speed_radps(c: Any, s: Any) -> float:
    """Engine speed that the launch control holds [rad/s]; hunting is a fault that can be put in."""
    return float(c.launch_radps + c.launch_hunting_radps * np.sin(2.0 * np.pi * 3.0 * s.time_s))


@compiled
def holding_fraction(c: Any, s: Any, carried_nm: float, over_radps: float) -> float:
    """Share of the full torque that keeps the engine at launch speed while the clutch carries some of it [-]."""
    short_radps = launch_speed_radps(c, s) + over_radps - s.engine_radps
    wanted_nm = losses_nm(c, s) + carried_nm + HOLD_GAIN_NMS * short_radps
    return float(min(max(wanted_nm / max(s.indicated_full_nm, 1.0), 0.0), 1.0))


@compiled
def launch(c: Any, s: Any, y: Any) -> None:
    """Clutch of the first gear from its bite to closed."""
    since_s = s.time_s - s.phase_since_s - c.bite_delay_s
    y.launch_energy_j = s.clutch_energy_j
    s.fraction_target = holding_fraction(c, s, s.clutch_nm[0], 8.0)
    if since_s <= 0.0:
        return
    ramp = min(since_s / c.launch_ramp_s, 1.0)
    full_nm = max(s.indicated_full_nm - losses_nm(c, s), 0.0)
    # An impatient release clamps past the engine's torque for a moment and drags it down.
    eager = 1.0 + c.launch_overshoot * max(0.0, 1.0 - since_s / 0.5)
    fed_nm = c.launch_torque_ratio * eager * full_nm * ramp
    s.clamp_command_nm[0] = max(fed_nm + c.slip_gain_nms * ramp * (s.engine_radps - launch_speed_radps(c, s)), 10.0)
    y.bog_radps = min(y.bog_radps, s.engine_radps - c.launch_radps)
    if s.engine_radps - s.ratio[0] * s.box_radps < CLOSED_RADPS and s.box_radps > 1.0:
        y.closed_s = s.time_s
        begin(s, DRIVE)


@compiled
def drive(c: Any, s: Any) -> None:
    """In gear: the pack fully clamped, upshift when the engine will have reached the shift speed."""
    holder = (int(s.gear) - 1) % 2
    s.clamp_command_nm[holder] = 1.3 * c.capacity_nm[holder]
    s.clamp_command_nm[1 - holder] = 0.0
    s.fraction_target = 1.0
    soon_radps = s.engine_radps + c.shift_lead_s * max(s.engine_rate_radps2, 0.0)
    if soon_radps >= c.shift_radps and s.gear < c.gear_count and s.time_s - s.phase_since_s > 0.15:
        gear = int(s.gear)
        s.ratio[gear % 2] = c.gear_ratio[gear] * c.final_drive
        begin(s, HANDOVER)


@compiled
def handover(c: Any, s: Any) -> None:
    """Torque moves from the off-going to the on-coming pack; a flare leaves both too weak for a moment."""
    gear = int(s.gear)
    on = gear % 2
    lasting_s = c.handover_s * c.shift_stretch[gear - 1]
    since_s = s.time_s - s.phase_since_s
    full_nm = max(s.engine_nm, 0.0)
    s.clamp_command_nm[on] = 1.05 * full_nm * min(max((since_s - c.flare_s[gear - 1]) / lasting_s, 0.0), 1.0)
    s.clamp_command_nm[1 - on] = 1.25 * full_nm * max(1.0 - since_s / lasting_s, 0.0)
    if since_s >= lasting_s + c.flare_s[gear - 1]:
        s.gear = gear + 1.0
        begin(s, INERTIA)


@compiled
def inertia(c: Any, s: Any) -> None:
    """The on-coming pack pulls the engine down while the spark takes torque out."""
    gear = int(s.gear)
    on = (gear - 1) % 2
    stretch = c.shift_stretch[gear - 2]
    slip = s.engine_radps - s.ratio[on] * s.box_radps
    since_s = s.time_s - s.phase_since_s
    left_s = max(c.inertia_s * stretch - since_s, 0.25 * c.inertia_s * stretch)
    s.fraction_target = c.cut_fraction
    s.clamp_command_nm[on] = max(s.engine_nm, 0.0) + c.engine_inertia_kgm2 * max(slip, 0.0) / left_s + 30.0
    s.clamp_command_nm[1 - on] = 0.0
    if (slip < CLOSED_RADPS and since_s > 0.01) or since_s > 1.2:
        begin(s, DRIVE)


@compiled
def coast(c: Any, s: Any) -> None:
    """After the throttle is closed: engine braking in the gear that was in, or out of gear at idle."""
    holder = (int(s.gear) - 1) % 2
    is_open = c.coast_neutral > 0.5 or s.engine_radps < 1.6 * c.idle_radps
    s.clamp_command_nm[holder] = 0.0 if is_open else 1.3 * c.capacity_nm[holder]
    s.clamp_command_nm[1 - holder] = 0.0
    # Out of gear the idle control holds the engine; in gear the fuel is off.
    s.fraction_target = min(max(0.5 + 0.05 * (c.idle_radps - s.engine_radps), 0.0), 1.0) if is_open else 0.0


@compiled
def pressure_target(c: Any, s: Any, dt: float) -> None:
    """Manifold pressure asked for: that of the launch until the clutch is closed, then the cap of the gear."""
    asked_pa = c.launch_pa if s.phase <= LAUNCH else c.gear_pa[int(s.gear) - 1]
    if s.pedal < 0.5:
        asked_pa = c.ambient_pa
    change_pa = c.target_rate_paps * dt
    s.target_pa += min(max(asked_pa - s.target_pa, -3.0 * change_pa), change_pa)


@compiled
def slip_control(c: Any, s: Any, dt: float) -> None:
    """The car's own cut where it has one and it is on: torque out while the driven wheels run ahead of the car."""
    if c.slip_cut <= 0.0 or s.speed_mps < 1.0:
        return
    quickest = max(s.slip[0], s.slip[1], s.slip[2], s.slip[3])
    wanted = min(max(c.slip_cut_gain * (quickest - c.slip_cut), 0.0), 0.8)
    s.slip_cut += dt * (wanted - s.slip_cut) / (0.03 if wanted > s.slip_cut else 0.25)


@compiled
def control(c: Any, s: Any, y: Any, dt: float) -> None:
    """One turn of the machine."""
    if s.phase != LIFTED and (s.distance_m >= c.lift_distance_m or s.time_s >= c.lift_s):
        y.lifted_s = s.time_s
        s.pedal = 0.0
        begin(s, LIFTED)
    if s.phase == STAGED:
        s.pedal = 1.0
        s.fraction_target = holding_fraction(c, s, 0.0, 0.0)
        if s.time_s >= c.release_s:
            begin(s, LAUNCH)
    elif s.phase == LAUNCH:
        launch(c, s, y)
    elif s.phase == DRIVE:
        drive(c, s)
    elif s.phase == HANDOVER:
        handover(c, s)
    elif s.phase == INERTIA:
        inertia(c, s)
    else:
        coast(c, s)
    if s.engine_radps > c.rev_limit_radps:
        s.limiter_on = 1.0
    elif s.engine_radps < c.rev_limit_radps - 8.0:
        s.limiter_on = 0.0
    slip_control(c, s, dt)
    pressure_target(c, s, dt)
