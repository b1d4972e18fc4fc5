"""Injectors, rail and pumps against worked examples (arithmetic of the orifice equation and mass balance)."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nextpass.physics import blend, fuel, supply

AIR_KGPS = 0.431729  # 3.6 l at 6000 rpm and 220 kPa, see test_engine.py

# Ethanol, lambda: fuel g/s, l/h, duty at 300 kPa and at 250 kPa across six injectors of 1050 cc/min at 300 kPa.
WORKED = [
    (0.05, 0.85, 35.512, 171.04, 0.4525, 0.4957),
    (0.60, 0.82, 47.199, 219.42, 0.5805, 0.6359),
    (0.85, 0.80, 55.093, 252.12, 0.6670, 0.7307),
]


@pytest.mark.parametrize(("ethanol", "lambda_", "fuel_gps", "fuel_l_h", "duty_300", "duty_250"), WORKED)
def test_duty_of_a_worked_pull(ethanol, lambda_, fuel_gps, fuel_l_h, duty_300, duty_250):
    density = blend.blend_density_kgpm3(ethanol)
    flow_kgps = fuel.fuel_flow_kgps(AIR_KGPS, blend.blend_stoichiometric_afr(ethanol), lambda_)
    static_cc_min = supply.injector_flow_cc_min(1050.0, 300.0, np.array([300.0, 250.0]))
    assert flow_kgps * 1000.0 == pytest.approx(fuel_gps, abs=1e-3)
    assert supply.volume_flow_l_h(flow_kgps, density) == pytest.approx(fuel_l_h, abs=6e-3)
    assert supply.injector_duty(flow_kgps, density, 6, static_cc_min) == pytest.approx([duty_300, duty_250], abs=6e-5)


@pytest.mark.parametrize(("pressure_kpa", "flow_cc_min"), [(300.0, 1000.0), (400.0, 1154.7), (250.0, 912.87)])
def test_flow_goes_with_the_root_of_pressure(pressure_kpa, flow_cc_min):
    """Arithmetic, 1000 cc/min rated at 300 kPa; to the printed tenth."""
    assert supply.injector_flow_cc_min(1000.0, 300.0, pressure_kpa) == pytest.approx(flow_cc_min, abs=0.05)


def test_fuel_of_a_power_as_pumps_are_sold():
    """450 kW at 330 g/(kW h) and 745 kg/m3: 199.33 l/h."""
    litres_h = supply.volume_flow_l_h(fuel.fuel_flow_for_power_kgps(450e3, 330.0), 745.0)
    assert litres_h == pytest.approx(199.33, abs=5e-3)


def test_a_rail_without_reference_loses_the_boost():
    """Arithmetic: 400 kPa over 101 kPa of air against a manifold of 201 kPa leaves 300 kPa."""
    assert supply.injector_pressure_kpa(400.0, 101.0, [101.0, 201.0]) == pytest.approx([400.0, 300.0])


def test_opening_time_adds_to_duty():
    """Arithmetic: 1.2 ms of a cycle of 120/7200 s."""
    assert supply.opening_duty(1.2e-3, 7200.0) == pytest.approx(0.072, rel=1e-12)


def test_staged_pumps_add_at_the_same_pressure():
    """Arithmetic: 255 l/h at full drive and another at half."""
    assert supply.staged_flow_l_h([255.0, 255.0], [1.0, [0.0, 0.5]]) == pytest.approx([255.0, 382.5])


def test_headroom_is_negative_where_the_rail_must_fall():
    """Arithmetic: 252.12 l/h against 255 and against 240."""
    assert supply.pump_headroom(252.12, [255.0, 240.0]) == pytest.approx([0.011294, -0.0505], abs=5e-6)


def test_pressure_below_target_is_flow_lost():
    """Arithmetic: 250 of 300 kPa leaves sqrt(5/6) of the flow."""
    assert supply.flow_lost_to_pressure(250.0, 300.0) == pytest.approx(0.08713, abs=5e-6)


def test_a_pump_curve_is_not_stretched():
    curve = ([300.0, 400.0, 500.0], [280.0, 255.0, 225.0])
    flows = supply.pump_flow_l_h(*curve, [299.0, 450.0, 501.0])
    assert flows[1] == pytest.approx(240.0)
    assert np.isnan(flows[[0, 2]]).all()


@given(pressure_kpa=st.floats(10.0, 900.0), more_kpa=st.floats(0.1, 100.0))
def test_more_pressure_is_more_flow(pressure_kpa, more_kpa):
    low, high = supply.injector_flow_cc_min(1000.0, 300.0, np.array([pressure_kpa, pressure_kpa + more_kpa]))
    assert high > low


@given(flow_kgps=st.floats(1e-3, 0.2), count=st.integers(1, 16), flow_cc_min=st.floats(100.0, 3000.0))
def test_duty_brings_the_flow(flow_kgps, count, flow_cc_min):
    duty = supply.injector_duty(flow_kgps, 750.0, count, flow_cc_min)
    assert duty * count * flow_cc_min * 1e-6 / 60.0 * 750.0 == pytest.approx(flow_kgps, rel=1e-12)


def test_a_manifold_above_the_rail_gives_no_flow():
    assert np.isnan(supply.injector_flow_cc_min(1000.0, 300.0, -1.0))


def test_a_curve_that_falls_in_pressure_is_refused():
    with pytest.raises(ValueError, match=r"^curve_kpa_gauge must rise from point to point$"):
        supply.pump_flow_l_h([400.0, 300.0], [255.0, 280.0], 350.0)


def test_no_injectors_are_refused():
    with pytest.raises(ValueError, match=r"^injector_count must be above 0, not 0$"):
        supply.injector_duty(0.01, 750.0, 0, 1000.0)
