"""A strip: how it grips along its length and on either side, how it takes heat, how it slopes.

The profile is drawn once from the strip's own seed: prepared to a length, then plainer, with a slow wander along the
track and between the two wheel tracks. Everything is relative to the tyre's own friction.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

SPACING_M = 2.0
START_M = -6.0
LENGTH_M = 700.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """An invented strip.

    Parameters
    ----------
    grip : float
        Level over a plain prepared strip [-].
    prepared_m : float
        Length of the prepared part from the start line [m].
    beyond : float
        Grip past it, over that before it [-].
    wander, sides : float
        Standard deviation of the slow change along the strip, and of the difference between the sides [-].
    best_track_c : float
        Track temperature of the best grip [°C].
    gust : float
        Size of gusts over the mean head wind's own, with 0.4 m/s at calm [-].
    seed : int
        Draws the profile.
    """

    name: str
    grip: float = 1.0
    prepared_m: float = 120.0
    beyond: float = 0.95
    wander: float = 0.012
    sides: float = 0.008
    best_track_c: float = 33.0
    gust: float = 0.25
    seed: int = 0

    def profile(self) -> NDArray[np.float64]:
        """Grip of the left and the right wheel track, shape (2, n), every `SPACING_M` from `START_M` [-]."""
        rng = np.random.default_rng(self.seed)
        place_m = np.arange(START_M, LENGTH_M, SPACING_M)
        # Preparation fades out over about 30 m.
        prepared = 1.0 / (1.0 + np.exp((place_m - self.prepared_m) / 10.0))
        level = self.beyond + (1.0 - self.beyond) * prepared
        along = self.wander * smooth_noise(rng, place_m.size, 20)
        apart = self.sides * smooth_noise(rng, place_m.size, 12)
        return np.stack([level * (1.0 + along + apart), level * (1.0 + along - apart)])

    def grip_at(self, track_temperature_c: float) -> float:
        """Level of the day by track temperature: 4 % less 20 K off the best (size from common practice) [-]."""
        return self.grip * (1.0 - 0.04 * ((track_temperature_c - self.best_track_c) / 20.0) ** 2)


def smooth_noise(rng: np.random.Generator, size: int, points: int) -> NDArray[np.float64]:
    """Noise of unit standard deviation, white but for a running mean over some points."""
    kernel = np.hanning(points + 2)
    noise = np.convolve(rng.standard_normal(size + points + 1), kernel / np.sqrt(np.sum(kernel**2)), mode="valid")
    return noise[:size]
