"""Turbocharger, wastegate, intercooler, throttle: how the manifold pressure comes about.

The turbine's speed is kept as its kinetic energy; the pressure ratio of the compressor rises with it. Turbine power
falls out of the flow that the wastegate leaves it and the back pressure that this flow makes; compressor power is the
textbook rise of temperature. Everything scales with ambient pressure, so altitude takes effect by itself.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from nextpass.proving.model.compiled import compiled
from nextpass.proving.model.engine import air_per_cycle_kg

CP_AIR = 1005.0
CP_EXHAUST = 1150.0
COMPRESSION = 0.2857  # (k - 1)/k of air
EXPANSION = 0.2481  # (k - 1)/k of exhaust gas, k = 1.33


@compiled
def compressor_k(inlet_k: float, ratio: float, efficiency: float) -> float:
    """Temperature behind the compressor [K]; held to `nextpass.physics` by a test."""
    return float(inlet_k * (1.0 + (max(ratio, 1.0) ** COMPRESSION - 1.0) / efficiency))


@compiled
def turbine_w(c: Any, flow_kgps: float, exhaust_k: float) -> tuple[float, float]:
    """Power of the turbine [W] and the pressure before it [Pa]."""
    choke = flow_kgps / (c.turbine_flow_kgpspa * c.ambient_pa)
    ratio = 1.0 + choke * choke
    power_w = c.turbine_efficiency * flow_kgps * CP_EXHAUST * exhaust_k * (1.0 - ratio**-EXPANSION)
    return float(power_w), float(ratio * c.ambient_pa)


@compiled
def wastegate(c: Any, s: Any, dt: float) -> None:
    """Control of the bypass: base map, proportional and integral part, actuator lag. 1 is fully bypassed."""
    # The pressure sensor's own filter of 20 ms gives the rate of rise, which the control looks ahead by.
    seen_rate_paps = (s.manifold_pa - s.seen_pa) / 0.02
    s.seen_pa += dt * seen_rate_paps
    error_pa = s.target_pa - s.seen_pa
    if s.pedal < 0.5:
        s.wastegate_command = 1.0
        s.integral = 0.0
    else:
        # Base map: at steady state the turbine needs the cube root of the power ratio as its share of the flow.
        full_w, _ = turbine_w(c, s.air_kgps * 1.07, s.exhaust_k)
        ratio = max(s.target_pa + c.charge_loss_pa, c.ambient_pa) / (c.ambient_pa - c.intake_loss_pa)
        rise_k = compressor_k(c.ambient_k, ratio, c.compressor_efficiency) - c.ambient_k
        share = (s.air_kgps * CP_AIR * rise_k / max(full_w, 1.0)) ** (1.0 / 3.0)
        open_loop = 1.0 - c.base_map * min(share, 1.0)
        command = open_loop - c.wastegate_gain_ppa * (error_pa - c.wastegate_lead_s * seen_rate_paps) - s.integral
        s.wastegate_command = min(max(command, 0.0), 1.0)
        # No wind-up: at a stop the integral only moves away from it.
        if 0.0 < command < 1.0 or (command <= 0.0 and error_pa < 0.0) or (command >= 1.0 and error_pa > 0.0):
            s.integral += dt * c.wastegate_integral_ppas * error_pa
            s.integral = min(max(s.integral, -0.35), 0.35)
    s.wastegate += dt * (s.wastegate_command - s.wastegate) / c.wastegate_lag_s


@compiled
def turbocharger(c: Any, s: Any, volumetric: NDArray[np.float64], dt: float) -> None:
    """Speed of the turbine, pressure and temperature of the charge before the throttle."""
    s.air_kgps = air_per_cycle_kg(c, s, volumetric) * s.engine_radps / (4.0 * np.pi)
    leak_kgps = c.leak_kgpspa * max(s.charge_pa - c.ambient_pa, 0.0)
    s.compressor_kgps = s.air_kgps + leak_kgps
    # Spark taken back to hold the engine burns late and heats the turbine.
    late = (1.0 - s.torque_fraction) * c.spool_k if s.pedal > 0.5 else 0.0
    s.exhaust_k = c.exhaust_k * (0.75 + 0.25 * s.pedal) + late
    bypass = min(max(s.wastegate, c.wastegate_seat), c.wastegate_limit)
    power_w, s.turbine_pa = turbine_w(c, s.air_kgps * 1.07 * (1.0 - bypass), s.exhaust_k)
    flow_share = s.compressor_kgps / c.reference_flow_kgps
    inlet_pa = c.ambient_pa - c.intake_loss_pa * flow_share * flow_share
    ratio = 1.0 + c.pressure_ratio_span * s.turbo_j / c.reference_energy_j
    # Past its best flow the compressor heats more (shape of a map's right side, common practice).
    strain = max(0.0, flow_share - 0.9) + 0.25 * max(0.0, ratio - 2.6)
    s.compressor_k = compressor_k(c.ambient_k, ratio, c.compressor_efficiency * max(0.7, 1.0 - 0.25 * strain))
    needed_w = s.compressor_kgps * CP_AIR * (s.compressor_k - c.ambient_k)
    # A closed throttle opens the recirculation valve: the compressor spins in its own air.
    relieved = s.pedal < 0.5
    drag_w = c.turbo_drag * s.turbo_j + (needed_w if not relieved else 1.2 * s.turbo_j)
    s.turbo_j = max(s.turbo_j + dt * (power_w - drag_w), 0.0)
    after_pa = c.ambient_pa if relieved else inlet_pa * ratio - c.charge_loss_pa * flow_share * flow_share
    s.charge_pa += dt * (after_pa - s.charge_pa) / 0.02
    effectiveness = c.intercooler * max(0.5, 1.0 - c.intercooler_fall * flow_share)
    cooled_k = s.compressor_k - effectiveness * (s.compressor_k - s.core_k)
    given_w = s.compressor_kgps * CP_AIR * (s.compressor_k - cooled_k)
    taken_w = (c.core_still_wpk + c.core_moving_jpkpm * s.speed_mps) * (s.core_k - c.ambient_k)
    s.core_k += dt * (given_w - taken_w) / c.core_heat_jpk
    s.charge_k += dt * (cooled_k - s.charge_k) / 0.05


@compiled
def throttle(c: Any, s: Any, dt: float) -> None:
    """Throttle and manifold: open at full pedal, taken back where the wastegate cannot hold the target or on a cut."""
    over_pa = s.manifold_pa - s.target_pa - c.throttle_margin_pa if s.pedal > 0.5 else 0.0
    s.throttle_cut = min(max(s.throttle_cut + dt * c.throttle_gain_ppas * over_pa, 0.0), 0.8)
    wanted = min(s.pedal, c.throttle_limit) * (1.0 - s.throttle_cut) * (1.0 - 0.6 * s.slip_cut)
    s.throttle += dt * (wanted - s.throttle) / c.throttle_lag_s
    # Flow over a butterfly saturates early: most of the pressure is there at half open.
    opening = s.throttle * (2.0 - s.throttle)
    reached_pa = c.closed_pa + (s.charge_pa - c.closed_pa) * opening
    s.manifold_pa += dt * (reached_pa - s.manifold_pa) / c.manifold_lag_s
