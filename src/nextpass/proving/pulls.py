"""Many tries in one log: a street-legal day on which the logger was never switched off, some of them cut short.

Between two tries the car rolls out and drives back; that stretch is a plain ramp to standstill, not a model.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from nextpass.physics import blend
from nextpass.proving.logger import Logger, logged, text_of
from nextpass.proving.outcome import Outcome

FloatArray = NDArray[np.float64]


def pulls_text(outcomes: Sequence[Outcome], logger: Logger, seed: int, gap_s: float = 30.0) -> tuple[str, list[float]]:
    """One log of several tries.

    Parameters
    ----------
    outcomes : sequence of Outcome
        In their order, all with traces, of one car on one day.
    logger : Logger
        That ran all the time.
    seed : int
        Draws jitter and noise.
    gap_s : float
        From the end of one try to the idling before the next [s].

    Returns
    -------
    str
        The log.
    list of float
        When the car began to move in each try, on the clock of the log [s].
    """
    times: list[FloatArray] = []
    parts: list[dict[str, FloatArray]] = []
    starts_s: list[float] = []
    at_s = 0.0
    for number, outcome in enumerate(outcomes):
        rows_s, channels = logged(outcome, logger, seed + number)
        if parts:
            between_s = np.arange(at_s + 1.0 / logger.rate_hz, at_s + gap_s, 1.0 / logger.rate_hz)
            parts.append(_between(between_s - at_s, gap_s, parts[-1], channels))
            times.append(between_s)
            at_s = float(between_s[-1]) + 1.0 / logger.rate_hz
        starts_s.append(at_s + outcome.moved_s + outcome.driver.waits_s)
        times.append(rows_s + at_s)
        parts.append(channels)
        at_s = float(times[-1][-1])
    joined = {name: np.concatenate([part[name] for part in parts]) for name in parts[0]}
    first = outcomes[0]
    afr = float(blend.blend_stoichiometric_afr(first.car.believed.fuels[first.setup.fuel].ethanol))
    return text_of(np.concatenate(times), joined, logger, first.conditions.pressure_kpa, afr), starts_s


def _between(
    since_s: FloatArray, gap_s: float, before: dict[str, FloatArray], after: dict[str, FloatArray]
) -> dict[str, FloatArray]:
    # Standing in the last fifth of the gap, as the first row of the next try does.
    share = np.minimum(since_s / (0.8 * gap_s), 1.0)
    filled = {name: values[-1] + share * (after[name][0] - values[-1]) for name, values in before.items()}
    if "longitudinal_acceleration_mps2" in filled:
        speed = next((before[name][-1] for name in before if name.endswith("speed_mps")), 0.0)
        rolling = after["longitudinal_acceleration_mps2"][0] - speed / (0.8 * gap_s)
        filled["longitudinal_acceleration_mps2"] = np.where(
            share < 1.0, rolling, after["longitudinal_acceleration_mps2"][0]
        )
    if "gear" in filled:
        filled["gear"] = np.where(share < 1.0, np.round(filled["gear"]), after["gear"][0])
    return filled
