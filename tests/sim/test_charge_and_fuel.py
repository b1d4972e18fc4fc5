"""Charge air and fuel of a simulated pass against the formulas of `physics`, which are checked on their own."""

from dataclasses import replace

import numpy as np
import pytest

from nextpass.physics import blend, charge, supply
from nextpass.sim import default_parameters, drive, pack
from nextpass.sim.parameters import MIDDLE_SHARE, VOLUMETRIC_EFFICIENCY

# The share of a compressor's efficiency that the simulation takes as given.
EFFICIENCY = 0.70
R_AIR_JPKGK = 287.05  # gas constant of dry air, CIPM-2007


def at_full_load(run):
    """Where a gear has run long enough that the sensor has caught up, as places in the trace."""
    gear = run.traces["gear"]
    ends = np.flatnonzero(np.diff(gear) > 0)
    return np.concatenate([np.arange(end - 12, end - 2) for end in ends[1:3]])


def test_charge_air_is_what_the_cooler_leaves_of_the_compressors_heat(car, setup_, conditions):
    """Outlet by isentropic efficiency, a share of its rise left that grows with flow, and a core that stays cold."""
    parameters = replace(
        default_parameters(car), charge_time_s=0.1, charge_soak_c=0.0, cooler_core_share=0.0, peak_friction=2.0
    )
    run = drive(pack(car, parameters, setup_, conditions), rate_hz=100.0)
    at = at_full_load(run)
    pressure, rpm = run.traces["manifold_pressure_kpa"][at], run.traces["engine_rpm"][at]
    outlet_c = charge.compressor_outlet_c(conditions.air_temperature_c, pressure / conditions.pressure_kpa, EFFICIENCY)
    reference = car.engine.reference_pressure_kpa * MIDDLE_SHARE * car.engine.rev_limit_rpm
    left = parameters.charge_rise_share * (pressure * rpm / reference) ** parameters.charge_rise_growth
    expected_c = conditions.air_temperature_c + left * (outlet_c - conditions.air_temperature_c)
    # The sensor is 0.1 s behind air that warms by a few kelvin a second.
    assert run.traces["charge_temperature_c"][at] == pytest.approx(expected_c, abs=0.7)


def test_a_sensor_that_is_late_shows_less_than_the_air_was(car, setup_, conditions):
    """A guard is held against the air, a log only ever shows the sensor."""
    quick = replace(default_parameters(car), charge_time_s=0.1)
    outputs = [
        drive(pack(car, replace(quick, charge_time_s=lag_s), setup_, conditions)).outputs for lag_s in (0.1, 2.0)
    ]
    assert outputs[0]["charge_air_c"] == pytest.approx(outputs[1]["charge_air_c"], abs=0.01)
    assert outputs[1]["charge_sensed_c"] < outputs[0]["charge_sensed_c"] - 1.0
    assert outputs[0]["charge_sensed_c"] <= outputs[0]["charge_air_c"]


def test_duty_at_middling_speed_is_that_of_the_air_drawn(car, setup_, conditions):
    """Air of a four-stroke by volumetric efficiency, fuel by its stoichiometry, duty by flow and opening time."""
    parameters = replace(default_parameters(car), peak_friction=2.0)
    run = drive(pack(car, parameters, setup_, conditions), rate_hz=200.0)
    middle_rpm = MIDDLE_SHARE * car.engine.rev_limit_rpm
    in_third = np.flatnonzero((run.traces["gear"] == 3) & (run.traces["phase"] == 1))
    at = in_third[np.argmin(np.abs(run.traces["engine_rpm"][in_third] - middle_rpm))]
    rpm, pressure_kpa = run.traces["engine_rpm"][at], run.traces["manifold_pressure_kpa"][at]
    charge_k = 273.15 + run.traces["charge_temperature_c"][at]
    density_kgpm3 = 1e3 * pressure_kpa / (R_AIR_JPKGK * charge_k)
    air_kgps = VOLUMETRIC_EFFICIENCY * density_kgpm3 * 1e-3 * car.engine.displacement_l * rpm / 120.0
    ethanol = car.fuels[setup_.fuel].ethanol
    afr = float(blend.blend_stoichiometric_afr(ethanol))
    fuel_kgps = parameters.fuel_flow_scale * air_kgps / (parameters.wot_lambda * afr)
    one_kgps = float(blend.blend_density_kgpm3(ethanol)) * car.fuel_system.injector_flow_cc_min * 1e-6 / 60.0
    duty = fuel_kgps / (car.fuel_system.injector_count * one_kgps)
    duty += float(supply.opening_duty(parameters.injector_dead_s, rpm))
    assert abs(rpm - middle_rpm) < 120.0
    # The engine speed of the trace meets the middle of its table within 2 %, the sensor the air within 3 K of 320.
    assert run.traces["injector_duty"][at] == pytest.approx(duty, rel=0.03)
