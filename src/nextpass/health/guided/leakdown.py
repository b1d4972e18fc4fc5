"""How tight is the charge system: filled to a pressure, closed off and left, how fast does the pressure fall away?

Through a small hole the pressure over ambient falls nearly as an exponential; its time constant is the volume's and
the hole's together. Minutes are tight, seconds a split hose (common practice).
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from nextpass.log import Channel, Log
from nextpass.measure import Absent, Estimate
from nextpass.words import phrase

FloatArray = NDArray[np.float64]

TIGHT_S: Final = 90.0
LEAKS_S: Final = 30.0
"""Time constants from which a system is tight, and below which it leaks; between them it seeps (common practice)."""
LEAST_FILLED_KPA: Final = 15.0
"""Less over ambient than this is no test."""

# The fall is read from shortly after the filling down to where the sensor's noise is a good part of it.
_AFTER_S, _DOWN_TO, _LEAST_SAMPLES = 0.8, 0.10, 10


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakDown:
    """A leak-down.

    Parameters
    ----------
    channel : str
        Which pressure was read.
    filled_kpa : float
        Highest pressure over ambient [kPa].
    time_constant_s : Estimate or Absent
        Of the fall [s]; Absent where it does not fall within the log.
    lost_in_10s : Estimate or Absent
        Share of the pressure over ambient that is gone after ten seconds [0..1].
    verdict : str
    """

    channel: str
    filled_kpa: float
    time_constant_s: Estimate | Absent
    lost_in_10s: Estimate | Absent
    verdict: str


def leak_down(log: Log, ambient_kpa: float | None = None) -> LeakDown | Absent:
    """The leak-down of a log.

    Parameters
    ----------
    log : Log
    ambient_kpa : float, optional
        Barometer of the day; else the log's own, else the pressure before it was filled [kPa].

    Returns
    -------
    LeakDown or Absent
        Absent without a pressure that was filled by `LEAST_FILLED_KPA`.
    """
    channel = next((log[name] for name in ("charge_pressure_kpa", "manifold_pressure_kpa") if name in log), None)
    if channel is None:
        return Absent(reason=phrase("ledger.absent.not_logged", channel="charge_pressure_kpa"))
    over = channel.values - _ambient(log, channel, ambient_kpa)
    peak = int(np.nanargmax(_smooth(over)))
    filled = float(_smooth(over)[peak])
    if filled < LEAST_FILLED_KPA:
        return Absent(reason=phrase("guided.absent.not_filled", least=LEAST_FILLED_KPA))
    constant = _time_constant(channel.time_s, over, peak, filled)
    return LeakDown(
        channel=channel.name,
        filled_kpa=filled,
        time_constant_s=constant,
        lost_in_10s=_lost(constant, 10.0),
        verdict=_verdict(constant),
    )


def _ambient(log: Log, channel: Channel, ambient_kpa: float | None) -> float:
    if ambient_kpa is not None:
        return ambient_kpa
    barometer = log.get("barometric_pressure_kpa")
    if barometer is not None and np.isfinite(barometer.values).any():
        return float(np.nanmedian(barometer.values))
    return float(np.nanmedian(channel.values[:_LEAST_SAMPLES]))


def _smooth(values: FloatArray) -> FloatArray:
    return np.convolve(np.nan_to_num(values), np.ones(5) / 5.0, mode="same")


def _time_constant(time_s: FloatArray, over: FloatArray, peak: int, filled: float) -> Estimate | Absent:
    """Least squares on the logarithm, each sample by its own noise, from the peak down to a tenth."""
    falling = (time_s > time_s[peak] + _AFTER_S) & np.isfinite(over)
    low = np.flatnonzero(falling & (_smooth(over) < _DOWN_TO * filled))
    if low.size:
        falling &= time_s < time_s[low[0]]
    falling &= over > 0.5 * _DOWN_TO * filled
    x, y = time_s[falling] - time_s[peak], over[falling]
    if x.size < _LEAST_SAMPLES:
        return Absent(reason=phrase("guided.absent.fell_at_once"))
    # An error of the pressure counts for more in the logarithm the lower the pressure is.
    (slope, _), covariance = np.polyfit(x, np.log(y), 1, w=y, cov=True)
    sd = float(np.sqrt(covariance[0, 0]))
    if slope > -2.0 * sd:
        return Absent(reason=phrase("guided.absent.no_fall"))
    return Estimate.from_sd(-1.0 / float(slope), sd / float(slope) ** 2)


def _lost(constant: Estimate | Absent, after_s: float) -> Estimate | Absent:
    if isinstance(constant, Absent):
        return constant
    share = 1.0 - float(np.exp(-after_s / constant.value))
    slope = after_s / constant.value**2 * float(np.exp(-after_s / constant.value))
    return Estimate(value=share, plus_minus=slope * constant.plus_minus)


def _verdict(constant: Estimate | Absent) -> str:
    if isinstance(constant, Absent):
        # Nothing left to time is wide open; a pressure that does not fall within the log is tight.
        return phrase(
            "guided.leakdown.open" if "at_once" in getattr(constant.reason, "key", "") else "guided.leakdown.tight"
        )
    key = "tight" if constant.low > TIGHT_S else "leaks" if constant.high < LEAKS_S else "seeps"
    return phrase(f"guided.leakdown.{key}")
