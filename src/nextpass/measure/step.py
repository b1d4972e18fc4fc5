"""How well does a controlled value follow a step of its target: rise, overshoot, settling, steady error.

As control engineering defines them, on sampled data: crossings are interpolated between samples, the final value is
the target and not the last sample, and what the record is too short to show is nan rather than guessed.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

RISE_FROM, RISE_TO = 0.1, 0.9
SETTLING_BAND = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class StepResponse:
    """Figures of one step; nan where the record does not reach them.

    Parameters
    ----------
    rise_s : float
        From 10 % to 90 % of the step [s].
    peak_time_s : float
        From the start of the record to the extreme beyond the target, nan where it stays short of it [s].
    overshoot : float
        Extreme beyond the target, in the unit of the record; 0 where it stays short of it.
    overshoot_ratio : float
        The same over the step.
    settling_s : float
        From the start until the record stays within the band about the target [s].
    steady_error : float
        Mean of the settled part, else of the last fifth, less the target; unit of the record.
    """

    rise_s: float
    peak_time_s: float
    overshoot: float
    overshoot_ratio: float
    settling_s: float
    steady_error: float


def step_response(
    time_s: ArrayLike, values: ArrayLike, start: float, target: float, band: float = SETTLING_BAND
) -> StepResponse:
    """Figures of a response to one step of the target, made at the first sample.

    Parameters
    ----------
    time_s : array_like, shape (n,)
        Rising [s]; n of 2 or more.
    values : array_like, shape (n,)
        The controlled value, any unit.
    start : float
        The value before the step, same unit.
    target : float
        The value asked for, same unit; not equal to `start`.
    band : float
        Half width of the settling band as a share of the step.

    Returns
    -------
    StepResponse

    Raises
    ------
    ValueError
        On fewer than two samples, or a step of zero.

    References
    ----------
    Ogata, *Modern Control Engineering*, section on transient-response specifications (memory).
    """
    time, value = np.asarray(time_s, dtype=np.float64), np.asarray(values, dtype=np.float64)
    if time.size < 2 or time.size != value.size:
        raise ValueError(
            f"a step response needs two samples or more, times and values alike: {time.size}, {value.size}"
        )
    if target == start:
        raise ValueError("a step of zero has no response")
    # As a share of the step, so that steps down are judged as steps up.
    share = (value - start) / (target - start)
    elapsed = time - time[0]
    peak = int(np.argmax(share))
    over = max(float(share[peak]) - 1.0, 0.0)
    settled_s, settled = _settling(elapsed, share, band)
    tail = share[settled:] if settled < share.size else share[-max(share.size // 5, 1) :]
    return StepResponse(
        rise_s=_crossing(elapsed, share, RISE_TO) - _crossing(elapsed, share, RISE_FROM),
        peak_time_s=float(elapsed[peak]) if over > 0.0 else float("nan"),
        overshoot=over * abs(target - start),
        overshoot_ratio=over,
        settling_s=settled_s,
        steady_error=(float(np.mean(tail)) - 1.0) * (target - start),
    )


def _crossing(elapsed: FloatArray, share: FloatArray, level: float) -> float:
    """First time at which the response reaches a level, between samples; nan where it does not."""
    reached = np.flatnonzero(share >= level)
    if reached.size == 0:
        return float("nan")
    k = int(reached[0])
    if k == 0:
        return 0.0
    part = (level - share[k - 1]) / (share[k] - share[k - 1])
    return float(elapsed[k - 1] + part * (elapsed[k] - elapsed[k - 1]))


def _settling(elapsed: FloatArray, share: FloatArray, band: float) -> tuple[float, int]:
    """Time from which the response stays in the band, and the index of the first sample there."""
    outside = np.flatnonzero(np.abs(share - 1.0) > band)
    if outside.size == 0:
        return 0.0, 0
    last = int(outside[-1])
    if last == share.size - 1:
        return float("nan"), share.size
    edge = 1.0 + band if share[last] > 1.0 else 1.0 - band
    part = (edge - share[last]) / (share[last + 1] - share[last])
    return float(elapsed[last] + part * (elapsed[last + 1] - elapsed[last])), last + 1
