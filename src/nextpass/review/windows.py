"""Any stretch of a try that the user names: "80-120 km/h", "0-150 m", "60-130 mph".

A window of speeds is timed from the first crossing of the one to the first crossing of the other, a window of
distances from place to place. From standstill both count from the first movement, without the strip's rollout unless
that is asked for.
"""

import re
from dataclasses import dataclass
from typing import Literal

from nextpass.errors import SettingError, UnitError, Where
from nextpass.measure import Absent, Estimate, Measured
from nextpass.review.speed import GroundSpeed
from nextpass.review.timeslip import beam_time, distance_window, speed_window
from nextpass.units import convert
from nextpass.words import phrase

_WINDOW = re.compile(r"\s*(\d+(?:[.,]\d+)?)\s*(?:-|–|to|\.\.)\s*(\d+(?:[.,]\d+)?)\s*([^\d\s].*?)?\s*")
_EXAMPLES = phrase("refusal.windows.examples")


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """A stretch of speeds [m/s] or of distances from standstill [m]; `text` is what the user wrote."""

    text: str
    kind: Literal["speed", "distance"]
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowTime:
    """How long a try took for a window."""

    window: Window
    time_s: Measured


def read_window(text: str) -> Window:
    """The window that a text names.

    Parameters
    ----------
    text : str
        Two numbers, the lower first, and a unit of speed or length.

    Returns
    -------
    Window

    Raises
    ------
    SettingError
        The text is no window.
    """
    where = Where(key="window")
    parts = _WINDOW.fullmatch(text)
    if parts is None:
        raise SettingError(phrase("refusal.windows.no_window", text=text), where, _EXAMPLES)
    if parts.group(3) is None:
        raise SettingError(phrase("refusal.windows.unit_missing", text=text), where, _EXAMPLES)
    low, high = (float(part.replace(",", ".")) for part in parts.group(1, 2))
    if not low < high:
        raise SettingError(phrase("refusal.windows.falls", text=text), where, phrase("refusal.windows.lower_first"))
    kind, unit = _kind_of(parts.group(3), text)
    canonical = "m/s" if kind == "speed" else "m"
    return Window(text=text.strip(), kind=kind, low=convert(low, unit, canonical), high=convert(high, unit, canonical))


def window_time(motion: GroundSpeed, window: Window, with_rollout: bool = False) -> WindowTime:
    """Time of a try for a window [s].

    Parameters
    ----------
    motion : GroundSpeed
    window : Window
    with_rollout : bool
        Whether a window from standstill starts at the rollout instead of the first movement.

    Returns
    -------
    WindowTime
        Absent where the try does not reach it.
    """
    if window.kind == "distance":
        if with_rollout and window.low <= 0.0:
            return WindowTime(window=window, time_s=beam_time(motion, window.high))
        return WindowTime(window=window, time_s=distance_window(motion, window.low, window.high))
    time_s = speed_window(motion, window.low, window.high)
    if with_rollout and window.low <= 0.0 and isinstance(time_s, Estimate):
        rollout = distance_window(motion, 0.0, motion.rollout_m)
        if isinstance(rollout, Absent):
            return WindowTime(window=window, time_s=rollout)
        time_s = Estimate(value=time_s.value - rollout.value, plus_minus=time_s.plus_minus)
    return WindowTime(window=window, time_s=time_s)


def _kind_of(unit: str, text: str) -> tuple[Literal["speed", "distance"], str]:
    for kind, canonical in (("speed", "m/s"), ("distance", "m")):
        try:
            convert(1.0, unit, canonical)
        except UnitError:
            continue
        return kind, unit  # type: ignore[return-value]
    raise SettingError(phrase("refusal.windows.no_unit", unit=unit, text=text), Where(key="window"), _EXAMPLES)
