"""What the squat of the body adds to a forward accelerometer, and how much later than the pull itself it comes.

A nose that lifts makes the box feel gravity: in proportion to the pull while it is steady, and late and overshooting
after a launch or a shift, since the body swings on its springs. The steady part is a gain, which the smoother learns;
here the lateness is taken out, with the springs of a usual car. Limits: the swing of a very soft or very stiff car is
taken out by half; what remains is a millisecond or two of delay.
"""

import numpy as np
from numpy.typing import NDArray
from scipy.signal import bilinear, lfilter, lfilter_zi

FloatArray = NDArray[np.float64]

GRAVITY_MPS2 = 9.80665
# Squat of road cars under their own drive [deg/g], and its spread from car to car (common practice).
SQUAT_DEG_PER_G, SQUAT_SD_DEG_PER_G = 1.75, 0.75
# Gravity felt for each m/s2 of steady pull.
SQUAT = float(np.radians(SQUAT_DEG_PER_G))
SQUAT_SD = float(np.radians(SQUAT_SD_DEG_PER_G))
# Pitch of road cars on their springs: 1 to 1.8 Hz, damped to 0.2 to 0.5 (Gillespie, Fundamentals of Vehicle Dynamics,
# ch. 5, memory).
PITCH_HZ, PITCH_DAMPING = 1.4, 0.35
FINE_HZ = 200.0


def with_pitch_at_once(time_s: FloatArray, felt_mps2: FloatArray) -> FloatArray:
    """A forward accelerometer's reading as it would be if the body took its pitch with the pull, not after it.

    Parameters
    ----------
    time_s : ndarray, shape (n,)
        Rising [s].
    felt_mps2 : ndarray, shape (n,)
        As read: bias and gravity by tilt included [m/s2].

    Returns
    -------
    ndarray, shape (n,)
        [m/s2]; in proportion to the pull up to a constant, so far as the usual springs explain.
    """
    fine_s = np.arange(time_s[0], time_s[-1] + 1.0 / FINE_HZ, 1.0 / FINE_HZ)
    fine = np.interp(fine_s, time_s, felt_mps2)
    rate = 2.0 * np.pi * PITCH_HZ
    # A mass on spring and damper that the pull turns: w^2 / (s^2 + 2 d w s + w^2).
    over, under = bilinear([rate**2], [1.0, 2.0 * PITCH_DAMPING * rate, rate**2], FINE_HZ)
    swung, _ = lfilter(over, under, fine, zi=lfilter_zi(over, under) * fine[0])
    return np.asarray(felt_mps2 + SQUAT * (felt_mps2 - np.interp(time_s, fine_s, swung)))
