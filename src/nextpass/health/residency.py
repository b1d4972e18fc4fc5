"""How long the oils stood in which band of temperature, over the whole log and not the try alone."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from nextpass.log import Channel, Log

BANDS_C: Final = {
    "oil_temperature_c": (60.0, 90.0, 110.0, 130.0),
    "gearbox_oil_temperature_c": (50.0, 80.0, 100.0, 110.0),
}
"""Edges of the bands by channel [°C]: cold, warming, usual, hot, too hot (common practice; dual-clutch oil lives mostly
below 80 °C and goes to 110 °C in events)."""

# A pause of the logger is not time in a band.
_LONGEST_STEP_S = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Residency:
    """Time of one oil in each band.

    Parameters
    ----------
    channel : str
        Which oil.
    edges_c : tuple of float, length k
        Edges of the bands, rising [°C].
    seconds : tuple of float, length k + 1
        Below the first edge, between each two, above the last.
    """

    channel: str
    edges_c: tuple[float, ...]
    seconds: tuple[float, ...]


def residency_of(log: Log) -> tuple[Residency, ...]:
    """Time in each band of every oil that a log has.

    Parameters
    ----------
    log : Log
    """
    return tuple(_in_bands(log[name], edges) for name, edges in BANDS_C.items() if name in log)


def _in_bands(channel: Channel, edges_c: tuple[float, ...]) -> Residency:
    steps = np.minimum(np.diff(channel.time_s, append=channel.time_s[-1:]), _LONGEST_STEP_S)
    known = np.isfinite(channel.values)
    band = np.searchsorted(np.asarray(edges_c), channel.values[known], side="right")
    seconds = np.bincount(band, weights=steps[known], minlength=len(edges_c) + 1)
    return Residency(channel=channel.name, edges_c=edges_c, seconds=tuple(float(value) for value in seconds))


def added(parts: tuple[Residency, ...]) -> Residency:
    """Time in each band over several logs of one oil, at least one.

    Parameters
    ----------
    parts : tuple of Residency
    """
    seconds = np.sum([part.seconds for part in parts], axis=0)
    return Residency(
        channel=parts[0].channel, edges_c=parts[0].edges_c, seconds=tuple(float(value) for value in seconds)
    )
