"""Can injectors, pumps and rail bring the fuel?

Injector flow follows the square root of the difference of pressure across it; a rail that is not referenced to the
manifold loses the boost from that difference. A pump brings less against more pressure and at less voltage, by a curve
from its maker or a bench, never by its headline figure. Static flows in cc/min and l/h, as they are sold; masses in kg.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from nextpass.physics.domain import FloatArray, floats, not_negative, positive, share

M3PS_PER_CC_MIN = 1e-6 / 60.0
M3PS_PER_L_H = 1e-3 / 3600.0
"""Cubic metres a second in one cubic centimetre a minute and in one litre an hour."""


def injector_pressure_kpa(
    rail_pressure_kpa_gauge: ArrayLike, barometric_pressure_kpa: ArrayLike, manifold_pressure_kpa: ArrayLike
) -> FloatArray:
    """Difference of pressure across a port injector, which sprays into the manifold.

    Parameters
    ----------
    rail_pressure_kpa_gauge : array_like
        Rail over the air outside [kPa gauge].
    barometric_pressure_kpa : array_like
        Station pressure [kPa].
    manifold_pressure_kpa : array_like
        Manifold, absolute [kPa].

    Returns
    -------
    ndarray, broadcast shape
        Difference [kPa]; negative where the manifold would blow into the rail.

    Raises
    ------
    ValueError
        On an absolute pressure of zero or less.

    References
    ----------
    Definition. A regulator referenced to the manifold holds this difference; one referenced to air does not.
    """
    rail_kpa = floats(rail_pressure_kpa_gauge) + positive("barometric_pressure_kpa", barometric_pressure_kpa)
    return rail_kpa - positive("manifold_pressure_kpa", manifold_pressure_kpa)


def injector_flow_cc_min(
    rated_flow_cc_min: ArrayLike, rated_pressure_kpa: ArrayLike, pressure_kpa: ArrayLike
) -> FloatArray:
    """Static flow of an injector at another difference of pressure.

    Parameters
    ----------
    rated_flow_cc_min : array_like
        Static flow of its rating [cc/min].
    rated_pressure_kpa : array_like
        Difference of pressure of its rating [kPa].
    pressure_kpa : array_like
        Difference of pressure across it now [kPa].

    Returns
    -------
    ndarray, broadcast shape
        Static flow [cc/min]; nan at a negative difference, which no injector is made for.

    Raises
    ------
    ValueError
        On a rating of zero or less.

    References
    ----------
    Orifice equation for an incompressible liquid (Bernoulli), discharge coefficient unchanged.
    """
    ratio = floats(pressure_kpa) / positive("rated_pressure_kpa", rated_pressure_kpa)
    root = np.sqrt(np.where(ratio >= 0.0, ratio, np.nan))
    return positive("rated_flow_cc_min", rated_flow_cc_min) * root


def injector_duty(
    fuel_flow_kgps: ArrayLike, fuel_density_kgpm3: ArrayLike, injector_count: ArrayLike, flow_cc_min: ArrayLike
) -> FloatArray:
    """Part of the time that each injector is open to bring a fuel flow, its opening time left out.

    Parameters
    ----------
    fuel_flow_kgps : array_like
        Fuel of the whole engine [kg/s].
    fuel_density_kgpm3 : array_like
        Of the fuel at the rail [kg/m3].
    injector_count : array_like
        Injectors that share the flow [-].
    flow_cc_min : array_like
        Static flow of one at the pressure across it [cc/min].

    Returns
    -------
    ndarray, broadcast shape
        Duty [ratio]; above 1 the flow cannot be brought.

    Raises
    ------
    ValueError
        On a negative flow, or another argument of zero or less.

    References
    ----------
    Mass balance.
    """
    static_m3ps = positive("injector_count", injector_count) * positive("flow_cc_min", flow_cc_min) * M3PS_PER_CC_MIN
    static_kgps = static_m3ps * positive("fuel_density_kgpm3", fuel_density_kgpm3)
    return not_negative("fuel_flow_kgps", fuel_flow_kgps) / static_kgps


def opening_duty(opening_time_s: ArrayLike, engine_rpm: ArrayLike) -> FloatArray:
    """Duty that an injector spends on opening, before fuel flows: to be added to `injector_duty`.

    Parameters
    ----------
    opening_time_s : array_like
        Opening less closing delay at the voltage and pressure of the rail [s].
    engine_rpm : array_like
        Engine speed [rpm].

    Returns
    -------
    ndarray, broadcast shape
        Duty [ratio], for a four-stroke engine with one shot a cycle.

    Raises
    ------
    ValueError
        On a negative argument.

    References
    ----------
    Common practice: one cycle takes 120/rpm seconds.
    """
    return not_negative("opening_time_s", opening_time_s) * not_negative("engine_rpm", engine_rpm) / 120.0


def volume_flow_l_h(fuel_flow_kgps: ArrayLike, fuel_density_kgpm3: ArrayLike) -> FloatArray:
    """Fuel flow as pumps are sold.

    Parameters
    ----------
    fuel_flow_kgps : array_like
        Fuel of the whole engine [kg/s].
    fuel_density_kgpm3 : array_like
        Of the fuel [kg/m3].

    Returns
    -------
    ndarray, broadcast shape
        Flow [l/h].

    Raises
    ------
    ValueError
        On a negative flow, or a density of zero or less.

    References
    ----------
    Mass balance.
    """
    m3ps = not_negative("fuel_flow_kgps", fuel_flow_kgps) / positive("fuel_density_kgpm3", fuel_density_kgpm3)
    return m3ps / M3PS_PER_L_H


def pump_flow_l_h(curve_kpa_gauge: ArrayLike, curve_l_h: ArrayLike, rail_pressure_kpa_gauge: ArrayLike) -> FloatArray:
    """Flow of a pump against a pressure, by its curve.

    Parameters
    ----------
    curve_kpa_gauge : array_like, shape (n,)
        Pressures of the curve, rising [kPa gauge].
    curve_l_h : array_like, shape (n,)
        Flow at each, at the voltage of the curve [l/h].
    rail_pressure_kpa_gauge : array_like
        Pressure it works against [kPa gauge].

    Returns
    -------
    ndarray, shape of `rail_pressure_kpa_gauge`
        Flow [l/h], linear between the points; nan outside the curve, which must not be stretched.

    Raises
    ------
    ValueError
        On a curve whose pressures do not rise.

    References
    ----------
    Common practice.
    """
    pressures = floats(curve_kpa_gauge)
    if np.any(np.diff(pressures) <= 0.0):
        raise ValueError("curve_kpa_gauge must rise from point to point")
    return np.interp(floats(rail_pressure_kpa_gauge), pressures, floats(curve_l_h), left=np.nan, right=np.nan)


def staged_flow_l_h(flows_l_h: Sequence[ArrayLike], is_on: Sequence[ArrayLike]) -> FloatArray:
    """Flow of pumps that work side by side.

    Parameters
    ----------
    flows_l_h : sequence of array_like
        Flow of each pump, all at the *same* rail pressure [l/h].
    is_on : sequence of array_like
        Part of its flow that each is driven at: 0 off, 1 full [0..1].

    Returns
    -------
    ndarray, broadcast shape
        Flow of all [l/h].

    Raises
    ------
    ValueError
        On a negative flow, a drive outside 0..1, or different numbers of pumps and drives.

    References
    ----------
    Common practice: parallel pumps share one pressure, so their flows add.
    """
    parts = [
        not_negative("flows_l_h", flow) * share("is_on", drive) for flow, drive in zip(flows_l_h, is_on, strict=True)
    ]
    return np.asarray(np.sum(np.broadcast_arrays(*parts), axis=0))


def pump_headroom(needed_l_h: ArrayLike, capacity_l_h: ArrayLike) -> FloatArray:
    """Part of the pumps' capacity that is left.

    Parameters
    ----------
    needed_l_h : array_like
        Flow that the engine takes [l/h].
    capacity_l_h : array_like
        Flow of the pumps at the rail pressure and voltage of that moment [l/h].

    Returns
    -------
    ndarray, broadcast shape
        Headroom [ratio]; negative where the rail must fall.

    Raises
    ------
    ValueError
        On a negative need, or a capacity of zero or less.

    References
    ----------
    Definition.
    """
    return 1.0 - not_negative("needed_l_h", needed_l_h) / positive("capacity_l_h", capacity_l_h)


def flow_lost_to_pressure(pressure_kpa: ArrayLike, target_pressure_kpa: ArrayLike) -> FloatArray:
    """Part of the injectors' flow that is missing because the pressure across them is below its target.

    Parameters
    ----------
    pressure_kpa : array_like
        Difference of pressure across the injector [kPa].
    target_pressure_kpa : array_like
        The difference that the calibration counts on [kPa].

    Returns
    -------
    ndarray, broadcast shape
        Missing part of the flow [ratio]; negative where the pressure is above its target, nan at a negative pressure.

    Raises
    ------
    ValueError
        On a target of zero or less.

    References
    ----------
    Orifice equation, as in `injector_flow_cc_min`. A rail that falls at rising demand is the first sign that the
    supply and not the injector binds (common practice).
    """
    return 1.0 - injector_flow_cc_min(1.0, target_pressure_kpa, pressure_kpa)
