"""From a car, its parameters, a setup and the day to the one flat row of base SI numbers that a pass is driven from.

A row is the parameters and the day (`pack_car`) with the setup written over it (`with_setup`): a plan packs thousands
of setups of one car, so the second part is cheap. All of them take one version of a car, or `Versions` at once.
"""

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car, Conditions, Setup
from nextpass.physics.air import KELVIN
from nextpass.physics.blend import blend_density_kgpm3, blend_stoichiometric_afr
from nextpass.sim import kernel as k
from nextpass.sim.car_row import KPA, MIDDLE_POINT, REFERENCE_CHARGE_C, SHORTEST_S, OneOrMany, wide, write_car
from nextpass.sim.parameters import VOLUMETRIC_EFFICIENCY, Parameters

FloatArray = NDArray[np.float64]

LITRE = 1e-3
FOOT_M = 0.3048
QUARTER_MILE_M = 402.336
DRY_AIR_JPKGK = 287.05


def pack(car: Car, parameters: OneOrMany, setup: Setup, conditions: Conditions) -> FloatArray:
    """Row of one pass, or of the passes of many versions of a car.

    Parameters
    ----------
    car : Car
        For what no pass corrects: ratios, inertias, torque curve, fuel supply.
    parameters : Parameters or Versions
        The car as the passes show it, or `default_parameters`.
    setup : Setup
        What is dialled in.
    conditions : Conditions
        The day.

    Returns
    -------
    ndarray, shape (row,), or (m, row) of m versions
        Base SI, in the order of the kernel's slots.
    """
    return with_setup(pack_car(car, parameters, conditions), car, parameters, setup)


def pack_setups(car: Car, parameters: Parameters, setups: Sequence[Setup], conditions: Conditions) -> FloatArray:
    """Rows of many setups of one car on one day.

    Parameters
    ----------
    car, parameters, conditions
        As for `pack`, of one version.
    setups : sequence of Setup, length m

    Returns
    -------
    ndarray, shape (m, row)
    """
    base = pack_car(car, parameters, conditions)
    return np.stack([with_setup(base, car, parameters, setup) for setup in setups])


def with_setup(base: FloatArray, car: Car, parameters: OneOrMany, setup: Setup) -> FloatArray:
    """Copy of a row, or of many, with another setup.

    Parameters
    ----------
    base : ndarray, shape (row,) or (m, row)
        From `pack_car` or `pack`, of the same car and parameters.
    car, parameters
        As for `pack`.
    setup : Setup

    Returns
    -------
    ndarray, same shape
    """
    row = base.copy()
    _write_setup(row, car, parameters, setup)
    return row


def with_pass_luck(base: FloatArray, grip_factor: FloatArray, release_factor: FloatArray) -> FloatArray:
    """Copy of rows for passes of other grip and clutch release.

    Parameters
    ----------
    base : ndarray, shape (m, row)
    grip_factor, release_factor : ndarray, shape (m,)
        On `Parameters.grip` and `Parameters.launch_release_s` [-].

    Returns
    -------
    ndarray, shape (m, row)
    """
    row = base.copy()
    row[..., k.FRICTION] *= grip_factor
    row[..., k.RELEASE_TIME] = np.maximum(SHORTEST_S, row[..., k.RELEASE_TIME] * release_factor)
    return row


def until(packed_rows: FloatArray, distance_m: float) -> FloatArray:
    """Copy of packed rows that end at a distance; clocks beyond it stay nan.

    Parameters
    ----------
    packed_rows : ndarray, shape (row,) or (m, row)
    distance_m : float
        Of travel from the stage line [m].

    Returns
    -------
    ndarray, same shape
    """
    rows = packed_rows.copy()
    rows[..., k.FINISH] = distance_m
    return rows


def pack_car(car: Car, parameters: OneOrMany, conditions: Conditions) -> FloatArray:
    """Row of a car on a day without a setup, or rows of many versions of it, for `with_setup`.

    Parameters
    ----------
    car, parameters, conditions
        As for `pack`.

    Returns
    -------
    ndarray, shape (row,), or (m, row) of m versions
        The setup's slots are nan.
    """
    row = np.full((*np.shape(parameters.mass_kg), k.ROW_LENGTH), np.nan)
    write_car(row, car, parameters, conditions)
    row[..., k.ROLLOUT] = FOOT_M
    row[..., k.FINISH] = QUARTER_MILE_M
    return row


@lru_cache(maxsize=64)
def _afr_and_density(ethanol: float) -> tuple[float, float]:
    return float(blend_stoichiometric_afr(ethanol)), float(blend_density_kgpm3(ethanol))


def _write_setup(row: FloatArray, car: Car, p: OneOrMany, setup: Setup) -> None:
    caps_kpa = setup.gear_pressure_cap_kpa
    row[..., k.CAP : k.CAP + k.MAX_GEARS] = 0.0
    row[..., k.CAP : k.CAP + len(caps_kpa)] = wide(p.pressure_hold) * np.asarray(caps_kpa) * KPA
    row[..., k.LAUNCH_SPEED] = setup.launch_rpm * k.RADPS_PER_RPM
    row[..., k.HOLD_SPEED] = setup.launch_rpm * p.launch_hold_share * k.RADPS_PER_RPM
    row[..., k.LAUNCH_PRESSURE] = setup.launch_pressure_kpa * p.pressure_hold * KPA
    row[..., k.FLARE_SPEED] = (setup.launch_rpm + p.launch_flare_rpm) * k.RADPS_PER_RPM
    row[..., k.SHIFT_SPEED] = (setup.shift_rpm + p.shift_offset_rpm) * k.RADPS_PER_RPM
    _write_fuel(row, car, p, setup.fuel)


def _write_fuel(row: FloatArray, car: Car, p: OneOrMany, fuel: str) -> None:
    row[..., k.KNOCK_ONSET] = p.knock_onset_kpa[tuple(car.fuels).index(fuel)] * KPA
    afr, density = _afr_and_density(car.fuels[fuel].ethanol)
    engine, supply = car.engine, car.fuel_system
    air = VOLUMETRIC_EFFICIENCY * engine.displacement_l * LITRE / (4.0 * math.pi)  # m3 per radian of the crank
    reference_k = REFERENCE_CHARGE_C + KELVIN
    flow_kgps = p.fuel_flow_scale * air / (DRY_AIR_JPKGK * reference_k) / (p.wot_lambda * afr)
    row[..., k.FUEL_FLOW] = flow_kgps / row[..., k.TORQUE_SLOPE + MIDDLE_POINT]
    row[..., k.INJECTOR_FLOW] = density * supply.injector_count * supply.injector_flow_cc_min * 1e-6 / 60.0
    row[..., k.INJECTOR_DEAD] = p.injector_dead_s / (4.0 * math.pi)  # one shot in two turns
    pumps_l_h = sum(pump.flow_l_h for pump in supply.pumps)
    row[..., k.PUMP_FLOW] = density * np.maximum(1.0, p.pump_flow_scale * pumps_l_h) * LITRE / 3600.0
    row[..., k.LAMBDA] = p.wot_lambda
