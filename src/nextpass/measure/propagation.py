"""How sure is a figure that is computed from others, each with its own ±?

The law of propagation of the GUM for inputs that do not depend on one another. Sensitivities come from the function
itself, by going half of each input's standard deviation to both sides: exact for a straight line, and for a bent one
the mean slope over the range where the input lies.
"""

import math
from collections.abc import Callable
from typing import SupportsFloat

from nextpass.measure.estimate import HALF_WIDTH_90, Estimate


def root_sum_square(*parts: float) -> float:
    """Joint width of independent contributions.

    Parameters
    ----------
    *parts : float
        Standard deviations, or half widths of like intervals, all in one unit.

    Returns
    -------
    float
        Same unit and kind.

    References
    ----------
    JCGM 100:2008, eq. 10.
    """
    return math.hypot(*parts)


def propagated(function: Callable[..., SupportsFloat], **inputs: Estimate) -> Estimate:
    """Figure of a function whose inputs carry a ±.

    Parameters
    ----------
    function : callable
        Takes each input as a float by its name and returns one figure.
    **inputs : Estimate
        Independent of one another, each with the half width of its 90 % interval.

    Returns
    -------
    Estimate
        The function at the inputs' values, with the half width of its 90 % interval.

    References
    ----------
    JCGM 100:2008, eq. 10, normal distributions; numerical sensitivities by its 5.1.3, note 2.
    """
    values = {name: estimate.value for name, estimate in inputs.items()}
    variance = 0.0
    for name, estimate in inputs.items():
        half_sd = 0.5 * estimate.plus_minus / HALF_WIDTH_90
        above = function(**{**values, name: estimate.value + half_sd})
        below = function(**{**values, name: estimate.value - half_sd})
        variance += (float(above) - float(below)) ** 2
    return Estimate.from_sd(float(function(**values)), math.sqrt(variance))
