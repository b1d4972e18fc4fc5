"""How hot is the charge, what does compressing it cost, and how fast does the pressure come?

Air as an ideal gas of constant specific heat: within 0.8 K of real air at the outlet of a car's compressor. A corrected
flow depends by 3 % on the reference that is chosen, so its two usual ones are named here and the caller says which.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from nextpass.physics.air import DRY_AIR_JPKGK, KELVIN
from nextpass.physics.domain import FloatArray, floats, not_negative, positive, share

AIR_HEAT_JPKGK: Final = 1005.0
"""Specific heat of air at constant pressure [J/(kg K)]; CoolProp gives 1006.3 at 25 °C and 100 kPa."""

ISENTROPIC_EXPONENT: Final = 0.2857
"""(k - 1)/k of air [-], for k = 1.4."""

SAE_COMPRESSOR_REFERENCE: Final = (25.0, 100.0)
STANDARD_AIR_REFERENCE: Final = (15.0, 101.325)
"""References of corrected flow, [°C] and [kPa]: 298.15 K with 1 bar, and standard air."""

RISE_TIME_CONSTANTS: Final = float(np.log(9.0))
"""10-90 % rise time of a first-order lag in its time constants [-]: ln 0.9 - ln 0.1."""


def compressor_outlet_c(inlet_c: ArrayLike, pressure_ratio: ArrayLike, efficiency: ArrayLike) -> FloatArray:
    """Temperature of the air as it leaves a compressor.

    Parameters
    ----------
    inlet_c : array_like
        Before the compressor [°C].
    pressure_ratio : array_like
        Absolute pressure after over before, 1 or more [-].
    efficiency : array_like
        Isentropic, total to total [0..1].

    Returns
    -------
    ndarray, broadcast shape
        Outlet temperature [°C]; nan below a pressure ratio of 1.

    Raises
    ------
    ValueError
        On an efficiency outside 0..1, or of 0.

    References
    ----------
    Definition of isentropic efficiency, Heywood (1988), eq. 6.38.
    """
    ratio = floats(pressure_ratio)
    ideal_rise = np.where(ratio >= 1.0, ratio, np.nan) ** ISENTROPIC_EXPONENT - 1.0
    eta = positive("efficiency", share("efficiency", efficiency))
    return floats(inlet_c) + (floats(inlet_c) + KELVIN) * ideal_rise / eta


def compressor_work_jpkg(inlet_c: ArrayLike, outlet_c: ArrayLike) -> FloatArray:
    """Work that a compressor puts into each kilogram of air.

    Parameters
    ----------
    inlet_c, outlet_c : array_like
        Before and after the compressor [°C].

    Returns
    -------
    ndarray, broadcast shape
        Work [J/kg]; times the air flow it is the shaft's power [W].

    References
    ----------
    First law, heat to the housing left out, constant specific heat.
    """
    return AIR_HEAT_JPKGK * (floats(outlet_c) - floats(inlet_c))


def cooled_charge_c(inlet_c: ArrayLike, ambient_c: ArrayLike, effectiveness: ArrayLike) -> FloatArray:
    """Temperature of the charge behind an intercooler.

    Parameters
    ----------
    inlet_c : array_like
        Charge before the cooler [°C].
    ambient_c : array_like
        What cools it: ambient air or the cooler's water [°C].
    effectiveness : array_like
        Part of the way down to `ambient_c` [0..1].

    Returns
    -------
    ndarray, broadcast shape
        Charge temperature [°C].

    Raises
    ------
    ValueError
        On an effectiveness outside 0..1.

    References
    ----------
    Definition of effectiveness, Kays and London, Compact Heat Exchangers (memory).
    """
    drop = share("effectiveness", effectiveness) * (floats(inlet_c) - floats(ambient_c))
    return floats(inlet_c) - drop


def cooler_effectiveness(inlet_c: ArrayLike, outlet_c: ArrayLike, ambient_c: ArrayLike) -> FloatArray:
    """How far an intercooler brings the charge down to ambient.

    Parameters
    ----------
    inlet_c, outlet_c : array_like
        Charge before and after the cooler [°C].
    ambient_c : array_like
        What cools it [°C].

    Returns
    -------
    ndarray, broadcast shape
        Effectiveness [ratio]; nan where the charge comes in no warmer than ambient. Falling from pass to pass at like
        flow it shows heat soak.

    References
    ----------
    Definition of effectiveness, Kays and London, Compact Heat Exchangers (memory).
    """
    available = floats(inlet_c) - floats(ambient_c)
    return (floats(inlet_c) - floats(outlet_c)) / np.where(available > 0.0, available, np.nan)


def charge_density_kgpm3(manifold_pressure_kpa: ArrayLike, charge_temperature_c: ArrayLike) -> FloatArray:
    """Density of the charge, which the torque follows at fixed efficiency.

    Parameters
    ----------
    manifold_pressure_kpa : array_like
        Absolute [kPa].
    charge_temperature_c : array_like
        In the manifold [°C].

    Returns
    -------
    ndarray, broadcast shape
        Density as dry air [kg/m3].

    Raises
    ------
    ValueError
        On a pressure of zero or less.

    References
    ----------
    Ideal gas.
    """
    t_k = floats(charge_temperature_c) + KELVIN
    return 1000.0 * positive("manifold_pressure_kpa", manifold_pressure_kpa) / (DRY_AIR_JPKGK * t_k)


def held_charge_c(
    manifold_pressure_kpa: ArrayLike,
    ambient_pressure_kpa: ArrayLike,
    ambient_c: ArrayLike,
    efficiency: ArrayLike,
    effectiveness: ArrayLike,
    intake_loss_kpa: ArrayLike = 0.0,
) -> FloatArray:
    """Charge temperature when the boost control holds an absolute manifold pressure, whatever the barometer.

    Parameters
    ----------
    manifold_pressure_kpa : array_like
        Held pressure, absolute [kPa].
    ambient_pressure_kpa : array_like
        Station pressure [kPa].
    ambient_c : array_like
        Air into the compressor and over the cooler [°C].
    efficiency : array_like
        Isentropic, of the compressor [0..1].
    effectiveness : array_like
        Of the intercooler [0..1].
    intake_loss_kpa : array_like
        Lost before the compressor [kPa].

    Returns
    -------
    ndarray, broadcast shape
        Charge temperature [°C]; nan where the manifold is below the compressor's inlet.

    Raises
    ------
    ValueError
        On a pressure of zero or less, or a ratio outside 0..1.

    References
    ----------
    `compressor_outlet_c` and `cooled_charge_c` one after the other; the cooler's own loss of pressure left out.
    """
    inlet_kpa = positive("compressor inlet pressure", floats(ambient_pressure_kpa) - floats(intake_loss_kpa))
    ratio = positive("manifold_pressure_kpa", manifold_pressure_kpa) / inlet_kpa
    return cooled_charge_c(compressor_outlet_c(ambient_c, ratio, efficiency), ambient_c, effectiveness)


def corrected_flow_kgps(
    air_flow_kgps: ArrayLike,
    inlet_c: ArrayLike,
    inlet_kpa: ArrayLike,
    reference: tuple[float, float] = SAE_COMPRESSOR_REFERENCE,
) -> FloatArray:
    """Air flow as a compressor map counts it.

    Parameters
    ----------
    air_flow_kgps : array_like
        True flow [kg/s].
    inlet_c, inlet_kpa : array_like
        Before the compressor [°C, kPa].
    reference : tuple of float
        The map's own [°C, kPa]: `SAE_COMPRESSOR_REFERENCE` or `STANDARD_AIR_REFERENCE`.

    Returns
    -------
    ndarray, broadcast shape
        Corrected flow [kg/s]; to be quoted with its reference.

    Raises
    ------
    ValueError
        On a pressure of zero or less.

    References
    ----------
    Similarity of turbomachines, Heywood (1988), section 6.8.
    """
    reference_c, reference_kpa = reference
    temperature_part = np.sqrt((floats(inlet_c) + KELVIN) / (reference_c + KELVIN))
    return floats(air_flow_kgps) * temperature_part * reference_kpa / positive("inlet_kpa", inlet_kpa)


def evaporation_cooling_k(
    fuel_flow_kgps: ArrayLike, air_flow_kgps: ArrayLike, latent_heat_jpkg: ArrayLike
) -> FloatArray:
    """Most by which evaporating fuel can cool the charge.

    Parameters
    ----------
    fuel_flow_kgps, air_flow_kgps : array_like
        Into the cylinders [kg/s].
    latent_heat_jpkg : array_like
        Of the fuel [J/kg].

    Returns
    -------
    ndarray, broadcast shape
        Fall of temperature [K] if all of the fuel evaporates in the air; the real one is a part of it.

    Raises
    ------
    ValueError
        On a negative fuel flow or latent heat, or an air flow of zero or less.

    References
    ----------
    First law, constant specific heat of the air.
    """
    heat_w = not_negative("fuel_flow_kgps", fuel_flow_kgps) * not_negative("latent_heat_jpkg", latent_heat_jpkg)
    return heat_w / (positive("air_flow_kgps", air_flow_kgps) * AIR_HEAT_JPKGK)


def pressure_rise_kpa(
    time_s: ArrayLike, start_kpa: ArrayLike, target_kpa: ArrayLike, rise_time_s: ArrayLike
) -> FloatArray:
    """Manifold pressure on its way to a target, as a first-order lag.

    Parameters
    ----------
    time_s : array_like
        Since the step of the target [s].
    start_kpa, target_kpa : array_like
        Before and asked for [kPa].
    rise_time_s : array_like
        10-90 % [s].

    Returns
    -------
    ndarray, broadcast shape
        Pressure [kPa]; at `start_kpa` before the step.

    Raises
    ------
    ValueError
        On a rise time of zero or less.

    References
    ----------
    First-order lag: rise time = ln 9 time constants. A turbocharger's true rise is slower at first.
    """
    constants = np.maximum(floats(time_s), 0.0) * RISE_TIME_CONSTANTS / positive("rise_time_s", rise_time_s)
    return floats(target_kpa) + (floats(start_kpa) - floats(target_kpa)) * np.exp(-constants)
