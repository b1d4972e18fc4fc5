"""Torque of the engine: charge drawn, heat turned into work, friction, gas exchange, spark, mixture and misfire.

At fixed speed, mixture and spark the torque is affine in manifold pressure, as real ones are (Heywood, *Internal
Combustion Engine Fundamentals*, ch. 15, memory).
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from nextpass.physics import air
from nextpass.proving.model.compiled import compiled

DRY_AIR_JPKGK = air.DRY_AIR_JPKGK
FOUR_PI = 4.0 * np.pi
PORT_WARMING = 0.3
"""Share of the way to the coolant's temperature by which the ports warm the charge (common practice)."""
VE_STEP_RADPS = 25.0
"""Spacing of the volumetric efficiency table from 0 rad/s [rad/s]."""


@compiled
def filling(volumetric: NDArray[np.float64], engine_radps: float) -> float:
    """Volumetric efficiency at an engine speed, linear in its table [-]."""
    place = engine_radps / VE_STEP_RADPS
    index = min(int(place), volumetric.shape[0] - 2)
    return float(volumetric[index] + (place - index) * (volumetric[index + 1] - volumetric[index]))


@compiled
def friction_nm(c: Any, engine_radps: float) -> float:
    """Friction torque by Heywood's eq. 13.6 (memory), scaled [N m]; held to `nextpass.physics` by a test."""
    thousands = engine_radps * 60.0 / (2000.0 * np.pi)
    bar = 0.97 + 0.15 * thousands + 0.05 * thousands * thousands
    return float(c.friction_scale * bar * 1e5 * c.displacement_m3 / FOUR_PI)


@compiled
def air_per_cycle_kg(c: Any, s: Any, volumetric: NDArray[np.float64]) -> float:
    """Air that all cylinders draw in one cycle of two turns [kg]."""
    drawn_k = s.charge_k + PORT_WARMING * (s.coolant_k - s.charge_k)
    density = s.manifold_pa / (DRY_AIR_JPKGK * drawn_k)
    return float(filling(volumetric, s.engine_radps) * c.displacement_m3 * density)


@compiled
def losses_nm(c: Any, s: Any) -> float:
    """Friction and gas exchange against the turbine's back pressure [N m]."""
    exchange_nm = c.pumping * (s.turbine_pa - s.manifold_pa) * c.displacement_m3 / FOUR_PI
    return float(friction_nm(c, s.engine_radps) + exchange_nm)


@compiled
def engine_torque(c: Any, s: Any, volumetric: NDArray[np.float64]) -> None:
    """Torque at the flywheel now, and what it would be without any intervention before friction."""
    air_kg = air_per_cycle_kg(c, s, volumetric)
    work_j = c.indicated_efficiency * c.air_energy_jpkg * air_kg * s.spark_factor * s.lambda_factor
    if s.manifold_pa > c.misfire_pa:
        work_j *= 1.0 - c.misfire
    s.indicated_full_nm = work_j / FOUR_PI
    # Below half of idle nothing burns: the engine has stalled.
    fraction = s.torque_fraction if s.engine_radps > 0.5 * c.idle_radps else 0.0
    s.engine_nm = s.indicated_full_nm * fraction - losses_nm(c, s)


@compiled
def spark(c: Any, s: Any, dt: float) -> None:
    """Knock retard by how far the charge stands over its onset, and what the spark's place costs."""
    warm = 1.0 - c.onset_per_k * (s.charge_k - 318.0)
    quick = 1.0 + c.onset_speed * (s.engine_radps - 471.0) / 314.0
    over_pa = s.manifold_pa - c.onset_pa * max(warm, 0.5) * quick
    wanted_deg = min(max(c.knock_gain_degppa * over_pa, 0.0), c.knock_limit_deg) if s.pedal > 0.5 else 0.0
    lag_s = c.knock_attack_s if wanted_deg > s.knock_deg else c.knock_decay_s
    s.knock_deg += dt * (wanted_deg - s.knock_deg) / lag_s
    load = min(max((s.manifold_pa - 60e3) / 140e3, 0.0), 1.6)
    s.ignition_deg = c.ignition_deg + 6.0 * (1.0 - load) + 0.012 * (s.engine_radps - 471.0) - s.knock_deg
    behind_deg = c.spark_base_deg * load + c.spark_behind_degpk * max(0.0, s.charge_k - 333.0) + s.knock_deg
    s.spark_factor = max(0.3, 1.0 - c.spark_curve * behind_deg * behind_deg)
    mixture = 0.5 * (s.lambda_1 + s.lambda_2) - 0.87
    s.lambda_factor = max(0.4, 1.0 - 1.2 * mixture * mixture)
