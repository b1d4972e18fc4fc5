"""Air flow, torque and friction against CoolProp and arithmetic of the published correlations."""

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from nextpass.physics import engine


def test_air_flow_of_a_worked_engine():
    """Arithmetic with R = 287.05: 3.6 l, 6000 rpm, 0.98, 220 kPa, 40 °C: 0.431729 kg/s; ours has R = 287.0529."""
    assert engine.air_flow_kgps(0.98, 3.6, 6000.0, 220.0, 40.0) == pytest.approx(0.431729, rel=2e-5)


def test_air_flow_agrees_with_real_air():
    """CoolProp's density of air at the manifold: compressibility 0.05 %."""
    density = PropsSI("D", "T", 313.15, "P", 220e3, "Air")
    expected = 0.98 * 3.6e-3 * 6000.0 / 120.0 * density
    assert engine.air_flow_kgps(0.98, 3.6, 6000.0, 220.0, 40.0) == pytest.approx(expected, rel=6e-4)


@pytest.mark.parametrize(
    ("rpm", "bar", "torque_nm"), [(1000, 1.17, 33.52), (4000, 2.37, 67.90), (6000, 3.67, 105.14), (7000, 4.47, 128.06)]
)
def test_motoring_friction_of_the_published_polynomial(rpm, bar, torque_nm):
    """Heywood (1988), eq. 13.6 (memory), and its torque on 3.6 l."""
    friction_kpa = engine.motoring_friction_kpa(rpm)
    assert friction_kpa == pytest.approx(100.0 * bar, abs=1e-9)
    assert engine.torque_nm(friction_kpa, 3.6) == pytest.approx(torque_nm, abs=6e-3)


@pytest.mark.parametrize(("rpm", "bar"), [(1000, 1.0385), (3000, 1.5516), (5000, 2.1127), (7000, 2.7218)])
def test_fired_friction_of_the_published_form(rpm, bar):
    """Chen and Flynn, SAE 650733, typical coefficients (memory): 80 bar peak, 77.5 mm stroke."""
    speed = engine.mean_piston_speed_mps(0.0775, rpm)
    assert engine.fired_friction_kpa(8000.0, speed) == pytest.approx(100.0 * bar, abs=6e-3)


def test_mean_piston_speed():
    """Arithmetic: 2 x 77.5 mm x 7000/60."""
    assert engine.mean_piston_speed_mps(0.0775, 7000.0) == pytest.approx(18.083, abs=5e-4)


def test_torque_as_power_and_as_pressure():
    """Arithmetic: 650 N m at 6000 rpm is 408.4 kW, on 3.6 l 22.69 bar."""
    assert engine.power_w(650.0, 6000.0) == pytest.approx(408.4e3, abs=50.0)
    assert engine.mean_effective_pressure_kpa(650.0, 3.6) == pytest.approx(2269.0, abs=0.5)


@given(torque_nm=st.floats(-200.0, 1500.0), displacement_l=st.floats(0.6, 9.0))
def test_torque_comes_back_from_its_pressure(torque_nm, displacement_l):
    pressure_kpa = engine.mean_effective_pressure_kpa(torque_nm, displacement_l)
    assert engine.torque_nm(pressure_kpa, displacement_l) == pytest.approx(torque_nm, rel=1e-12, abs=1e-9)


@given(pressure_kpa=st.floats(20.0, 350.0), charge_c=st.floats(-20.0, 120.0))
def test_cooler_denser_charge_is_more_air(pressure_kpa, charge_c):
    flow = engine.air_flow_kgps(0.95, 3.6, 5000.0, pressure_kpa, charge_c)
    assert engine.air_flow_kgps(0.95, 3.6, 5000.0, pressure_kpa + 1.0, charge_c) > flow
    assert engine.air_flow_kgps(0.95, 3.6, 5000.0, pressure_kpa, charge_c + 1.0) < flow


@given(slope=st.floats(1.0, 6.0), at_zero_nm=st.floats(-200.0, 0.0))
def test_two_pulls_give_the_line_of_torque(slope, at_zero_nm):
    pressures = np.array([160.0, 220.0])
    assert engine.torque_line(pressures, at_zero_nm + slope * pressures) == pytest.approx((slope, at_zero_nm), abs=1e-9)


def test_one_pressure_gives_no_line():
    with pytest.raises(ValueError, match=r"^a line of torque over pressure needs pulls at two different pressures$"):
        engine.torque_line([200.0, 200.0], [600.0, 610.0])


def test_friction_is_not_known_beyond_its_data():
    assert np.isnan(engine.motoring_friction_kpa([0.0, 9000.0])).all()


def test_absolute_zero_is_refused():
    with pytest.raises(ValueError, match=r"^charge temperature \[K\] must be above 0, not -0\.85$"):
        engine.air_flow_kgps(0.95, 3.6, 5000.0, 200.0, -274.0)
