"""The lateness of the pitch against a spring and damper integrated by another method (scipy.signal.lsim)."""

import numpy as np
import pytest
from scipy.signal import lsim

from nextpass.review.speed.squat import PITCH_DAMPING, PITCH_HZ, SQUAT, with_pitch_at_once

TIME_S = np.arange(0.0, 6.0, 0.01)
# A clutch let in over a fifth of a second, a shift, a lift.
PULL = np.interp(TIME_S, [0.0, 1.0, 1.2, 2.5, 2.52, 2.6, 2.65, 4.0, 4.1, 6.0], [0, 0, 7, 6, 0, 0, 5, 4, -0.5, -0.4])


def _felt(share: float) -> np.ndarray:
    rate = 2.0 * np.pi * PITCH_HZ
    _, swung, _ = lsim(([rate**2], [1.0, 2.0 * PITCH_DAMPING * rate, rate**2]), PULL, TIME_S)
    return PULL + share * swung


@pytest.mark.parametrize("rate_hz", [100, 25])
def test_what_a_usual_body_feels_comes_out_in_proportion_to_the_pull(rate_hz):
    every = 100 // rate_hz
    pull = with_pitch_at_once(TIME_S[::every], _felt(SQUAT)[::every]) / (1.0 + SQUAT)
    # What is left is the squat of the squat, 0.1 % of 7 m/s2, and at 25 Hz what lies between two samples.
    assert np.abs(pull - PULL[::every]).max() < (0.02 if rate_hz == 100 else 0.07)
    assert np.abs(_felt(SQUAT) / (1.0 + SQUAT) - PULL).max() > 0.15


def test_a_bias_stays_as_it_is():
    assert with_pitch_at_once(TIME_S, np.full(TIME_S.size, 0.3)) == pytest.approx(0.3, abs=1e-9)
