"""What the car was doing at each moment, as far as the log shows it without any unit being certain.

Engine speed is the anchor: its unit is hardly ever in doubt. Throttle and vehicle speed are used as shares of their own
greatest reading, so that percent or fraction, mph or km/h does not matter.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nextpass.log.channel import FloatArray
from nextpass.log.column import Column
from nextpass.log.hints import LogHints

# ISO 2533 at sea level; also what control units take off to log "boost".
STANDARD_KPA = 101.325
# Engine speeds: below the first it does not run; between the next two it idles; above the last it pulls.
STOPPED_RPM = 50.0
IDLE_RPM = (400.0, 1400.0)
PULLING_RPM = 2500.0
OPEN_THROTTLE = 0.85
CLOSED_THROTTLE = 0.12
STANDING = 0.03
# Fewer readings than this in a situation are no evidence.
FEWEST_READINGS = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Situation:
    """The log's anchors, each None where the log has none.

    Parameters
    ----------
    rpm : Column or None
        Engine speed, readings in rpm.
    throttle, speed, gear : Column or None
        Readings in whatever unit they come.
    hints : LogHints
    settled : Mapping[str, tuple]
        Channels whose unit is certain: canonical name to (times, canonical values).
    units_seen : Mapping[str, frozenset of str]
        Units of the settled channels, by quantity.
    target : Column or None
        Target of the manifold pressure, in whatever unit it comes.
    gauge_zero_kpa : float or None
        What the gauge pressures of this log count from [kPa absolute], once it is found.
    """

    rpm: Column | None
    throttle: Column | None
    speed: Column | None
    gear: Column | None
    hints: LogHints
    settled: Mapping[str, tuple[FloatArray, FloatArray]]
    units_seen: Mapping[str, frozenset[str]]
    target: Column | None = None
    gauge_zero_kpa: float | None = None

    def stopped(self, time_s: FloatArray) -> NDArray[np.bool_]:
        """Where the engine does not run: key on."""
        if self.rpm is None:
            return np.zeros(time_s.shape, dtype=bool)
        return self.rpm.at(time_s) < STOPPED_RPM

    def idling(self, time_s: FloatArray) -> NDArray[np.bool_]:
        """Where the engine idles and the car stands."""
        if self.rpm is None:
            return np.zeros(time_s.shape, dtype=bool)
        rpm = self.rpm.at(time_s)
        idles = (rpm > IDLE_RPM[0]) & (rpm < IDLE_RPM[1])
        for column, most in ((self.throttle, CLOSED_THROTTLE), (self.speed, STANDING)):
            share = _share(column, time_s)
            if share is not None:
                idles &= share < most
        return idles

    def pulling(self, time_s: FloatArray) -> NDArray[np.bool_]:
        """Where the engine pulls at full throttle."""
        share = _share(self.throttle, time_s)
        if self.rpm is None or share is None:
            return np.zeros(time_s.shape, dtype=bool)
        return (share > OPEN_THROTTLE) & (self.rpm.at(time_s) > PULLING_RPM)

    def known(self, name: str, time_s: FloatArray) -> FloatArray | None:
        """Canonical values of a settled channel at other times, linear; None where it is not settled."""
        if name not in self.settled:
            return None
        times, values = self.settled[name]
        return np.interp(time_s, times, values, left=np.nan, right=np.nan)

    @property
    def barometric_pressure_kpa(self) -> float | None:
        """From the log's own barometer, else from the conditions; None where neither is known."""
        if "barometric_pressure_kpa" in self.settled:
            return float(np.median(self.settled["barometric_pressure_kpa"][1]))
        return self.hints.barometric_pressure_kpa


def _share(column: Column | None, time_s: FloatArray) -> FloatArray | None:
    """Readings as a share of the span from the least to the greatest; None where the column never moves."""
    if column is None or not column.high > column.low:
        return None
    floor = min(column.low, 0.0) if column.low < 0.1 * column.high else column.low
    return (column.at(time_s) - floor) / (column.high - floor)


def median_where(values: FloatArray, where: NDArray[np.bool_]) -> float:
    """Median of the readings in a situation; nan where there are too few."""
    chosen = values[where & np.isfinite(values)]
    return float(np.median(chosen)) if chosen.size >= FEWEST_READINGS else float("nan")


def situation_of(anchors: Mapping[str, Column], hints: LogHints) -> Situation:
    """Situation from the columns whose names are certain, by canonical name; nothing is settled yet."""
    throttle = anchors.get("throttle") or anchors.get("pedal")
    speeds = (
        "vehicle_speed_mps",
        "wheel_speed_fl_mps",
        "wheel_speed_rl_mps",
        "gps_speed_mps",
        "driven_wheel_speed_mps",
    )
    return Situation(
        rpm=anchors.get("engine_rpm"),
        throttle=throttle,
        speed=next((anchors[name] for name in speeds if name in anchors), None),
        gear=anchors.get("gear"),
        hints=hints,
        settled={},
        units_seen={},
        target=anchors.get("target_pressure_kpa"),
    )
