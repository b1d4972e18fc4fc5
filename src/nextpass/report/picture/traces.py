"""Traces as still pictures: a few channels in stacked panels over one time axis, for paper and for a single file.

Time counts from the moment when the car began to move. Each line is thinned by minimum and maximum, so that a spike
never disappears; the panel's scale covers every sample that was read.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

import numpy as np
from numpy.typing import NDArray

from nextpass.log import Channel
from nextpass.report.picture.scale import Scale, scale_over
from nextpass.report.quantity import Quantity, quantity_of
from nextpass.report.reader import Reader
from nextpass.review import Phase, ReviewedPass

FloatArray = NDArray[np.float64]

# Points of one still line: about two for each pixel of a wide page.
_POINTS = 1200
# A panel spans at least this part of the greatest value that it shows.
_LEAST_SPAN = 0.1
# Seconds shown before the car moves and after the last phase.
_LEAD_S = 0.7
STILL_CHANNELS = (
    "engine_rpm",
    "vehicle_speed_mps",
    "manifold_pressure_kpa",
    "lambda_bank1",
    "injector_duty",
    "rail_pressure_kpa",
    "knock_retard_deg",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class TracePanel:
    """One channel: `points` are (x, y) fractions, y from the bottom; a gap breaks the line."""

    label: str
    unit: str
    lines: tuple[tuple[tuple[float, float], ...], ...]
    ticks: tuple[tuple[float, str], ...]
    lowest: str
    highest: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TracePicture:
    """Panels over one time axis; `gears` are start, end and label of each stretch."""

    panels: tuple[TracePanel, ...]
    ticks: tuple[tuple[float, str], ...]
    gears: tuple[tuple[float, float, str], ...]


def trace_picture(reviewed: ReviewedPass, reader: Reader, names: Sequence[str] = STILL_CHANNELS) -> TracePicture:
    """Panels of those channels that the log has.

    Parameters
    ----------
    reviewed : ReviewedPass
        With its log.
    reader : Reader
        Language and units.
    names : sequence of str
        Canonical channel names, top panel first.

    Returns
    -------
    TracePicture
        Ready to draw; without panels where the log has none of the channels.
    """
    channels = [channel for name in names if (channel := reviewed.log.get(name)) is not None]
    start_s, end_s, zero_s = _window(reviewed, channels)
    time = scale_over((start_s - zero_s, end_s - zero_s), tick_count=8, is_snug=True)
    gaps_s = np.array([gap.start_s for gap in reviewed.log.quality.gaps]) - zero_s
    panels = [_panel(channel, zero_s, time, gaps_s, reader) for channel in channels]
    gears = tuple(
        (time.at(first_s - zero_s), time.at(last_s - zero_s), str(gear))
        for first_s, last_s, gear in _gears(reviewed.review.phases)
        if first_s < end_s
    )
    return TracePicture(
        panels=tuple(panel for panel in panels if panel is not None),
        ticks=tuple((time.at(tick), reader.number(tick, time.decimals)) for tick in time.ticks),
        gears=gears,
    )


def line_svg(
    panel: TracePanel, colour: str = "var(--ink)", width: float = 1.3, frame: tuple[float, float] = (1000.0, 100.0)
) -> str:
    """The bare line of a panel, without any text, stretched to its frame.

    Parameters
    ----------
    panel : TracePanel
        What to draw.
    colour : str
        Of the line, as CSS writes it.
    width : float
        Of the line [px].
    frame : tuple of float
        Width and height of its own units: where the frame is not stretched, the line keeps its width everywhere.

    Returns
    -------
    str
        One SVG element.
    """
    paths = "".join(
        f'<path d="{_path(line, frame)}" fill="none" stroke="{colour}" stroke-width="{width}" '
        'vector-effect="non-scaling-stroke" stroke-linejoin="round"/>'
        for line in panel.lines
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {frame[0]:g} {frame[1]:g}" '
        f'preserveAspectRatio="none" aria-hidden="true" focusable="false">{paths}</svg>'
    )


def traces_html(picture: TracePicture, reader: Reader) -> str:
    """Panels as HTML with a fluid SVG each.

    Parameters
    ----------
    picture : TracePicture
        What to draw.
    reader : Reader
        For the words.

    Returns
    -------
    str
        Markup without scripts; classes are those of ``picture.css``.
    """
    gears = "".join(
        f'<span style="left:{start * 100:.2f}%;width:{(end - start) * 100:.2f}%">{escape(gear)}</span>'
        for start, end, gear in picture.gears
    )
    ticks = "".join(f'<span style="left:{at * 100:.2f}%">{escape(figure)}</span>' for at, figure in picture.ticks)
    panels = "".join(
        f'<figure class="still-panel"><figcaption>{escape(panel.label)} <i>{escape(panel.unit)}</i>'
        f"<b>{escape(panel.lowest)} – {escape(panel.highest)}</b></figcaption>"
        f'<div class="still-frame">{line_svg(panel)}</div></figure>'
        for panel in picture.panels
    )
    return (
        f'<div class="still"><div class="still-gears" aria-hidden="true">{gears}</div>{panels}'
        f'<div class="still-ticks" aria-hidden="true">{ticks}<i>{escape(reader.says("traces.seconds_from_launch"))}</i>'
        "</div></div>"
    )


def _gears(phases: Sequence[Phase]) -> list[tuple[float, float, int]]:
    """When each gear drives, the launch and the gear that it was made in taken together."""
    found: list[tuple[float, float, int]] = []
    for phase in phases:
        if phase.kind not in ("launch", "gear") or phase.gear is None:
            continue
        if found and found[-1][2] == phase.gear:
            found[-1] = (found[-1][0], phase.end_s, phase.gear)
        else:
            found.append((phase.start_s, phase.end_s, phase.gear))
    return found


def _window(reviewed: ReviewedPass, channels: Sequence[Channel]) -> tuple[float, float, float]:
    ground = reviewed.review.ground_speed
    zero_s = ground.moved_s if ground is not None else 0.0
    ends = [phase.end_s for phase in reviewed.review.phases if phase.kind in ("launch", "gear", "shift")]
    if not ends:
        ends = [float(channel.time_s[-1]) for channel in channels if channel.time_s.size] or [zero_s + 1.0]
    return zero_s - _LEAD_S, max(ends), zero_s


def _panel(channel: Channel, zero_s: float, time: Scale, gaps_s: FloatArray, reader: Reader) -> TracePanel | None:
    quantity = quantity_of(channel.name, reader)
    seconds = channel.time_s - zero_s
    inside = (seconds >= time.low) & (seconds <= time.high)
    shown = quantity.shown(channel.values[inside])
    finite = np.isfinite(shown)
    if finite.sum() < 2:
        return None
    lowest, highest = float(shown[finite].min()), float(shown[finite].max())
    # Noise about a steady value must not fill the panel.
    least = 0.5 * _LEAST_SPAN * max(abs(lowest), abs(highest))
    middle = 0.5 * (lowest + highest)
    scale = scale_over((min(lowest, middle - least), max(highest, middle + least)), tick_count=3, is_snug=True)
    lines = _lines(seconds[inside], np.where(finite, shown, np.nan), gaps_s, time, scale)
    return TracePanel(
        label=quantity.label,
        unit=quantity.unit,
        lines=lines,
        ticks=tuple((scale.at(tick), reader.number(tick, scale.decimals)) for tick in scale.ticks),
        lowest=_figure(lowest, quantity, reader),
        highest=_figure(highest, quantity, reader),
    )


def _figure(value: float, quantity: Quantity, reader: Reader) -> str:
    return reader.number(value, quantity.decimals)


def _lines(
    seconds: FloatArray, shown: FloatArray, gaps_s: FloatArray, time: Scale, scale: Scale
) -> tuple[tuple[tuple[float, float], ...], ...]:
    """The line of a panel, broken where a value is missing and where a gap of the log begins."""
    missing = np.flatnonzero(np.diff(np.isfinite(shown).astype(int))) + 1
    runs = np.split(np.arange(shown.size), np.union1d(missing, np.searchsorted(seconds, gaps_s, side="right")))
    lines = []
    for run in runs:
        if run.size < 2 or not math.isfinite(shown[run[0]]):
            continue
        kept = run[extremes(shown[run], max(4, _POINTS * run.size // shown.size))]
        lines.append(tuple((time.at(float(seconds[at])), scale.at(float(shown[at]))) for at in kept))
    return tuple(lines)


def extremes(values: FloatArray, points: int) -> NDArray[np.intp]:
    """Places of the minimum and maximum of each of `points`/2 equal stretches, in order, with both ends.

    Parameters
    ----------
    values : ndarray, shape (n,)
        Finite, any unit.
    points : int
        About how many places to keep.

    Returns
    -------
    ndarray of int
        Rising places in `values`; all of them where there are no more than `points`.
    """
    if values.size <= points:
        return np.arange(values.size)
    edges = np.linspace(0, values.size, max(points // 2, 1) + 1).astype(int)[:-1]
    kept = {0, values.size - 1}
    for start, end in zip(edges, (*edges[1:], values.size), strict=True):
        stretch = values[start:end]
        kept.add(start + int(stretch.argmin()))
        kept.add(start + int(stretch.argmax()))
    return np.array(sorted(kept))


def _path(line: tuple[tuple[float, float], ...], frame: tuple[float, float]) -> str:
    return "M" + "L".join(f"{x * frame[0]:.1f} {(1 - y) * frame[1]:.2f}" for x, y in line)
