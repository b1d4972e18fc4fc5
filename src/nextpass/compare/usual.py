"""What is usual of each clock: how much a pass scatters, what a change does, what difference is worth having.

The scatter is that of one car, launched alike in like air: the root mean square over the cars of the proving ground (of
ET 0.041 s: twelve cars, twenty afternoons of six passes each, a straight line through each afternoon taken off; the
other clocks in the proportion of an earlier run), within common practice for an automatic launch. It weighs as much as
six passes would, and gives way to the passes.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Final

import numpy as np

from nextpass.compare.effect import Usual
from nextpass.measure import Absent, pooled_spread
from nextpass.physics import strip

WEIGHT: Final = 6.0
"""Passes that the usual scatter counts for."""
KNOWN_WEIGHT: Final = 40.0
"""The same for a scatter that the calibrator states."""

USUAL: Mapping[str, Usual] = MappingProxyType(
    {
        "t60ft_s": Usual(scatter=0.013, weight=WEIGHT, change=0.05, matters=0.01),
        "t330ft_s": Usual(scatter=0.0235, weight=WEIGHT, change=0.07, matters=0.015),
        "t660ft_s": Usual(scatter=0.030, weight=WEIGHT, change=0.08, matters=0.02),
        "t1000ft_s": Usual(scatter=0.0365, weight=WEIGHT, change=0.09, matters=0.02),
        "et_s": Usual(scatter=0.041, weight=WEIGHT, change=0.10, matters=0.02),
        "trap_mps": Usual(scatter=0.16, weight=WEIGHT, change=0.65, matters=0.15),
    }
)
"""By clock [s; m/s for the trap speed]. What changes do is common practice: hundredths, seldom two tenths."""

_BEAM_CLOCKS = ("t60ft_s", "t330ft_s", "t660ft_s", "t1000ft_s", "et_s")


def usual_of(clock: str, known_scatter_s: float | None = None) -> Usual:
    """What is usual of a clock.

    Parameters
    ----------
    clock : str
        Name of the clock.
    known_scatter_s : float, optional
        Scatter of ET that the calibrator states [s]; the other clocks scale with it.
    """
    usual = USUAL[clock]
    if known_scatter_s is None:
        return usual
    factor = known_scatter_s / USUAL["et_s"].scatter
    return replace(usual, scatter=factor * usual.scatter, weight=KNOWN_WEIGHT)


def usual_between(start_m: float, end_m: float, known_scatter_s: float | None = None) -> Usual:
    """What is usual of the time from one distance to another: variances grow along the strip as those of the clocks.

    Parameters
    ----------
    start_m, end_m : float
        From the stage line [m].
    known_scatter_s : float, optional
        Scatter of ET that the calibrator states [s].
    """
    whole = usual_of("et_s", known_scatter_s)
    beams = [0.0, *strip.BEAMS_M]

    def part(values: Sequence[float]) -> float:
        low, high = np.interp([start_m, end_m], beams, [0.0, *(value**2 for value in values)])
        return math.sqrt(max(float(high - low), 1e-6))

    return replace(
        whole,
        scatter=part([usual_of(clock, known_scatter_s).scatter for clock in _BEAM_CLOCKS]),
        change=part([USUAL[clock].change for clock in _BEAM_CLOCKS]),
    )


def with_like(usual: Usual, groups: Sequence[Sequence[float]]) -> Usual:
    """The same with what further groups of like passes show of the scatter.

    Parameters
    ----------
    usual : Usual
    groups : sequence of sequence of float
        Values of the clock, each group of one setup.
    """
    seen = pooled_spread(groups)
    if isinstance(seen, Absent):
        return usual
    weight = usual.weight + seen.degrees_of_freedom
    squares = usual.weight * usual.scatter**2 + seen.degrees_of_freedom * seen.value**2
    return replace(usual, scatter=math.sqrt(squares / weight), weight=weight)
