"""How large must turbine, turbocharger and combustion be for the car that is wanted?

From the figures by which people know a car (torque at a pressure, the engine speed from which the turbocharger can
hold it, how fast the pressure comes) to the constants of the model: steady power balance of the turbocharger for the
turbine, its unbalanced power for the inertia, the torque balance for the efficiency.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from nextpass.physics import clutch
from nextpass.proving.model.charge import CP_AIR, CP_EXHAUST, EXPANSION, compressor_k
from nextpass.proving.model.engine import DRY_AIR_JPKGK, FOUR_PI, PORT_WARMING, VE_STEP_RADPS
from nextpass.proving.shapes import filling_table
from nextpass.proving.truth import TrueCharge, TrueEngine

DESIGN_AMBIENT_PA = 101.325e3
DESIGN_AMBIENT_K = 295.0
DESIGN_COOLANT_K = 361.0
DESIGN_CHARGE_K = 318.0 + PORT_WARMING * (DESIGN_COOLANT_K - 318.0)
"""Charge of 45 °C, warmed by the ports [K]."""
FUEL_AIR_JPKG = 2.965e6
"""Heat of a stoichiometric mixture for each kilogram of air: nearly the same for gasoline and ethanol [J/kg]."""


def air_flow_kgps(engine: TrueEngine, rpm: float, pressure_kpa: float) -> float:
    """Air of the engine at a speed and a manifold pressure, charge at 45 °C [kg/s]."""
    table = filling_table(engine)
    filling = float(np.interp(rpm * clutch.RADPS_PER_RPM, np.arange(table.size) * VE_STEP_RADPS, table))
    per_cycle = filling * engine.displacement_l * 1e-3 * pressure_kpa * 1e3 / (DRY_AIR_JPKGK * DESIGN_CHARGE_K)
    return per_cycle * rpm * clutch.RADPS_PER_RPM / FOUR_PI


def compressor_w(charge: TrueCharge, flow_kgps: float, pressure_kpa: float) -> float:
    """Power that the compressor takes at steady state [W]."""
    share = flow_kgps / charge.reference_flow_kgps
    after_pa = (pressure_kpa + charge.charge_loss_kpa * share**2) * 1e3
    ratio = after_pa / (DESIGN_AMBIENT_PA - charge.intake_loss_kpa * 1e3 * share**2)
    rise_k = compressor_k(DESIGN_AMBIENT_K, ratio, charge.compressor_efficiency) - DESIGN_AMBIENT_K
    return flow_kgps * CP_AIR * rise_k


def turbine_ratio(charge: TrueCharge, flow_kgps: float, power_w: float) -> float:
    """Pressure over the turbine that gives a power from a flow [-]; nan where no pressure could."""
    share = power_w / (charge.turbine_efficiency * flow_kgps * CP_EXHAUST * charge.exhaust_k)
    return float((1.0 - share) ** (-1.0 / EXPANSION)) if share < 1.0 else np.nan


def sized_charge(charge: TrueCharge, engine: TrueEngine, threshold_rpm: float, rise_time_s: float) -> TrueCharge:
    """Turbocharger that holds the reference pressure from a speed on and reaches it in a time.

    Parameters
    ----------
    charge : TrueCharge
        With efficiencies and losses; turbine, energy and reference flow are replaced.
    engine : TrueEngine
        What it breathes for.
    threshold_rpm : float
        Speed at which the reference pressure can just be held, wastegate shut [rpm].
    rise_time_s : float
        10 to 90 % of the way from ambient to the reference pressure at 4000 rpm, wastegate shut [s].

    Returns
    -------
    TrueCharge
    """
    reference_kpa = charge.reference_pressure_kpa
    flow_kgps = air_flow_kgps(engine, 0.92 * engine.rev_limit_rpm, reference_kpa)
    charge = replace(charge, reference_flow_kgps=flow_kgps)
    threshold_kgps = air_flow_kgps(engine, threshold_rpm, reference_kpa)
    needed_w = compressor_w(charge, threshold_kgps, reference_kpa)
    ratio = turbine_ratio(charge, 1.07 * threshold_kgps, needed_w)
    turbine_flow = 1.07 * threshold_kgps / (np.sqrt(ratio - 1.0) * DESIGN_AMBIENT_PA)
    charge = replace(charge, turbine_flow_kgps_per_pa=float(turbine_flow))
    # Time to go from one turbine energy to another: integral of dE over the power that is left.
    ambient_kpa = DESIGN_AMBIENT_PA * 1e-3
    span = (reference_kpa + charge.charge_loss_kpa) / 98.8 - 1.0
    start, end = (ambient_kpa + share * (reference_kpa - ambient_kpa) for share in (0.1, 0.9))
    shares = np.linspace((start / 98.8 - 1.0) / span, (end / 98.8 - 1.0) / span, 200)
    left_w = np.array([spare_power_w(charge, engine, 98.8 * (1.0 + span * share), 4000.0) for share in shares])
    seconds_per_joule = float(np.trapezoid(1.0 / np.maximum(left_w, 50.0), shares))
    return replace(charge, reference_energy_j=rise_time_s / seconds_per_joule)


def spare_power_w(charge: TrueCharge, engine: TrueEngine, pressure_kpa: float, rpm: float) -> float:
    """Power that speeds the turbine up at a pressure and an engine speed, wastegate shut [W]."""
    flow_kgps = air_flow_kgps(engine, rpm, pressure_kpa)
    choke = 1.07 * flow_kgps / (charge.turbine_flow_kgps_per_pa * DESIGN_AMBIENT_PA)
    share = 1.0 - (1.0 + choke**2) ** -EXPANSION
    given_w = charge.turbine_efficiency * 1.07 * flow_kgps * CP_EXHAUST * charge.exhaust_k * share
    return float(given_w - compressor_w(charge, flow_kgps, pressure_kpa))


def brake_torque_nm(
    engine: TrueEngine, charge: TrueCharge, rpm: float, pressure_kpa: float, behind_deg: float
) -> float:
    """Full-load torque at a held pressure, charge at 45 °C, turbocharger in balance [N m]."""
    flow_kgps = air_flow_kgps(engine, rpm, pressure_kpa)
    per_cycle = flow_kgps * FOUR_PI / (rpm * clutch.RADPS_PER_RPM)
    spark = 1.0 - engine.spark_curve * behind_deg**2
    mixture = 1.0 - 1.2 * (engine.wot_lambda - 0.87) ** 2
    work_nm = engine.indicated_efficiency * FUEL_AIR_JPKG * per_cycle * spark * mixture / FOUR_PI
    thousands = rpm / 1000.0
    friction_pa = engine.friction_scale * (0.97 + 0.15 * thousands + 0.05 * thousands**2) * 1e5
    exchange_pa = engine.pumping * (_turbine_pa(charge, flow_kgps, pressure_kpa) - pressure_kpa * 1e3)
    return work_nm - (friction_pa + exchange_pa) * engine.displacement_l * 1e-3 / FOUR_PI


def sized_engine(engine: TrueEngine, charge: TrueCharge, peak_torque_nm: float, behind_deg: float) -> TrueEngine:
    """Engine whose efficiency gives the wanted peak torque at the reference pressure.

    Parameters
    ----------
    engine : TrueEngine
        Its efficiency is replaced.
    charge : TrueCharge
        Already sized.
    peak_torque_nm : float
        Highest full-load torque at the reference pressure [N m].
    behind_deg : float
        Spark behind the best [deg].

    Returns
    -------
    TrueEngine
    """
    speeds = np.linspace(2500.0, 0.95 * engine.rev_limit_rpm, 40)
    for _ in range(4):
        torque = torque_curve_nm(engine, charge, speeds, behind_deg)
        losses = torque_curve_nm(replace(engine, indicated_efficiency=0.0), charge, speeds, behind_deg)
        at = int(np.argmax(torque))
        factor = (peak_torque_nm - losses[at]) / (torque[at] - losses[at])
        engine = replace(engine, indicated_efficiency=float(engine.indicated_efficiency * factor))
    return engine


def torque_curve_nm(
    engine: TrueEngine, charge: TrueCharge, speeds_rpm: NDArray[np.float64], behind_deg: float
) -> NDArray[np.float64]:
    """Full-load torque at the reference pressure over engine speed, shape of the speeds [N m]."""
    reference_kpa = charge.reference_pressure_kpa
    return np.array([brake_torque_nm(engine, charge, rpm, reference_kpa, behind_deg) for rpm in speeds_rpm])


def _turbine_pa(charge: TrueCharge, flow_kgps: float, pressure_kpa: float) -> float:
    needed_w = compressor_w(charge, flow_kgps, pressure_kpa)
    low, high = 0.02, 1.0
    for _ in range(40):
        share = 0.5 * (low + high)
        choke = 1.07 * flow_kgps * share / (charge.turbine_flow_kgps_per_pa * DESIGN_AMBIENT_PA)
        work = 1.0 - (1.0 + choke**2) ** -EXPANSION
        given_w = charge.turbine_efficiency * 1.07 * flow_kgps * share * CP_EXHAUST * charge.exhaust_k * work
        low, high = (share, high) if given_w < needed_w else (low, share)
    return float((1.0 + choke**2) * DESIGN_AMBIENT_PA)
