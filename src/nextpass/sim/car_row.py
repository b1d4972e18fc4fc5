"""What of a packed row belongs to the car and the day: one version of a car, or many at once.

Every function takes fields of `Parameters` as numbers, or as columns from `Versions`, and writes to rows of the same
shape: packing one version after the other would cost more than driving them.
"""

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from nextpass.car import Car, Conditions
from nextpass.physics.air import KELVIN, density_kgpm3
from nextpass.sim import kernel as k
from nextpass.sim.parameters import LOW_SHARE, MIDDLE_SHARE, Parameters, Versions

FloatArray = NDArray[np.float64]
# One version or many.
OneOrMany = Parameters | Versions

KPA = 1000.0
# Charge temperature at which the car file's torque curve is taken to hold (assumed: a warm day's dynamometer).
REFERENCE_CHARGE_C = 45.0
# Share of torque that a degree of retard costs near best timing under boost (common practice: about 1 %).
TORQUE_LOSS_PER_DEG = 0.01
# The body pitches on its springs and load moves between the axles with it (common practice: 1.5 to 2 Hz, damping 0.3 to
# 0.5).
PITCH_HZ, PITCH_DAMPING = 1.7, 0.42
# Oil of a gearbox with its share of steel (assumed: 6 l of oil and 8 kg of steel).
GEARBOX_HEAT_JPK = 15000.0
STANDARD_KPA = 101.325
# No time of the equations is shorter.
SHORTEST_S = 1e-3
_RISE = np.linspace(0.1, 0.9, 17)
_POINTS = np.arange(k.TABLE_POINTS, dtype=np.float64)
# Tables over engine speed reach this far beyond the rev limit; where the middle of the speeds stands in them.
_TABLE_END = 1.15
MIDDLE_POINT = round(MIDDLE_SHARE / _TABLE_END * (k.TABLE_POINTS - 1))
# Engine friction and pumping as mean effective pressure: Heywood, Internal Combustion Engine Fundamentals, eq. 13.6.
FRICTION_BAR = (0.97, 0.15, 0.05)


def write_car(row: FloatArray, car: Car, p: OneOrMany, conditions: Conditions) -> None:
    """Write a car on a day to its slots.

    Parameters
    ----------
    row : ndarray, shape (row,) or (m, row)
    car : Car
    p : Parameters or Versions of m
    conditions : Conditions
    """
    _write_chassis(row, car, p, conditions)
    _write_tyre(row, car, p)
    _write_driveline(row, car, p)
    _write_engine(row, car, p, conditions)


def wide(column: float | FloatArray) -> FloatArray:
    """A column beside a table, shape (..., 1)."""
    return np.asarray(column, dtype=np.float64)[..., np.newaxis]


def _write_chassis(row: FloatArray, car: Car, p: OneOrMany, conditions: Conditions) -> None:
    incline = math.atan(conditions.slope)
    weight_n = p.mass_kg * k.GRAVITY_MPS2 * math.cos(incline)
    slope_n = p.mass_kg * k.GRAVITY_MPS2 * math.sin(incline)
    chassis = car.chassis
    tilt_n = slope_n * chassis.cg_height_m / chassis.wheelbase_m
    row[..., k.MASS] = p.mass_kg
    row[..., k.FRONT_LOAD] = weight_n * chassis.front_weight_share - tilt_n
    row[..., k.REAR_LOAD] = weight_n * (1.0 - chassis.front_weight_share) + tilt_n
    row[..., k.LOAD_ARM] = p.mass_kg * chassis.cg_height_m / chassis.wheelbase_m
    row[..., k.PITCH_SPEED] = 2.0 * math.pi * PITCH_HZ
    row[..., k.PITCH_DAMPING] = PITCH_DAMPING
    row[..., k.ROLLING] = p.rolling_resistance * weight_n
    row[..., k.SLOPE_FORCE] = slope_n
    row[..., k.DRAG] = 0.5 * _density_kgpm3(conditions) * p.drag_area_m2
    row[..., k.HEADWIND] = conditions.headwind_mps


@lru_cache(maxsize=64)
def _density_kgpm3(conditions: Conditions) -> float:
    return float(density_kgpm3(conditions.air_temperature_c, conditions.pressure_kpa, conditions.humidity))


def _write_tyre(row: FloatArray, car: Car, p: OneOrMany) -> None:
    row[..., k.RADIUS] = p.rolling_radius_m
    row[..., k.FRICTION] = p.peak_friction * p.grip
    row[..., k.LOAD_SENSITIVITY] = p.load_sensitivity
    row[..., k.LOAD_REFERENCE] = 0.5 * (row[..., k.FRONT_LOAD] + row[..., k.REAR_LOAD])
    # Magic Formula with E = 0: it tends to sin(C pi/2) far beyond the peak, which lies at tan(pi/(2C))/B.
    shape = 2.0 - 2.0 / math.pi * np.arcsin(np.minimum(p.sliding_share, 0.995))
    row[..., k.TYRE_C] = shape
    row[..., k.TYRE_B] = np.tan(math.pi / (2.0 * shape)) / p.peak_slip
    row[..., k.PEAK_SLIP] = p.peak_slip
    row[..., k.AXLE_INERTIA] = 2.0 * car.driveline.wheel_inertia_kgm2


def _write_driveline(row: FloatArray, car: Car, p: OneOrMany) -> None:
    driveline = car.driveline
    gears = car.gear_count
    row[..., k.FRONT_SHARE] = driveline.front_drive_share
    both = 0.0 < driveline.front_drive_share < 1.0
    row[..., k.COUPLING] = p.axle_coupling_nm_per_radps if both else 0.0
    row[..., k.EFFICIENCY] = p.efficiency
    row[..., k.GEARBOX_INERTIA] = p.gearbox_inertia_kgm2
    row[..., k.ENGINE_INERTIA] = driveline.engine_inertia_kgm2
    row[..., k.STAGED_TIME] = p.staged_s
    row[..., k.RELEASE_TIME] = np.maximum(SHORTEST_S, p.launch_release_s)
    row[..., k.HOLD_GAIN] = driveline.engine_inertia_kgm2 / np.maximum(SHORTEST_S, p.launch_hold_s)
    row[..., k.LAUNCH_FEED] = p.launch_feed
    row[..., k.SHIFT_TIME] = np.maximum(SHORTEST_S, p.shift_time_s)
    row[..., k.SHIFT_SHARE], row[..., k.SHIFT_MOMENTUM] = p.shift_torque_share, p.shift_momentum_share
    row[..., k.GEARS] = gears
    row[..., k.RATIO : k.RATIO + k.MAX_GEARS] = 0.0
    row[..., k.RATIO : k.RATIO + gears] = driveline.final_drive * np.asarray(driveline.gear_ratios)
    # Pack A carries the odd gears, pack B the even ones.
    packs = np.resize(np.asarray(car.clutch.torque_capacity_nm, dtype=np.float64), k.MAX_GEARS)
    row[..., k.CAPACITY : k.CAPACITY + k.MAX_GEARS] = wide(p.clutch_capacity_scale) * packs
    row[..., k.OIL_START] = p.gearbox_oil_c
    row[..., k.OIL_HEAT] = GEARBOX_HEAT_JPK + car.clutch.heat_capacity_j_per_k


def _write_engine(row: FloatArray, car: Car, p: OneOrMany, conditions: Conditions) -> None:
    engine = car.engine
    step_rpm = _TABLE_END * engine.rev_limit_rpm / (k.TABLE_POINTS - 1)
    rpm = step_rpm * _POINTS
    row[..., k.TABLE_STEP] = step_rpm * k.RADPS_PER_RPM
    row[..., k.LIMIT_SPEED] = engine.rev_limit_rpm * k.RADPS_PER_RPM
    row[..., k.AMBIENT_PRESSURE] = conditions.pressure_kpa * KPA
    base_nm, slope_nmpkpa = _torque_tables(rpm, car, p)
    row[..., k.TORQUE_BASE : k.TORQUE_BASE + k.TABLE_POINTS] = base_nm
    row[..., k.TORQUE_SLOPE : k.TORQUE_SLOPE + k.TABLE_POINTS] = slope_nmpkpa / KPA
    _write_turbocharger(row, rpm, car, p, conditions)
    row[..., k.AIR_TEMPERATURE] = conditions.air_temperature_c + KELVIN
    row[..., k.CHARGE_RISE] = p.charge_rise_share
    row[..., k.CHARGE_FLOW] = (
        engine.reference_pressure_kpa * KPA * MIDDLE_SHARE * engine.rev_limit_rpm * k.RADPS_PER_RPM
    )
    row[..., k.CHARGE_GROWTH] = p.charge_rise_growth
    row[..., k.SENSOR_TIME] = p.charge_time_s
    row[..., k.CORE_START] = p.charge_soak_c
    row[..., k.CORE_SHARE] = p.cooler_core_share
    row[..., k.CORE_TIME] = p.cooler_core_s
    row[..., k.CHARGE_REFERENCE] = REFERENCE_CHARGE_C + KELVIN
    row[..., k.CHARGE_EXPONENT] = p.charge_temperature_exponent
    row[..., k.KNOCK_SLOPE] = p.knock_slope_degpkpa / KPA
    row[..., k.KNOCK_PER_KELVIN] = p.knock_per_kelvin_kpa * KPA
    row[..., k.KNOCK_LOSS] = TORQUE_LOSS_PER_DEG


def _write_turbocharger(row: FloatArray, rpm: FloatArray, car: Car, p: OneOrMany, conditions: Conditions) -> None:
    """Turbine and spool over engine speed; see `Parameters` for what the threshold and the rise time mean.

    With air flow m going as engine speed times pressure, turbine power goes as m^3 while the turbine is far from
    choking and as little more than m when it chokes, compressor power as m times boost (Watson & Janota, Turbocharging
    the Internal Combustion Engine, memory). So one power of m tells how the boost that can be held grows.
    """
    reference_kpa = max(car.engine.reference_pressure_kpa, 1.1 * STANDARD_KPA)
    boost_kpa = reference_kpa - STANDARD_KPA
    # Both sides go by pressure ratio: thin air asks for more of the compressor, and loads the turbine more.
    thin = STANDARD_KPA / conditions.pressure_kpa
    turbine = boost_kpa * (rpm / wide(p.threshold_rpm)) ** wide(p.threshold_exponent)
    row[..., k.TURBINE : k.TURBINE + k.TABLE_POINTS] = thin * turbine * KPA
    row[..., k.TURBINE_PRESSURE] = reference_kpa * KPA
    row[..., k.TURBINE_POWER] = p.threshold_exponent
    rate = _spool_rate(reference_kpa, p.threshold_rpm, p.threshold_exponent) / np.maximum(SHORTEST_S, p.pressure_rise_s)
    by_speed = (np.maximum(rpm, 500.0) / 4000.0) ** wide(p.pressure_rise_exponent)
    row[..., k.SPOOL : k.SPOOL + k.TABLE_POINTS] = thin * wide(rate) * by_speed / (reference_kpa * KPA)
    control_s = np.maximum(SHORTEST_S, p.pressure_control_s)
    row[..., k.PRESSURE_GAIN] = 1.0 / control_s
    row[..., k.PRESSURE_LAG] = control_s / (4.0 * _damping(p.pressure_overshoot) ** 2)


def _spool_rate(reference_kpa: float, threshold_rpm: float | FloatArray, exponent: float | FloatArray) -> FloatArray:
    """Time of the rise from 10 to 90 % of the reference boost at 4000 rpm, at a spool of 1/s [s]."""
    boost_kpa = reference_kpa - STANDARD_KPA
    missing = boost_kpa * _RISE
    pressure = STANDARD_KPA + missing
    turbine = boost_kpa * (wide(4000.0 / threshold_rpm) * (pressure / reference_kpa)) ** wide(exponent)
    # A car that cannot hold its reference boost at 4000 rpm has no such rise; its rate is then that of a little spare.
    spare = np.maximum(turbine - missing, 0.1 * boost_kpa)
    each = reference_kpa / (pressure * spare)
    return np.asarray(np.trapezoid(each, missing, axis=-1))


def _torque_tables(rpm: FloatArray, car: Car, p: OneOrMany) -> tuple[FloatArray, FloatArray]:
    """Torque at no manifold pressure [N m] and its slope [N m/kPa], over engine speed.

    Gas torque goes with pressure, friction does not (Heywood, ch. 2 and 15: brake torque is close to affine in
    manifold pressure).
    """
    engine = car.engine
    limit = engine.rev_limit_rpm
    curve_nm = np.interp(rpm, *_curve(engine.full_load_torque_nm))
    nodes = np.array([LOW_SHARE, MIDDLE_SHARE, 1.0]) * limit
    low, middle, high = (np.interp(rpm, nodes, one) for one in np.eye(3))
    shape = wide(p.torque_low_scale) * low + middle + wide(p.torque_high_scale) * high
    full_nm = wide(p.torque_scale) * shape * curve_nm
    a, b, c = FRICTION_BAR
    friction_kpa = 100.0 * (a + b * (rpm / 1000.0) + c * (rpm / 1000.0) ** 2)
    friction_nm = friction_kpa * engine.displacement_l / (4.0 * math.pi)  # kPa times litres is N m
    slope = wide(p.torque_pressure_slope) * (full_nm + friction_nm) / engine.reference_pressure_kpa
    return full_nm - slope * engine.reference_pressure_kpa, slope


@lru_cache(maxsize=64)
def _curve(points: tuple[tuple[float, float], ...]) -> FloatArray:
    return np.asarray(points, dtype=np.float64).T


def _damping(overshoot: float | FloatArray) -> FloatArray:
    """Damping ratio of a second-order lag with this overshoot: Ogata, Modern Control Engineering, ch. 5 (memory)."""
    log = np.log(np.clip(overshoot, 1e-4, 0.9))
    return np.asarray(-log / np.hypot(math.pi, log))
