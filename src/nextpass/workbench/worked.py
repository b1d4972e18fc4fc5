"""A sum that shows its work: what went in, each step with its formula, what came out, and what to beware of.

A line's name is its quantity with the unit at its end, so that a screen can show it in the reader's units. A value is
an `Estimate`; what was given exactly has a ± of 0, what cannot be said is `Absent` with the reason.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import SupportsFloat

from nextpass.measure import Absent, Estimate, Measured, propagated
from nextpass.words import phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One figure of a sum.

    Parameters
    ----------
    name : str
        Quantity with its unit, such as ``density_altitude_m``.
    label : str
        What people call it.
    value : Estimate or Absent
        In the unit of the name; percentages are ratios.
    formula : str
        How it follows from the lines before, with the source; empty for what was given.
    gear : int or None
        Where it belongs to one gear.
    """

    name: str
    label: str
    value: Measured
    formula: str = ""
    gear: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedSum:
    """A sum of the workbench.

    Parameters
    ----------
    title : str
        The question that it answers.
    inputs, steps, results : tuple of Line
        In the order in which they are to be read.
    cautions : tuple of str
        What limits the answer, and what is dangerous about acting on it.
    """

    title: str
    inputs: tuple[Line, ...]
    steps: tuple[Line, ...]
    results: tuple[Line, ...]
    cautions: tuple[str, ...]

    def of(self, name: str, gear: int | None = None) -> Measured:
        """Value of a line by its name, and gear where it has one.

        Raises
        ------
        KeyError
            No such line: a fault of the caller.
        """
        for line in (*self.results, *self.steps, *self.inputs):
            if line.name == name and line.gear == gear:
                return line.value
        raise KeyError(name)


def line(name: str, value: Measured | float, formula: str = "", gear: int | None = None) -> Line:
    """A line under the label that the texts have for its name.

    Parameters
    ----------
    name : str
        Quantity with its unit; ``workbench.line.<name>`` is its label.
    value : Estimate, Absent or float
        In the unit of the name; a float is exact.
    formula : str
        How it follows from the lines before, with the source.
    gear : int, optional
        Where it belongs to one gear.

    Returns
    -------
    Line
    """
    measured = Estimate(value=float(value), plus_minus=0.0) if isinstance(value, int | float) else value
    return Line(name=name, label=phrase(f"workbench.line.{name}"), value=measured, formula=formula, gear=gear)


def worked_out(function: Callable[..., SupportsFloat], beyond: str, **inputs: Estimate) -> Measured:
    """Figure of a formula with the ± of its inputs, or why there is none.

    Parameters
    ----------
    function : callable
        Takes each input by its name; nan where it cannot say.
    beyond : str
        Key under ``workbench.absent`` that says what nan means.
    **inputs : Estimate
        Independent of one another.

    Returns
    -------
    Estimate or Absent
    """
    figure = propagated(function, **inputs)
    if math.isnan(figure.value) or math.isnan(figure.plus_minus):
        return Absent(reason=phrase(f"workbench.absent.{beyond}"))
    return figure
