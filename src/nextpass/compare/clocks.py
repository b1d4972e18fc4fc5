"""The clocks of the passes that are compared: from the strip where every pass has its slip, else from the logs.

A strip's clock and one read from a log differ by how deep the car was staged, so that the two are not mixed where it
can be helped; where it cannot, each carries its own ±.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from nextpass.measure import HALF_WIDTH_90, Estimate
from nextpass.review import ReviewedPass

FloatArray = NDArray[np.float64]
Source = Literal["strip", "log", "strip and log"]

STRIP_SD_S: Final = 0.004
STRIP_SD_MPS: Final = 0.10
"""Of a strip's clocks: a thousandth of resolution and the staging; trap speed from a thousandth over 66 ft."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PassClocks:
    """One clock of several passes.

    Parameters
    ----------
    values, sd : ndarray, shape (n,)
        Value and its own error [s; m/s for speeds]; nan where a pass does not have it.
    source : str
        Where they come from.
    """

    values: FloatArray
    sd: FloatArray
    source: Source


def clocks_of(passes: Sequence[ReviewedPass], names: Sequence[str]) -> Mapping[str, PassClocks]:
    """Clocks of passes by name.

    Parameters
    ----------
    passes : sequence of ReviewedPass, length n
    names : sequence of str
        Fields of the timeslip.

    Returns
    -------
    Mapping of str to PassClocks
    """
    source = _source(passes)
    return {name: _clock(passes, name, source) for name in names}


def _source(passes: Sequence[ReviewedPass]) -> Source:
    """One source that every pass has an ET from, the strip first; both where neither has."""
    if all(one.record.clocks is not None and one.record.clocks.et_s is not None for one in passes):
        return "strip"
    if all(isinstance(one.review.timeslip.et_s, Estimate) for one in passes):
        return "log"
    return "strip and log"


def _clock(passes: Sequence[ReviewedPass], name: str, source: Source) -> PassClocks:
    read = [_read(one, name, source) for one in passes]
    return PassClocks(values=np.array([value for value, _ in read]), sd=np.array([sd for _, sd in read]), source=source)


def _read(one: ReviewedPass, name: str, source: Source) -> tuple[float, float]:
    said = None if one.record.clocks is None else getattr(one.record.clocks, name)
    if said is not None and source != "log":
        return float(said), STRIP_SD_S if name.endswith("_s") else STRIP_SD_MPS
    measured = getattr(one.review.timeslip, name)
    if isinstance(measured, Estimate) and source != "strip":
        return measured.value, measured.plus_minus / HALF_WIDTH_90
    return float("nan"), float("nan")
