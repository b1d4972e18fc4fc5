"""The API for the traces: windows of a pass's channels as lines to draw, and exact values under a cursor."""

import math
from typing import Annotated

import numpy as np
from fastapi import APIRouter, Query
from numpy.typing import NDArray

from nextpass.jobs import Along, Desk, TraceLine, trace_window, values_at, whole_window
from nextpass.web.api_models import TraceLineAnswer, TracesAnswer, ValuesAnswer
from nextpass.web.finding_cars import car_called, pass_of

_MOST_CHANNELS = 40
# Of the largest value of a line: no screen has so many pixels that it could show more.
_DRAWN_DIGITS = 6
Channels = Annotated[list[str], Query(max_length=_MOST_CHANNELS, description="Names of channels.")]
Place = Annotated[float, Query(ge=-1e6, le=1e6, allow_inf_nan=False)]


def add_traces(router: APIRouter, desk: Desk) -> None:
    """Register the addresses.

    Parameters
    ----------
    router : APIRouter
        Of the API.
    desk : Desk
        With the book open.
    """

    @router.get("/cars/{car}/passes/{sequence}/traces")
    def traces(
        car: str,
        sequence: int,
        channel: Channels,
        start: Place | None = None,
        end: Place | None = None,
        points: Annotated[int, Query(ge=10, le=20_000)] = 2000,
        along: Along = "time",
    ) -> TracesAnswer:
        """Channels between two places, thinned so that no spike is lost; the run where no places are given."""
        kept = car_called(desk, car)
        reviewed = desk.reviewed(kept, pass_of(desk, kept, sequence))
        usual = whole_window(reviewed, along)
        first, last = usual[0] if start is None else start, usual[1] if end is None else end
        lines = trace_window(reviewed, channel, first, last, points, along)
        return TracesAnswer(along=along, start=first, end=last, lines=[_line_answer(line) for line in lines])

    @router.get("/cars/{car}/passes/{sequence}/values")
    def values(car: str, sequence: int, channel: Channels, at: Place, along: Along = "time") -> ValuesAnswer:
        """The newest true sample of channels at a place."""
        kept = car_called(desk, car)
        found = values_at(desk.reviewed(kept, pass_of(desk, kept, sequence)), channel, at, along)
        return ValuesAnswer(at=at, values={name: _finite(value) for name, value in found.items()})


def _line_answer(line: TraceLine) -> TraceLineAnswer:
    return TraceLineAnswer(
        name=line.name,
        at=np.round(line.at, 4).tolist(),
        values=_drawn(line.values),
        lowest=_finite(line.lowest),
        highest=_finite(line.highest),
        mean=_finite(line.mean),
    )


def _drawn(values: NDArray[np.float64]) -> list[float | None]:
    """Values for a line: six digits of the largest, which no screen tells from more, and null for a gap.

    Half of what a zoom waits for is the text of its figures; exact ones are asked for under the cursor.
    """
    is_finite = np.isfinite(values)
    largest = float(np.abs(values[is_finite]).max(initial=0.0))
    decimals = _DRAWN_DIGITS - 1 - math.floor(math.log10(largest)) if largest > 0.0 else 0
    rounded: list[float | None] = np.round(values, decimals).tolist()
    for place in np.flatnonzero(~is_finite):
        rounded[place] = None
    return rounded


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
