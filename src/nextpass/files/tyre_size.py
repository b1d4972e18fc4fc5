"""Rolling radius of a tyre from the size that stands on its side wall."""

import re

from nextpass.car import ROLLING_SHARE_OF_FREE_RADIUS

MM_PER_INCH = 25.4
# 285/35R20, 285/35ZR20, 285/35 R 20 95Y, P225/50R17: width in mm, height in % of it, rim in inches.
_METRIC = re.compile(r"^\s*P?(\d{3})\s*/\s*(\d{2})\s*Z?R\s*(\d{2}(?:\.5)?)\b", re.IGNORECASE)


def free_radius_m(size: str) -> float | None:
    """Unloaded radius [m] of a metric size such as ``285/35R20``; None where it cannot be read.

    References
    ----------
    ISO 4000-1: section width, height as a share of it, rim diameter (memory).
    """
    match = _METRIC.match(size)
    if match is None:
        return None
    width_mm, height_pct, rim_in = (float(part) for part in match.groups())
    return (rim_in * MM_PER_INCH / 2.0 + width_mm * height_pct / 100.0) / 1000.0


def rolling_radius_m(size: str) -> float | None:
    """Radius [m] on which a loaded tyre of this size rolls; None where the size cannot be read."""
    free_m = free_radius_m(size)
    return None if free_m is None else ROLLING_SHARE_OF_FREE_RADIUS * free_m
