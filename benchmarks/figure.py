"""One measured figure of a benchmark beside its floor, measured in the same run."""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A figure, what it is held against, and what it must reach.

    Parameters
    ----------
    name : str
        What was measured, in words.
    value : float
        The figure.
    unit : str
    floor : float or None
        What the best known simpler way reaches in the same run; None where there is no such way.
    floor_name : str
        That way, in words.
    target : str
        What the figure must reach, such as ``<= 0.05``; empty where it is only told.
    """

    name: str
    value: float
    unit: str
    floor: float | None = None
    floor_name: str = ""
    target: str = ""

    @property
    def is_reached(self) -> bool | None:
        """Whether the figure reaches its target; None where there is none."""
        if not self.target:
            return None
        sign, bound = self.target.split()
        return _holds(sign, self.value, float(bound))


def _holds(sign: str, value: float, bound: float) -> Literal[True, False]:
    match sign:
        case "<=":
            return value <= bound
        case ">=":
            return value >= bound
        case _:
            raise ValueError(f"a target starts with <= or >=, not {sign!r}")
