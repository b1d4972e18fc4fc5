"""What can a rate and a step still show?

An event between two samples is even over the sample time; a value rounded to a step is even over the step. A logger
that holds the last value is late by half a sample on average: a bias, to be taken out, besides the scatter.
Interpolating a smooth signal does far better than these bounds.
"""

import math

from nextpass.measure.estimate import Estimate

_EVEN = 1.0 / math.sqrt(12.0)  # standard deviation of an even distribution over its width


def event_time_sd_s(rate_hz: float) -> float:
    """Standard uncertainty of the time of an event that happened between two samples.

    Parameters
    ----------
    rate_hz : float
        Samples a second [Hz], above 0.

    Returns
    -------
    float
        Standard deviation [s]: 12 ms at 24 Hz, 4 ms at 70 Hz.

    Raises
    ------
    ValueError
        On a rate of zero or less.

    References
    ----------
    JCGM 100:2008, 4.3.7: even distribution.
    """
    return _sample_time_s(rate_hz) * _EVEN


def span_sd_s(rate_hz: float) -> float:
    """Standard uncertainty of the time between two such events.

    Parameters
    ----------
    rate_hz : float
        Samples a second [Hz], above 0.

    Returns
    -------
    float
        Standard deviation [s]: 17 ms at 24 Hz, 5.8 ms at 70 Hz.

    Raises
    ------
    ValueError
        On a rate of zero or less.

    References
    ----------
    JCGM 100:2008: two independent even distributions.
    """
    return event_time_sd_s(rate_hz) * math.sqrt(2.0)


def hold_delay_s(rate_hz: float) -> Estimate:
    """How late a logger is that holds the last value until the next sample.

    Parameters
    ----------
    rate_hz : float
        Samples a second [Hz], above 0.

    Returns
    -------
    Estimate
        Mean delay, half a sample, with the half width of its 90 % interval [s].

    Raises
    ------
    ValueError
        On a rate of zero or less.

    References
    ----------
    Even distribution over one sample: its central 90 % are 0.45 samples to each side.
    """
    sample_s = _sample_time_s(rate_hz)
    return Estimate(value=0.5 * sample_s, plus_minus=0.45 * sample_s)


def quantisation_sd(step: float) -> float:
    """Standard uncertainty of a value that was rounded to a step.

    Parameters
    ----------
    step : float
        Smallest step of the channel, any unit, not negative.

    Returns
    -------
    float
        Standard deviation, same unit: 0.29 km/h for whole km/h.

    Raises
    ------
    ValueError
        On a negative step.

    References
    ----------
    JCGM 100:2008, F.2.2.1.
    """
    if step < 0.0:
        raise ValueError(f"step must not be below 0, not {step:g}")
    return step * _EVEN


def crossing_sd_s(step: float, rate_of_change: float) -> float:
    """Standard uncertainty of the time at which a rounded signal crosses a level.

    Parameters
    ----------
    step : float
        Smallest step of the channel, any unit, not negative.
    rate_of_change : float
        Of the signal at the crossing, same unit a second, not 0.

    Returns
    -------
    float
        Standard deviation [s]: 16 ms for whole km/h at 5 m/s2.

    Raises
    ------
    ValueError
        On a negative step, or a signal that does not change.

    References
    ----------
    JCGM 100:2008, 5.1.2: dt = dy/(dy/dt).
    """
    if rate_of_change == 0.0:
        raise ValueError("rate_of_change must differ from 0: a signal that stands still crosses nothing")
    return quantisation_sd(step) / abs(rate_of_change)


def _sample_time_s(rate_hz: float) -> float:
    if rate_hz <= 0.0:
        raise ValueError(f"rate_hz must be above 0, not {rate_hz:g}")
    return 1.0 / rate_hz
