"""The body along the strip: drag, rolling resistance, slope and wind against the tyres, and squat on its springs.

Weight moves to the rear partly at once through the suspension's geometry and partly through the springs as the body
pitches (Gillespie, *Fundamentals of Vehicle Dynamics*, ch. 2, memory, for the steady value).
"""

from typing import Any

import numpy as np

from nextpass.physics import atmosphere
from nextpass.proving.model.compiled import compiled

GRAVITY_MPS2 = atmosphere.GRAVITY_MPS2


@compiled
def squat(c: Any, s: Any, dt: float) -> None:
    """Pitch of the body (nose up positive) and the load of each wheel after one step."""
    moment_nm = c.mass_kg * s.acceleration_mps2 * c.cg_height_m
    spring_nm = c.pitch_stiffness_nmprad * s.pitch_rad + c.pitch_damping_nmsprad * s.pitch_rate_radps
    s.pitch_rate_radps += dt * ((1.0 - c.anti_pitch) * moment_nm - spring_nm) / c.pitch_inertia_kgm2
    s.pitch_rad += dt * s.pitch_rate_radps
    moved_n = (c.anti_pitch * moment_nm + spring_nm) / c.wheelbase_m
    weight_n = c.mass_kg * GRAVITY_MPS2
    front_n = max(c.front_share * weight_n - moved_n, 0.02 * weight_n)
    rear_n = weight_n - front_n
    s.load_n[0] = c.left_share * front_n
    s.load_n[1] = front_n - s.load_n[0]
    s.load_n[2] = c.left_share * rear_n
    s.load_n[3] = rear_n - s.load_n[2]


@compiled
def move(c: Any, s: Any, y: Any, dt: float) -> None:
    """Speed and distance after one step; the car does not roll backwards."""
    pull_n = s.force_n[0] + s.force_n[1] + s.force_n[2] + s.force_n[3]
    speed = s.speed_mps
    through_air = speed + s.wind_mps
    drag_n = 0.5 * c.density_kgpm3 * c.drag_area_m2 * through_air * abs(through_air)
    weight_n = c.mass_kg * GRAVITY_MPS2
    # Full from a crawl on; the smooth start keeps the standing car from chattering.
    rolling_n = c.rolling * (1.0 + c.rolling_growth_s2pm2 * speed * speed) * weight_n * np.tanh(speed / 0.05)
    slope_n = weight_n * c.slope / np.sqrt(1.0 + c.slope * c.slope)
    s.acceleration_mps2 = (pull_n - drag_n - rolling_n - slope_n) / c.mass_kg
    after = speed + s.acceleration_mps2 * dt
    if after < 0.0:
        after = 0.0
        s.acceleration_mps2 = -speed / dt
    middle = 0.5 * (speed + after)
    s.speed_mps = after
    s.distance_m += middle * dt
    y.drag_loss_j += drag_n * middle * dt
    y.rolling_loss_j += rolling_n * middle * dt
    y.slope_j += slope_n * middle * dt
