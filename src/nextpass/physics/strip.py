"""Where does the strip stop its clocks, and what do they read?

Beams stand 60, 330, 660, 1000 and 1320 ft from the stage beam. The clock starts when the front tyre has left the stage
beam, one rollout after the car began to move. Two conventions are in use, 18 ms apart at 60 ft: the strip's own beams
(`beam_time_s`), where a distance counts from where the car stood, and the meter's (`metered_time_s`), where the first
foot is dropped and the distance counts after it. A figure must say which one it uses; unless said, the beams are meant.
Reaction time is no part of either.
"""

from collections.abc import Callable
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from nextpass.physics.domain import FloatArray, floats, not_negative, positive

FOOT_M: Final = 0.3048
"""International foot [m], by its definition of 1959."""

MPH_MPS: Final = 0.44704
"""One mile an hour [m/s]."""

BEAM_60FT_M: Final = 60 * FOOT_M
BEAM_330FT_M: Final = 330 * FOOT_M
BEAM_660FT_M: Final = 660 * FOOT_M
BEAM_1000FT_M: Final = 1000 * FOOT_M
BEAM_1320FT_M: Final = 1320 * FOOT_M
BEAMS_M: Final = (BEAM_60FT_M, BEAM_330FT_M, BEAM_660FT_M, BEAM_1000FT_M, BEAM_1320FT_M)
"""Beams from the stage beam [m]."""

TRAP_LENGTH_M: Final = 66 * FOOT_M
"""Stretch before the 660 and 1320 ft beams over which the trap speed is a mean [m]."""

ROLLOUT_M: Final = FOOT_M
"""Travel from rest until the front tyre has left the stage beam [m]: about 1 ft, by tyre and depth of staging (common
practice)."""

TimeAtDistance = Callable[[FloatArray], FloatArray]
"""A pass as time since the car began to move [s] over its travel [m]."""


def beam_time_s(time_at: TimeAtDistance, beam_m: ArrayLike, rollout_m: ArrayLike = ROLLOUT_M) -> FloatArray:
    """Time on the strip's clock at a beam.

    Parameters
    ----------
    time_at : callable
        Time [s] over travel [m]: a closed form, or an interpolation of a trace.
    beam_m : array_like
        Distance of the beam from the stage beam [m].
    rollout_m : array_like
        Travel before the clock starts [m].

    Returns
    -------
    ndarray, broadcast shape
        Time [s]: t(d) - t(r).

    Raises
    ------
    ValueError
        On a negative distance.

    References
    ----------
    Convention of strips with beams (common practice).
    """
    start_s = time_at(not_negative("rollout_m", rollout_m))
    return time_at(not_negative("beam_m", beam_m)) - start_s


def metered_time_s(time_at: TimeAtDistance, distance_m: ArrayLike, rollout_m: ArrayLike = ROLLOUT_M) -> FloatArray:
    """Time by the convention of meters that drop the first foot and count the distance after it.

    Parameters
    ----------
    time_at : callable
        Time [s] over travel [m].
    distance_m : array_like
        Distance after the rollout [m].
    rollout_m : array_like
        Travel that is dropped [m].

    Returns
    -------
    ndarray, broadcast shape
        Time [s]: t(d + r) - t(r).

    Raises
    ------
    ValueError
        On a negative distance.

    References
    ----------
    Convention of road tests (common practice).
    """
    dropped_m = not_negative("rollout_m", rollout_m)
    return time_at(not_negative("distance_m", distance_m) + dropped_m) - time_at(dropped_m)


def trap_speed_mps(time_at: TimeAtDistance, beam_m: ArrayLike, length_m: ArrayLike = TRAP_LENGTH_M) -> FloatArray:
    """Mean speed over the trap before a beam.

    Parameters
    ----------
    time_at : callable
        Time [s] over travel [m].
    beam_m : array_like
        Distance of the beam from the stage beam [m].
    length_m : array_like
        Length of the trap [m].

    Returns
    -------
    ndarray, broadcast shape
        Speed [m/s], lower than at the beam itself: by 1 to 2 % for a quick car.

    Raises
    ------
    ValueError
        On a length of zero or less, or one beyond the stage beam.

    References
    ----------
    Convention of strips (common practice).
    """
    length = positive("length_m", length_m)
    entry_m = not_negative("beam_m less length_m", floats(beam_m) - length)
    return length / (time_at(floats(beam_m)) - time_at(entry_m))


def trap_speed_sd_mps(
    speed_mps: ArrayLike, clock_step_s: ArrayLike = 1e-3, length_m: ArrayLike = TRAP_LENGTH_M
) -> FloatArray:
    """Standard uncertainty of a trap speed from the step of the strip's clock.

    Parameters
    ----------
    speed_mps : array_like
        Trap speed [m/s].
    clock_step_s : array_like
        Step of the clock [s].
    length_m : array_like
        Length of the trap [m].

    Returns
    -------
    ndarray, broadcast shape
        Standard deviation [m/s].

    Raises
    ------
    ValueError
        On a negative step, or a length of zero or less.

    References
    ----------
    JCGM 100: two readings, each even over one step: v^2/L q sqrt(2/12).
    """
    per_second = floats(speed_mps) ** 2 / positive("length_m", length_m)
    return np.asarray(per_second * not_negative("clock_step_s", clock_step_s) / np.sqrt(6.0))
