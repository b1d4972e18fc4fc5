"""The rows in which a channel was truly sampled: a logger repeats a slower sensor's last value until the next one.

A held channel changes at regular times and hardly ever from one row to the next. Its samples are the rows in which it
changes; where it rests (a car at standstill) its own period goes on from the last change, since a sensor that still
shows nothing new was sampled all the same. A channel that is quantised so coarsely that it moves by single steps
(a temperature in whole degrees) shows no rate, and keeps the clock of its rows.
"""

import numpy as np
from numpy.typing import NDArray

from nextpass.log.channel import FloatArray

# Fewer changes than this show no period.
FEWEST_CHANGES = 12
# Share of changes from one row to the next above which the rows themselves are samples.
MOST_NEXT_ROW = 0.05
# Share of the intervals that must lie within one row of the usual one.
LEAST_REGULAR = 0.6
# Share of changes by the smallest step above which the channel is only quantised, not held.
MOST_SINGLE_STEPS = 0.7


def held_period_rows(values: FloatArray) -> float:
    """Rows between the true samples of a channel, on average; 1 where every row is a sample or nothing shows.

    Parameters
    ----------
    values : ndarray, shape (n,)
        Readings, row by row, without nan.
    """
    changes = np.flatnonzero(np.diff(values) != 0) + 1
    if changes.size < FEWEST_CHANGES:
        return 1.0
    intervals = np.diff(changes)
    usual = float(np.median(intervals))
    if usual < 1.5 or float(np.mean(intervals == 1)) > MOST_NEXT_ROW:
        return 1.0
    near = intervals[np.abs(intervals - usual) <= 1]
    if near.size < LEAST_REGULAR * intervals.size:
        return 1.0
    steps = np.abs(np.diff(values)[changes - 1])
    if float(np.mean(steps <= 1.001 * steps.min())) > MOST_SINGLE_STEPS:
        return 1.0
    # The mean of the regular intervals is the period: 10 Hz in rows of 24 Hz changes after 2, 2, 3 rows.
    return float(np.mean(near))


def true_samples(values: FloatArray, period_rows: float) -> NDArray[np.intp]:
    """Rows of the true samples of a held channel.

    Parameters
    ----------
    values : ndarray, shape (n,)
        Readings, row by row, without nan.
    period_rows : float
        From `held_period_rows`, above 1.
    """
    changes = np.flatnonzero(np.diff(values) != 0) + 1
    starts = np.concatenate([[0], changes])
    lengths = np.diff(np.concatenate([starts, [values.size]]))
    # Half a period less than the next one is due: a change a little late is the next sample, not one missed.
    repeats = np.maximum(np.round(lengths / period_rows).astype(np.intp), 1)
    first = np.concatenate([[0], np.cumsum(repeats)[:-1]])
    place = np.arange(int(repeats.sum())) - np.repeat(first, repeats)
    rows = np.repeat(starts, repeats) + np.floor(place * period_rows).astype(np.intp)
    return np.asarray(np.unique(np.minimum(rows, values.size - 1)))
