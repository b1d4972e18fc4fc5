"""From the clutch packs to the wheels: two friction packs on one engine, a torsion spring, a split and two axles.

The packs are Coulomb friction with a capacity; the one nearest to closing takes the torque that would close it in this
step, clamped to its capacity, so that slip and lock need no events. The centre gear splits torque at a fixed share and
a viscous coupling moves some of it to the slower axle; each axle is open but for a viscous lock with preload.
"""

from typing import Any

import numpy as np

from nextpass.proving.model.compiled import compiled
from nextpass.proving.model.tyre import radius_m


@compiled
def pack_capacity_nm(c: Any, s: Any, pack: int, slip_radps: float) -> float:
    """Torque that a pack can carry as it is clamped now [N m]: friction rises to its slip speed, fades with heat."""
    rise = 1.0 + c.friction_rise * (1.0 - np.exp(-abs(slip_radps) / c.friction_rise_radps))
    fade = max(0.4, 1.0 - c.fade_per_k * max(0.0, s.pack_k[pack] - c.fade_k))
    return float(min(s.clamp_nm[pack], c.capacity_nm[pack]) * rise * fade)


@compiled
def nearest_to_closing(s: Any) -> int:
    """The clamped pack with the least slip."""
    if s.clamp_nm[1] <= 0.0:
        return 0
    if s.clamp_nm[0] <= 0.0:
        return 1
    slip_0 = abs(s.engine_radps - s.ratio[0] * s.box_radps)
    slip_1 = abs(s.engine_radps - s.ratio[1] * s.box_radps)
    return 0 if slip_0 <= slip_1 else 1


@compiled
def through_gears(c: Any, torque_nm: float) -> float:
    """Share of a torque at the engine's side that does work behind the gears: losses follow the flow of power [-]."""
    return float(c.efficiency if torque_nm >= 0.0 else 1.0 / c.efficiency)


@compiled
def clutch_torques(c: Any, s: Any, spin_drag_nm: float, dt: float) -> None:
    """Torque of both packs in this step, positive when the engine drives."""
    holder = nearest_to_closing(s)
    other = 1 - holder
    other_nm = 0.0
    if s.clamp_nm[other] > 0.0:
        slip = s.engine_radps - s.ratio[other] * s.box_radps
        other_nm = pack_capacity_nm(c, s, other, slip) * (1.0 if slip >= 0.0 else -1.0)
    ratio = s.ratio[holder]
    slip = s.engine_radps - ratio * s.box_radps
    engine_free = (s.engine_nm - other_nm) / c.engine_inertia_kgm2
    box_nm = s.ratio[other] * other_nm * through_gears(c, other_nm) - s.shaft_nm - spin_drag_nm
    box_free = box_nm / c.box_inertia_kgm2
    wanted = slip / dt + engine_free - ratio * box_free
    passing = through_gears(c, wanted)
    closing_nm = wanted / (1.0 / c.engine_inertia_kgm2 + ratio * ratio * passing / c.box_inertia_kgm2)
    limit_nm = pack_capacity_nm(c, s, holder, slip)
    s.clutch_nm[holder] = min(max(closing_nm, -limit_nm), limit_nm)
    s.clutch_nm[other] = other_nm


@compiled
def shafts(c: Any, s: Any, y: Any, dt: float) -> None:
    """Engine, gearbox and torsion after one step, with the losses on the way."""
    # Churning oil and seals: full at a tenth of a turn a second already.
    spin_drag_nm = c.spin_drag_nm * np.tanh(s.box_radps / 0.6)
    clutch_torques(c, s, spin_drag_nm, dt)
    box_nm = -s.shaft_nm - spin_drag_nm
    y.gear_loss_j += spin_drag_nm * s.box_radps * dt
    for pack in range(2):
        torque_nm = s.clutch_nm[pack]
        driven_nm = s.ratio[pack] * torque_nm * through_gears(c, torque_nm)
        box_nm += driven_nm
        slip = s.engine_radps - s.ratio[pack] * s.box_radps
        heat_j = torque_nm * slip * dt
        s.clutch_energy_j += heat_j
        s.pack_k[pack] += heat_j / c.pack_heat_jpk - dt * (s.pack_k[pack] - s.box_oil_k) / c.pack_cooling_s
        y.gear_loss_j += (s.ratio[pack] * torque_nm - driven_nm) * s.box_radps * dt
    y.engine_j += s.engine_nm * s.engine_radps * dt
    s.engine_rate_radps2 = (s.engine_nm - s.clutch_nm[0] - s.clutch_nm[1]) / c.engine_inertia_kgm2
    s.engine_radps = max(s.engine_radps + s.engine_rate_radps2 * dt, 0.0)
    s.box_radps += box_nm / c.box_inertia_kgm2 * dt


@compiled
def axle_lock_nm(c: Any, axle_nm: float, faster_radps: float) -> float:
    """Torque that an axle's lock moves across, from the faster to the slower wheel [N m]."""
    limit_nm = c.axle_lock_nm + c.axle_lock_bias * abs(axle_nm)
    return float(min(max(c.axle_lock_nms * faster_radps, -limit_nm), limit_nm))


@compiled
def wheels(c: Any, s: Any, y: Any, brake_nm: float, dt: float) -> None:
    """Torsion spring, split, axles and wheels after one step; `brake_nm` is on all wheels together."""
    front_radps = 0.5 * (s.wheel_radps[0] + s.wheel_radps[1])
    rear_radps = 0.5 * (s.wheel_radps[2] + s.wheel_radps[3])
    share = c.front_drive_share
    twist_rate = s.box_radps - share * front_radps - (1.0 - share) * rear_radps
    s.twist_rad += twist_rate * dt
    damping_nm = c.shaft_damping_nms * twist_rate
    s.shaft_nm = c.shaft_stiffness_nmprad * s.twist_rad + damping_nm
    y.shaft_loss_j += damping_nm * twist_rate * dt
    across = rear_radps - front_radps
    coupling_nm = min(max(c.coupling_nms * across, -c.coupling_max_nm), c.coupling_max_nm)
    s.coupling_nm = coupling_nm
    y.coupling_loss_j += coupling_nm * across * dt
    s.front_axle_nm = share * s.shaft_nm + coupling_nm
    for axle in range(2):
        axle_nm = s.front_axle_nm if axle == 0 else s.shaft_nm - s.front_axle_nm
        left = 2 * axle
        faster = s.wheel_radps[left] - s.wheel_radps[left + 1]
        is_driven = share > 0.0 if axle == 0 else share < 1.0
        lock_nm = axle_lock_nm(c, axle_nm, faster) if is_driven else 0.0
        y.coupling_loss_j += lock_nm * faster * dt
        for side in range(2):
            wheel = left + side
            torque_nm = 0.5 * axle_nm + (-lock_nm if side == 0 else lock_nm)
            # The front axle brakes three fifths (common practice).
            held_nm = 0.0
            if brake_nm > 0.0:
                held_nm = (0.3 if axle == 0 else 0.2) * brake_nm * np.tanh(s.wheel_radps[wheel] / 0.5)
                y.brake_loss_j += held_nm * s.wheel_radps[wheel] * dt
            pull_nm = radius_m(c, s.wheel_radps[wheel]) * s.force_n[wheel]
            s.wheel_radps[wheel] += (torque_nm - held_nm - pull_nm) / c.wheel_inertia_kgm2 * dt
