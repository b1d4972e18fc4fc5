"""Curves of the true car that are not given point by point: how the engine fills, where the tyre's pull peaks."""

import math

import numpy as np
from numpy.typing import NDArray

from nextpass.physics import clutch
from nextpass.proving.model.engine import VE_STEP_RADPS
from nextpass.proving.truth import TrueEngine, TrueTyres

VE_POINTS = 42


def filling_table(engine: TrueEngine) -> NDArray[np.float64]:
    """Volumetric efficiency every `VE_STEP_RADPS` from standstill: a hill with its own flanks and a ripple of tuning.

    Parameters
    ----------
    engine : TrueEngine
        With the hill's place, height, flanks and ripple.

    Returns
    -------
    ndarray, shape (`VE_POINTS`,)
        Volumetric efficiency [-].
    """
    rpm = np.arange(VE_POINTS) * VE_STEP_RADPS / clutch.RADPS_PER_RPM
    away = rpm / engine.best_filling_rpm - 1.0
    hill = 1.0 - np.where(away < 0.0, engine.filling_low, engine.filling_high) * away**2
    ripple = 1.0 + engine.filling_ripple * np.sin(2.0 * math.pi * rpm / 1900.0)
    return np.asarray(engine.filling * np.maximum(hill * ripple, 0.3))


def tyre_stiffness(tyres: TrueTyres) -> float:
    """Stiffness factor B that puts the peak of the pull at the tyre's peak slip, for any curvature [-]."""
    # The peak lies where the argument of the outer arctangent is tan(pi/2C); found for B k, which scales with 1/k.
    goal = math.tan(math.pi / (2.0 * tyres.shape_c))
    low, high = 0.0, 200.0
    for _ in range(80):
        middle = 0.5 * (low + high)
        reached = middle - tyres.curvature_e * (middle - math.atan(middle))
        low, high = (middle, high) if reached < goal else (low, middle)
    return 0.5 * (low + high) / tyres.peak_slip
