"""Heat of the charge on the crests of a pressure that swings about what is asked for.

A wastegate's control may hunt by some kilopascals several times a second. The air's heat follows at once, a charge
sensor hardly, and the simulation has no crests: what a pass showed of the pressure tells how much hotter its air was.
"""

import numpy as np
from numpy.typing import NDArray

from nextpass.fit import run_end_s
from nextpass.review import ReviewedPass
from nextpass.sim import OUTPUTS, TRACES, sample_many

FloatArray = NDArray[np.float64]

RATE_HZ = 40.0
LONGEST_S = 25.0
# (k - 1)/k of air: the compressor's heat goes with the pressure ratio to this power less one (isentropic compression).
RATIO_POWER = 0.2857


def crests_k(one: ReviewedPass, row: FloatArray) -> float:
    """By how much the hottest air of a pass was hotter than the simulated pass has it, for its swings of pressure.

    Parameters
    ----------
    one : ReviewedPass
    row : ndarray, shape (row,)
        The same pass, packed.

    Returns
    -------
    float
        [K]; 0 where the log shows no pressure or no launch.
    """
    pressure, motion = one.log.get("manifold_pressure_kpa"), one.review.ground_speed
    if pressure is None or motion is None:
        return 0.0
    outputs, traces = sample_many(row[np.newaxis], int(LONGEST_S * RATE_HZ), RATE_HZ)
    named = {name: traces[0, :, i] for i, name in enumerate(TRACES)}
    since_rollout_s = np.arange(traces.shape[1]) / RATE_HZ - outputs[0, OUTPUTS.index("rollout_s")]
    rolled_s = float(np.interp(motion.rollout_m, motion.distance_m, motion.time_s))
    ends_s = run_end_s(motion, one.review.phases) - rolled_s
    shown_kpa = pressure.at(rolled_s + since_rollout_s)
    counts = (since_rollout_s >= 0.0) & (since_rollout_s <= ends_s) & np.isfinite(shown_kpa)
    counts &= np.isfinite(named["charge_air_c"])
    if not counts.any():
        return 0.0
    hotter_k = hotter_by_pressure_k(
        named["charge_air_c"][counts] - one.record.conditions.air_temperature_c,
        named["manifold_pressure_kpa"][counts] / one.record.conditions.pressure_kpa,
        shown_kpa[counts] / one.record.conditions.pressure_kpa,
    )
    air_c = named["charge_air_c"][counts]
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
        [K], never under 0: the rise goes with the compressor's, r^0.2857 - 1.
    """
    # At the barometer there is no rise to scale.
    lift = np.maximum(ratio, 1.02) ** RATIO_POWER - 1.0
    shown = np.maximum(shown_ratio, 1.02) ** RATIO_POWER - 1.0
    return np.asarray(np.maximum(rise_k, 0.0) * np.maximum(shown / lift - 1.0, 0.0))
