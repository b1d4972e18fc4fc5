"""Groups of clocks with a known effect and scatter: is the stated probability what it says, and the interval?"""

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nextpass.compare import Effect, effect_of, usual_of
from nextpass.measure import Absent, welch_difference

FloatArray = NDArray[np.float64]

LEVEL_S, SCATTER_S, EFFECT_S = 11.6, 0.03, 0.05
BINS = (0.0, 0.05, 0.2, 0.4, 0.6, 0.8, 0.95, 1.0)
LEVELS = (0.5, 0.8, 0.9, 0.95)
LEAST, MOST = 2, 5
"""Passes in a group."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One comparison: the true gain [s], what was stated, and what Welch's test would have said."""

    gain_s: float
    effect: Effect
    welch_probability: float


def trials(gains_s: FloatArray, seed: int) -> list[Trial]:
    """A comparison for each true gain, of groups of two to five passes.

    Parameters
    ----------
    gains_s : ndarray, shape (n,)
        True gains of the second group [s].
    seed : int
    """
    rng = np.random.default_rng([seed, 4])
    usual = usual_of("et_s")
    found = []
    for gain_s in gains_s:
        first = rng.normal(LEVEL_S, SCATTER_S, rng.integers(LEAST, MOST + 1)).tolist()
        second = rng.normal(LEVEL_S - gain_s, SCATTER_S, rng.integers(LEAST, MOST + 1)).tolist()
        count = len(first) + len(second)
        effect = effect_of(first, second, np.zeros((count, count)), usual)
        welch = welch_difference(first, second)
        assert not isinstance(effect, Absent)
        assert not isinstance(welch, Absent)
        found.append(Trial(gain_s=float(gain_s), effect=effect, welch_probability=welch.probability_above(0.0)))
    return found


def reliability(found: list[Trial]) -> list[tuple[float, float, int, float, float]]:
    """Bin, number of trials, mean stated probability of a gain, and share of trials that truly had one."""
    stated = np.array([trial.effect.probability_lower for trial in found])
    truly = np.array([trial.gain_s > 0.0 for trial in found])
    rows = []
    for low, high in itertools.pairwise(BINS):
        inside = (stated >= low) & ((stated < high) | (high == BINS[-1]))
        if inside.any():
            rows.append((low, high, int(inside.sum()), float(stated[inside].mean()), float(truly[inside].mean())))
    return rows


def calibration_error(found: list[Trial]) -> float:
    """Mean distance between stated and true share over the bins, by trials."""
    rows = reliability(found)
    return sum(count * abs(stated - truly) for _, _, count, stated, truly in rows) / len(found)


def welch_calibration_error(found: list[Trial]) -> float:
    """The same for Welch's one-sided probability."""
    stated = np.array([trial.welch_probability for trial in found])
    truly = np.array([trial.gain_s > 0.0 for trial in found])
    places = np.clip(np.searchsorted(BINS, stated, side="right") - 1, 0, len(BINS) - 2)
    parts = [places == place for place in range(len(BINS) - 1)]
    return float(sum(part.sum() * abs(stated[part].mean() - truly[part].mean()) for part in parts if part.any())) / len(
        found
    )


def coverage(found: list[Trial]) -> float:
    """Share of true gains inside the stated 90 % interval."""
    return float(np.mean([trial.effect.change.low <= -trial.gain_s <= trial.effect.change.high for trial in found]))
