"""How hard does a tyre pull at a slip, and what do its size and pressure say?

Slip ratio by ISO 8855, the force curve by the Magic Formula, friction that falls with load, cold and hot pressure at
constant volume, and radius from the size on the sidewall. Slip has more than one definition in use: each function says
which one it takes.
"""

import re
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from nextpass.physics.air import KELVIN
from nextpass.physics.domain import FloatArray, floats, not_negative, positive

ROLLING_OVER_FREE_RADIUS: Final = 3.05 / np.pi
"""Rolling over free radius of a radial tyre [-]: ETRTO's rolling circumference of 3.05 diameters (memory). Wear and
heat move it by 1 %; a coast-down measures it."""

_SIZE = re.compile(r"\s*(?:LT|P)?(\d{3})\s*/\s*(\d{2,3})\s*(?:Z?R|-)\s*(\d{2}(?:\.\d)?)\b.*", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class TyreSize:
    """A size as the sidewall states it.

    Parameters
    ----------
    width_mm : float
        Section width [mm].
    aspect : float
        Height over width of the section [ratio].
    rim_in : float
        Rim diameter [in].
    """

    width_mm: float
    aspect: float
    rim_in: float

    @property
    def section_height_m(self) -> float:
        """Height of the sidewall [m]."""
        return self.width_mm * self.aspect / 1000.0

    @property
    def diameter_m(self) -> float:
        """Diameter of the new, unloaded tyre [m]."""
        return self.rim_in * 0.0254 + 2.0 * self.section_height_m

    @property
    def rolling_radius_m(self) -> float:
        """Radius at which the tyre rolls under load [m], by `ROLLING_OVER_FREE_RADIUS`."""
        return 0.5 * self.diameter_m * ROLLING_OVER_FREE_RADIUS


def tyre_size(text: str) -> TyreSize:
    """Size from its sidewall form.

    Parameters
    ----------
    text : str
        Such as ``285/35R20``, with or without what follows.

    Returns
    -------
    TyreSize

    Raises
    ------
    ValueError
        On a text that is no metric size.

    References
    ----------
    ISO 4000-1.
    """
    match = _SIZE.fullmatch(text)
    if match is None:
        raise ValueError(f"{text!r} is not a tyre size such as 285/35R20")
    width, aspect, rim = (float(part) for part in match.groups())
    return TyreSize(width_mm=width, aspect=aspect / 100.0, rim_in=rim)


def slip_ratio(wheel_speed_mps: ArrayLike, ground_speed_mps: ArrayLike) -> FloatArray:
    """Slip ratio by ISO 8855: 0 rolls freely, -1 is locked, without bound when it spins.

    Parameters
    ----------
    wheel_speed_mps : array_like
        Wheel's turning speed times its free-rolling radius [m/s].
    ground_speed_mps : array_like
        Of the wheel's centre [m/s].

    Returns
    -------
    ndarray, broadcast shape
        Slip ratio [-]; nan at standstill and backwards, where it is not defined.

    References
    ----------
    ISO 8855:2011; SAE J670: (omega r - v)/v.
    """
    ground = floats(ground_speed_mps)
    return (floats(wheel_speed_mps) - ground) / np.where(ground > 0.0, ground, np.nan)


def launch_slip_ratio(
    wheel_speed_mps: ArrayLike, ground_speed_mps: ArrayLike, least_speed_mps: float = 1.0
) -> FloatArray:
    """Slip ratio that stays finite from standstill: the ground speed counts as no less than a least speed.

    Parameters
    ----------
    wheel_speed_mps : array_like
        Wheel's turning speed times its free-rolling radius [m/s].
    ground_speed_mps : array_like
        Of the wheel's centre [m/s].
    least_speed_mps : float
        Ground speed below which the slip is understated [m/s].

    Returns
    -------
    ndarray, broadcast shape
        Slip ratio [-], that of ISO 8855 above `least_speed_mps`.

    Raises
    ------
    ValueError
        On a least speed of zero or less.

    References
    ----------
    Common practice in simulation; not ISO 8855 below the least speed.
    """
    ground = floats(ground_speed_mps)
    floor = positive("least_speed_mps", least_speed_mps)
    return (floats(wheel_speed_mps) - ground) / np.maximum(ground, floor)


def bounded_slip(slip_ratio: ArrayLike) -> FloatArray:
    """The other slip in use, over the wheel's speed and not the car's: 1 is spinning at rest.

    Parameters
    ----------
    slip_ratio : array_like, any shape
        By ISO 8855, above -1 [-].

    Returns
    -------
    ndarray, same shape
        (omega r - v)/(omega r) [-]; nan at a locked wheel, where it is not defined.

    References
    ----------
    Algebra: a slip ratio of 0.25 is 0.20 by this definition.
    """
    ratio = floats(slip_ratio)
    return ratio / np.where(ratio > -1.0, 1.0 + ratio, np.nan)


def magic_formula_n(
    slip_ratio: ArrayLike, peak_n: ArrayLike, stiffness: ArrayLike, shape: ArrayLike, curvature: ArrayLike = 0.0
) -> FloatArray:
    """Pull of a tyre over its slip.

    Parameters
    ----------
    slip_ratio : array_like
        By ISO 8855, drive positive [-].
    peak_n : array_like
        D, peak friction times load [N].
    stiffness, shape, curvature : array_like
        B, C and E [-].

    Returns
    -------
    ndarray, broadcast shape
        Force along the tyre, drive positive [N].

    Raises
    ------
    ValueError
        On a negative peak.

    References
    ----------
    Pacejka, Tire and Vehicle Dynamics: F = D sin(C atan(B k - E (B k - atan(B k)))), without shifts, so that drive and
    brake are mirror images.
    """
    bk = floats(stiffness) * floats(slip_ratio)
    bent = bk - floats(curvature) * (bk - np.arctan(bk))
    return not_negative("peak_n", peak_n) * np.sin(floats(shape) * np.arctan(bent))


def stiffness_for_peak(peak_slip: ArrayLike, shape: ArrayLike) -> FloatArray:
    """Stiffness factor B that puts the peak of the Magic Formula at a slip, without curvature (E = 0).

    Parameters
    ----------
    peak_slip : array_like
        Slip ratio of the greatest pull [-].
    shape : array_like
        C [-].

    Returns
    -------
    ndarray, broadcast shape
        B [-]; nan for C of 1 or less, whose curve has no peak.

    Raises
    ------
    ValueError
        On a peak slip of zero or less.

    References
    ----------
    The sine's argument reaches pi/2: C atan(B k_p) = pi/2.
    """
    c = floats(shape)
    with_peak = np.where(c > 1.0, c, np.nan)
    return np.tan(np.pi / (2.0 * with_peak)) / positive("peak_slip", peak_slip)


def loaded_friction(
    load_n: ArrayLike, reference_friction: ArrayLike, reference_load_n: ArrayLike, sensitivity: ArrayLike
) -> FloatArray:
    """Peak friction of a tyre under another load.

    Parameters
    ----------
    load_n : array_like
        On the tyre [N].
    reference_friction : array_like
        Peak friction at the reference load [-].
    reference_load_n : array_like
        [N].
    sensitivity : array_like
        Part of the friction lost by doubling the load, 0.02 to 0.2 (common practice) [-].

    Returns
    -------
    ndarray, broadcast shape
        Peak friction, never below 0 [-].

    Raises
    ------
    ValueError
        On a negative load or friction, or a reference load of zero or less.

    References
    ----------
    Pacejka's linear term of the peak factor, p_Dx2. Unequal loads on one axle lower its sum.
    """
    over = not_negative("load_n", load_n) / positive("reference_load_n", reference_load_n) - 1.0
    mu = not_negative("reference_friction", reference_friction) * (1.0 - floats(sensitivity) * over)
    return np.maximum(mu, 0.0)


def heated_pressure_kpa_gauge(
    pressure_kpa_gauge: ArrayLike, from_c: ArrayLike, to_c: ArrayLike, ambient_kpa: ArrayLike = 101.325
) -> FloatArray:
    """Pressure of a tyre at another temperature of its air.

    Parameters
    ----------
    pressure_kpa_gauge : array_like
        As read [kPa gauge].
    from_c, to_c : array_like
        Temperature of the air in it, then and now [°C].
    ambient_kpa : array_like
        Station pressure [kPa].

    Returns
    -------
    ndarray, broadcast shape
        [kPa gauge].

    Raises
    ------
    ValueError
        On a negative gauge pressure, or an ambient of zero or less.

    References
    ----------
    Gay-Lussac's law on *absolute* pressure, volume constant and air dry. The ratio of gauge pressures is the classic
    error: 7 kPa at 220 kPa over 20 K.
    """
    outside = positive("ambient_kpa", ambient_kpa)
    inside = not_negative("pressure_kpa_gauge", pressure_kpa_gauge) + outside
    return inside * (floats(to_c) + KELVIN) / (floats(from_c) + KELVIN) - outside


def moved_pressure_kpa_gauge(
    pressure_kpa_gauge: ArrayLike, from_ambient_kpa: ArrayLike, to_ambient_kpa: ArrayLike
) -> FloatArray:
    """Gauge reading of the same tyre at a place with another air pressure, at the same temperature.

    Parameters
    ----------
    pressure_kpa_gauge : array_like
        As read at the first place [kPa gauge].
    from_ambient_kpa, to_ambient_kpa : array_like
        Station pressure of both places [kPa].

    Returns
    -------
    ndarray, broadcast shape
        [kPa gauge].

    Raises
    ------
    ValueError
        On a negative gauge pressure, or an ambient of zero or less.

    References
    ----------
    Absolute pressure unchanged.
    """
    inside = not_negative("pressure_kpa_gauge", pressure_kpa_gauge) + positive("from_ambient_kpa", from_ambient_kpa)
    return inside - positive("to_ambient_kpa", to_ambient_kpa)
