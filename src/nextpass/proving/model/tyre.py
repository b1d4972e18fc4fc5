"""Four tyres: slip with its relaxation length, pull by load, heat and place on the strip, and the heat made.

The slip ratio is that of ISO 8855 with a lag of one relaxation length of travel, which also keeps it finite at
standstill. The pull follows Pacejka's curve without shifts; `magic` is held to `nextpass.physics` by a test.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from nextpass.proving.model.compiled import compiled

# Below this speed [m/s] the slip ratio of a tyre counts as launch, not as spin.
CREEP_MPS = 1.0


@compiled
def magic(slip: float, stiffness_b: float, shape_c: float, curvature_e: float) -> float:
    """Pull over its peak at a slip ratio: Pacejka's curve with D = 1 [-]."""
    b = stiffness_b * slip
    return float(np.sin(shape_c * np.arctan(b - curvature_e * (b - np.arctan(b)))))


@compiled
def heat_grip(tyre_k: float, best_k: float, width_k: float) -> float:
    """Grip over that at the best temperature: a parabola, never under 0.7 [-]."""
    away = (tyre_k - best_k) / width_k
    return max(0.7, 1.0 - away * away)


@compiled
def radius_m(c: Any, wheel_radps: float) -> float:
    """Rolling radius, grown by the tread's own centrifugal load [m]."""
    return float(c.radius_m * (1.0 + c.radius_growth_s2 * wheel_radps * wheel_radps))


@compiled
def strip_grip(c: Any, grip: NDArray[np.float64], side: int, distance_m: float) -> float:
    """Grip of one wheel track at a place of the strip, linear between its points [-]."""
    place = (distance_m - c.grip_start_m) / c.grip_spacing_m
    index = min(max(int(place), 0), grip.shape[1] - 2)
    share = min(max(place - index, 0.0), 1.0)
    return float(grip[side, index] + share * (grip[side, index + 1] - grip[side, index]))


@compiled
def tyre_forces(c: Any, s: Any, grip: NDArray[np.float64], dt: float) -> float:
    """Slip, pull and heat of all four tyres after one step; the heat that they made [W] comes back."""
    heat_w = 0.0
    for wheel in range(4):
        is_rear = wheel >= 2
        side = wheel % 2
        radius = radius_m(c, s.wheel_radps[wheel])
        sliding_mps = s.wheel_radps[wheel] * radius - s.speed_mps
        # The contact patch of a sliding tyre is replaced faster: the lag shrinks with slip (Pacejka, ch. 7, memory).
        lag_m = c.relaxation_m * max(0.15, 1.0 - abs(s.slip[wheel]) / (3.0 * c.peak_slip))
        slip = (s.slip[wheel] + dt * sliding_mps / lag_m) / (1.0 + dt * abs(s.speed_mps) / lag_m)
        s.slip[wheel] = slip
        place_m = s.distance_m - (c.wheelbase_m if is_rear else 0.0)
        friction = c.rear_friction if is_rear else c.front_friction
        friction *= c.grip * strip_grip(c, grip, side, place_m)
        friction *= 1.0 - c.load_sensitivity * (s.load_n[wheel] / c.nominal_load_n - 1.0)
        friction *= heat_grip(s.tyre_k[wheel], c.best_tyre_k, c.tyre_width_k)
        force_n = friction * s.load_n[wheel] * magic(slip, c.tyre_b, c.tyre_c, c.tyre_e)
        s.force_n[wheel] = force_n
        loss_w = force_n * sliding_mps
        heat_w += loss_w
        # Half of the sliding heat stays in the tread, the other half in the strip (common practice).
        s.tyre_k[wheel] += dt * (0.5 * loss_w / c.tyre_heat_jpk - (s.tyre_k[wheel] - c.tyre_track_k) / c.tyre_cooling_s)
    return heat_w
