"""A value with its ±, or the reason why there is none.

Everywhere in nextpass ``plus_minus`` is the half width of a 90 % interval. The two types share no attribute, so that
a caller must ask which of them it holds before it can read a number.
"""

from dataclasses import dataclass

# Half width of the central 90 % of a normal distribution in standard deviations.
HALF_WIDTH_90 = 1.6448536269514722


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A measured or computed value with the half width of its 90 % interval.

    Parameters
    ----------
    value : float
        The value, in the unit that the holder's name states.
    plus_minus : float
        Half width of the 90 % interval, same unit, not negative.
    """

    value: float
    plus_minus: float

    @property
    def low(self) -> float:
        """Lower end of the 90 % interval."""
        return self.value - self.plus_minus

    @property
    def high(self) -> float:
        """Upper end of the 90 % interval."""
        return self.value + self.plus_minus

    @classmethod
    def from_sd(cls, value: float, sd: float) -> "Estimate":
        """Estimate from a value and its standard deviation, taken as normal."""
        return cls(value=value, plus_minus=HALF_WIDTH_90 * sd)


@dataclass(frozen=True, slots=True, kw_only=True)
class Absent:
    """A value that the data cannot support.

    Parameters
    ----------
    reason : str
        Why, in the user's words: a whole clause without a full stop.
    """

    reason: str


Measured = Estimate | Absent
