"""Traces on the screen: which channels in which panels, and the component of the browser that draws them.

The component fetches its lines and figures from the API, so that it goes on working when the page's own connection
comes and goes; here it is only told what to show and in which words and units.
"""

from collections.abc import Sequence
from dataclasses import asdict, dataclass

import nicegui.elements.echart  # noqa: F401 - makes the chart library known to the page
from nicegui.element import Element

from nextpass.jobs import Along, channel_of, place_of, whole_window
from nextpass.report import Quantity, Reader, quantity_of
from nextpass.review import ReviewedPass

# Shown together where a log has both: the wish lies pale beneath what came of it.
COMPANIONS = {
    "manifold_pressure_kpa": ("target_pressure_kpa",),
    "lambda_bank1": ("lambda_target",),
    "lambda_bank2": ("lambda_target",),
    "rail_pressure_kpa": ("rail_target_kpa",),
}
USUAL_CHANNELS = (
    "engine_rpm",
    "vehicle_speed_mps",
    "manifold_pressure_kpa",
    "lambda_bank1",
    "injector_duty",
    "knock_retard_deg",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class TracedPass:
    """A pass whose lines are drawn; `address` is where the API answers for it."""

    address: str
    reviewed: ReviewedPass


class Traces(Element, component="traces.js"):
    """The panels in the browser."""

    def __init__(self, config: dict[str, object]) -> None:
        super().__init__()
        self._props["config"] = config

    def show(self, config: dict[str, object]) -> None:
        """Show other channels, another axis or another pass."""
        self.run_method("setConfig", config)

    def show_span(self, start: float, end: float) -> None:
        """Go to a stretch and mark it; seconds since the car began to move."""
        self.run_method("showSpan", start, end)

    def zoom(self, factor: float) -> None:
        """Show more (above 1) or less (below 1) of the axis."""
        self.run_method("zoom", factor)

    def whole(self) -> None:
        """Show the whole run."""
        self.run_method("whole")


def trace_config(
    passes: Sequence[TracedPass],
    names: Sequence[str],
    reader: Reader,
    along: Along = "time",
    window: tuple[float, float] | None = None,
) -> dict[str, object]:
    """What the component is told.

    Parameters
    ----------
    passes : sequence of TracedPass
        The pass, and the one laid over it where there is one.
    names : sequence of str
        Channels, one panel each.
    reader : Reader
        Language and units.
    along : {"time", "distance"}
        The axis.
    window : tuple of float, optional
        What to show first; the whole run where it is not given.

    Returns
    -------
    dict
        Plain values.
    """
    reviewed = passes[0].reviewed
    return {
        "passes": [{"address": one.address} for one in passes],
        "panels": [panel for name in names if (panel := _panel(reviewed, name, reader)) is not None],
        "along": along,
        "window": list(window or whole_window(reviewed, along)),
        "gears": _gears(reviewed, along),
        "words": {
            **{name: reader.says(f"traces.{name}") for name in ("label", "lowest", "mean", "highest")},
            "time": reader.says("traces.seconds_from_launch"),
            "distance": reader.says("traces.metres_from_launch"),
        },
    }


def usual_channels(reviewed: ReviewedPass) -> list[str]:
    """Channels to show where nobody has chosen any.

    Parameters
    ----------
    reviewed : ReviewedPass
        With its log.

    Returns
    -------
    list of str
        Those of the usual ones that the log has, else its first ones.
    """
    usual = [name for name in USUAL_CHANNELS if name in reviewed.log.channels]
    return usual or list(reviewed.log.channels)[:4]


def _panel(reviewed: ReviewedPass, name: str, reader: Reader) -> dict[str, object] | None:
    if channel_of(reviewed, name) is None:
        return None
    shown = [name, *(one for one in COMPANIONS.get(name, ()) if one in reviewed.log.channels)]
    return {"channels": [{"name": one, **asdict(_quantity(reviewed, one, reader))} for one in shown]}


def _quantity(reviewed: ReviewedPass, name: str, reader: Reader) -> Quantity:
    return quantity_of(name, reader, is_canonical=name in reviewed.log.channels)


def _gears(reviewed: ReviewedPass, along: Along) -> list[dict[str, object]]:
    return [
        {
            "start": place_of(reviewed, phase.start_s, along),
            "end": place_of(reviewed, phase.end_s, along),
            "label": str(phase.gear),
        }
        for phase in reviewed.review.phases
        if phase.kind == "gear" and phase.gear is not None
    ]
