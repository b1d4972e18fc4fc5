"""Air, track, slope and wind of one pass."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """What the day gives.

    Parameters
    ----------
    air_temperature_c, track_temperature_c : float
        [°C].
    pressure_kpa : float
        Station pressure, not reduced to sea level [kPa].
    humidity : float
        Relative humidity 0..1.
    slope : float
        Rise over run, uphill positive.
    headwind_mps : float
        Positive against the car [m/s].
    altitude_m : float or None
        Of the site, where it is known [m]; no sum uses it, it vouches for the pressure.
    """

    air_temperature_c: float
    pressure_kpa: float
    humidity: float
    track_temperature_c: float
    slope: float = 0.0
    headwind_mps: float = 0.0
    altitude_m: float | None = None
