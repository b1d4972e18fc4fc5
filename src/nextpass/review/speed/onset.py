"""When did the car begin to move?

No sensor shows it: wheels and GPS wake up at a crawl, the accelerometer hides a gentle start in its noise, and all are
sampled. What the car had gained shortly after tells how long it had been moving. Limits: a car that creeps before it is
launched began to move when it crept, as far as any sensor saw that.
"""

import numpy as np
from numpy.typing import NDArray

from nextpass.review.speed.problem import Motion, Problem

FloatArray = NDArray[np.float64]

# The first pull of a launch, and the shares of its acceleration between which its growth is taken.
FIRST_PULL_S, LOW_SHARE, HIGH_SHARE = 0.6, 0.2, 0.6
# A growth over fewer rows than this is as much the sampling's as the car's.
RESOLVED_ROWS = 3
# Without an accelerometer the start is inferred from where a sensor of speed is awake for sure.
SEEN_MPS = 1.0


def first_movement(problem: Problem, motion: Motion, speed_sd_mps: FloatArray) -> tuple[float, float]:
    """When the car began to move, and the standard deviation.

    From a moment within the first pull, back by the time that the speed gained until there took: v/a of a car let in at
    once, 2 v/a of one whose acceleration grew from nothing; between them by how fast it grows there, or in the middle
    where too few rows show that; a jump from one row to the next is at once.

    Parameters
    ----------
    problem : Problem
    motion : Motion
        Smoothed.
    speed_sd_mps : ndarray, shape (n,)
        Standard deviation of its speed at the base times [m/s].

    Returns
    -------
    tuple of float
        Time on the log's clock and its standard deviation [s]; the first base time of a try that is not from rest.
    """
    time_s = problem.time_s
    period = float(np.median(np.diff(time_s)))
    sampling_sd_s = period / np.sqrt(12.0)
    moving = time_s > problem.rest_until_s
    least_mps = 0.0 if problem.has_accelerometer else SEEN_MPS
    seen = moving & (motion.speed_mps > least_mps)
    if not problem.from_rest or not seen.any():
        return float(time_s[0]), period
    # Some sensors leave rest long before the car does.
    after = np.flatnonzero(moving & (time_s < float(time_s[np.argmax(seen)]) + FIRST_PULL_S))
    acceleration, speed = motion.acceleration_mps2[after], motion.speed_mps[after]
    full = float(acceleration.max())
    if full <= 0.0 or after.size < 4:
        return problem.rest_until_s, FIRST_PULL_S / np.sqrt(12.0)
    low = int(np.argmax(acceleration >= LOW_SHARE * full))
    high = max(int(np.argmax(acceleration >= HIGH_SHARE * full)), int(np.argmax(speed > least_mps)))
    is_at_once, high = high == low, max(high, low + 1)
    high = min(high, after.size - 1)
    pull, gained_mps = max(float(acceleration[high]), LOW_SHARE * full), max(float(speed[high]), 0.0)
    growth = (pull - float(acceleration[low])) / float(time_s[after[high]] - time_s[after[low]])
    at_once_s = gained_mps / pull
    if high - low < RESOLVED_ROWS:
        took_s = at_once_s if is_at_once else 1.5 * at_once_s
    else:
        # v = a t - j t^2 / 2 for an acceleration that has grown to a at the rate j; where it cannot have grown so fast
        # from nothing, it grew from nothing.
        began = np.sqrt(max(pull**2 - 2.0 * growth * gained_mps, 0.0))
        took_s = float(np.clip(2.0 * gained_mps / (pull + began), at_once_s, 2.0 * at_once_s))
    # How it grew before is known between the two only (JCGM 100, 4.3.7); the speed there has its own doubt.
    grew_sd_s, speed_sd_s = at_once_s / np.sqrt(12.0), float(speed_sd_mps[after[high]]) / pull
    moved_s = max(float(time_s[after[high]]) - took_s, problem.rest_until_s)
    return moved_s, float(np.sqrt(sampling_sd_s**2 + grew_sd_s**2 + speed_sd_s**2))
