"""What do mass and power alone say of a quarter mile?

The cube-root relations: a car at constant power covers a fixed distance in a time that goes with (mass/power)^(1/3)
(Fox, 1973). Hale's and Huntington's constants carry the gearing, losses and launch of the cars behind them: they are
orientation, not forecast. Sources in pounds, horsepower and miles an hour; here kg, W and m/s.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from nextpass.physics.domain import FloatArray, positive
from nextpass.physics.strip import MPH_MPS

POUND_KG: Final = 0.45359237
HORSEPOWER_W: Final = 745.69987158227022
"""Pound [kg] and mechanical horsepower [W], 550 ft lbf/s."""


@dataclass(frozen=True, slots=True, kw_only=True)
class QuarterMileRule:
    """The two constants of a cube-root relation, as its source gives them.

    Parameters
    ----------
    et_constant : float
        Time over (weight/power)^(1/3) [s (hp/lb)^(1/3)].
    trap_constant : float
        Trap speed over (power/weight)^(1/3) [mph (lb/hp)^(1/3)].
    """

    et_constant: float
    trap_constant: float


HALE: Final = QuarterMileRule(et_constant=5.825, trap_constant=234.0)
"""Hale's constants (memory)."""

HUNTINGTON: Final = QuarterMileRule(et_constant=6.290, trap_constant=225.0)
"""Huntington's constants (memory)."""

CONSTANT_POWER: Final = QuarterMileRule(et_constant=4.80261, trap_constant=281.097)
"""The whole power from rest to the line, nothing lost: the bound of Fox, Am. J. Phys. 41 (1973) 311 (memory)."""


def quarter_mile_s(mass_kg: ArrayLike, power_w: ArrayLike, rule: QuarterMileRule = HALE) -> FloatArray:
    """Quarter-mile time of a mass and a power.

    Parameters
    ----------
    mass_kg : array_like
        As raced [kg].
    power_w : array_like
        Rated at the crankshaft, for `HALE` and `HUNTINGTON` [W].
    rule : QuarterMileRule
        Which constants.

    Returns
    -------
    ndarray, broadcast shape
        Time [s].

    Raises
    ------
    ValueError
        On an argument of zero or less.

    References
    ----------
    Those of the rule.
    """
    return rule.et_constant * np.cbrt(_pounds_per_horsepower(mass_kg, power_w))


def trap_speed_mps(mass_kg: ArrayLike, power_w: ArrayLike, rule: QuarterMileRule = HALE) -> FloatArray:
    """Trap speed of a mass and a power.

    Parameters
    ----------
    mass_kg : array_like
        As raced [kg].
    power_w : array_like
        Rated at the crankshaft, for `HALE` and `HUNTINGTON` [W].
    rule : QuarterMileRule
        Which constants.

    Returns
    -------
    ndarray, broadcast shape
        Speed [m/s].

    Raises
    ------
    ValueError
        On an argument of zero or less.

    References
    ----------
    Those of the rule.
    """
    return rule.trap_constant * MPH_MPS / np.cbrt(_pounds_per_horsepower(mass_kg, power_w))


def power_from_time_w(mass_kg: ArrayLike, quarter_mile_s: ArrayLike, rule: QuarterMileRule = HALE) -> FloatArray:
    """Power that a quarter-mile time speaks for.

    Parameters
    ----------
    mass_kg : array_like
        As raced [kg].
    quarter_mile_s : array_like
        Time [s].
    rule : QuarterMileRule
        Which constants.

    Returns
    -------
    ndarray, broadcast shape
        Power [W]. More than 10 % below `power_from_trap_w` of the same pass, the launch cost the time.

    Raises
    ------
    ValueError
        On an argument of zero or less.

    References
    ----------
    Those of the rule, solved for the power.
    """
    pounds = positive("mass_kg", mass_kg) / POUND_KG
    return pounds * (rule.et_constant / positive("quarter_mile_s", quarter_mile_s)) ** 3 * HORSEPOWER_W


def power_from_trap_w(mass_kg: ArrayLike, trap_mps: ArrayLike, rule: QuarterMileRule = HALE) -> FloatArray:
    """Power that a trap speed speaks for.

    Parameters
    ----------
    mass_kg : array_like
        As raced [kg].
    trap_mps : array_like
        Trap speed [m/s].
    rule : QuarterMileRule
        Which constants.

    Returns
    -------
    ndarray, broadcast shape
        Power [W].

    Raises
    ------
    ValueError
        On an argument of zero or less.

    References
    ----------
    Those of the rule, solved for the power.
    """
    pounds = positive("mass_kg", mass_kg) / POUND_KG
    return pounds * (positive("trap_mps", trap_mps) / MPH_MPS / rule.trap_constant) ** 3 * HORSEPOWER_W


def delivered_power_share(rule: QuarterMileRule) -> float:
    """Mean part of the rated power that moves the car in a rule's quarter mile, from its time.

    Parameters
    ----------
    rule : QuarterMileRule
        Which constants.

    Returns
    -------
    float
        Share [0..1]: 0.56 for Hale.

    References
    ----------
    Fox (1973) (memory): the time of constant power goes with power^(-1/3).
    """
    return (CONSTANT_POWER.et_constant / rule.et_constant) ** 3


def _pounds_per_horsepower(mass_kg: ArrayLike, power_w: ArrayLike) -> FloatArray:
    return (positive("mass_kg", mass_kg) / POUND_KG) / (positive("power_w", power_w) / HORSEPOWER_W)
