"""Heat of the charge on the crests of a pressure that swings about what is asked for.

A wastegate's control may hunt by some kilopascals several times a second. The air's heat follows at once, a charge
sensor hardly, and the simulation has no crests: what a pass showed of the pressure tells how much hotter its air was.
"""

import numpy as np
from numpy.typing import NDArray

from nextpass.fit import run_end_s
from nextpass.physics.charge import compressor_outlet_c
from nextpass.review import ReviewedPass
from nextpass.sim import OUTPUTS, TRACES

FloatArray = NDArray[np.float64]

RATE_HZ = 40.0
LONGEST_S = 25.0
SAMPLES = int(LONGEST_S * RATE_HZ)
"""Samples of a trace that crests are read from, and their rate [Hz]."""
# At the barometer there is no rise to scale.
_LEAST_RATIO = 1.02


def crests_k(one: ReviewedPass, outputs: FloatArray, traces: FloatArray) -> float:
    """By how much the hottest air of a pass was hotter than the simulated pass has it, for its swings of pressure.

    Parameters
    ----------
    one : ReviewedPass
    outputs, traces : ndarray, shape (len(OUTPUTS),) and (SAMPLES, len(TRACES))
        The same pass, simulated.

    Returns
    -------
    float
        [K]; 0 where the log shows no pressure or no launch.
    """
    pressure, motion = one.log.get("manifold_pressure_kpa"), one.review.ground_speed
    if pressure is None or motion is None:
        return 0.0
    simulated_kpa, air_c = (traces[:, TRACES.index(name)] for name in ("manifold_pressure_kpa", "charge_air_c"))
    since_rollout_s = np.arange(len(traces)) / RATE_HZ - outputs[OUTPUTS.index("rollout_s")]
    rolled_s = float(np.interp(motion.rollout_m, motion.distance_m, motion.time_s))
    ends_s = run_end_s(motion, one.review.phases) - rolled_s
    shown_kpa = pressure.at(rolled_s + since_rollout_s)
    counts = (since_rollout_s >= 0.0) & (since_rollout_s <= ends_s) & np.isfinite(shown_kpa)
    counts &= np.isfinite(air_c)
    if not counts.any():
        return 0.0
    day, air_c = one.record.conditions, air_c[counts]
    hotter_k = hotter_by_pressure_k(
        air_c - day.air_temperature_c, simulated_kpa[counts] / day.pressure_kpa, shown_kpa[counts] / day.pressure_kpa
    )
    return float(np.max(air_c + hotter_k) - np.max(air_c))


def hotter_by_pressure_k(rise_k: FloatArray, ratio: FloatArray, shown_ratio: FloatArray) -> FloatArray:
    """How much hotter air gets that is compressed further, behind the same cooler.

    Parameters
    ----------
    rise_k : ndarray
        Of the air over that around, at the lower pressure [K].
    ratio, shown_ratio : ndarray, same shape
        Pressure ratio, and the one that was shown [-].

    Returns
    -------
    ndarray, same shape
        [K], never under 0: the rise goes with the compressor's, whose inlet and efficiency drop out.
    """
    lift, shown = (compressor_outlet_c(0.0, np.maximum(one, _LEAST_RATIO), 1.0) for one in (ratio, shown_ratio))
    return np.asarray(np.maximum(rise_k, 0.0) * np.maximum(shown / lift - 1.0, 0.0))
