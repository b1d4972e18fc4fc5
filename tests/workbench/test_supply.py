"""Fuel supply of a planned pressure against a worked pull."""

import dataclasses

import pytest

from nextpass.measure import Estimate
from nextpass.workbench import SupplyAssumptions, supply_sum


def exactly(value):
    return Estimate(value=value, plus_minus=0.0)


# 3.6 l at 6000 rpm, 220 kPa, 40 °C, filling 0.98: 0.43172 kg/s of air; E60 at lambda 0.82 (arithmetic).
WORKED = SupplyAssumptions(
    filling=exactly(0.98),
    charge_c=exactly(40.0),
    lambda_=exactly(0.82),
    opening_s=exactly(0.0),
    pump_under_load=exactly(1.0),
)


def test_a_worked_pull(car):
    """47.199 g/s, 219.42 l/h, duty 58.05 % of six injectors of 1050 cc/min."""
    pull = supply_sum(car, "E60", 220.0, 6000.0, WORKED)
    assert pull.of("air_flow_kgps").value == pytest.approx(0.431729, rel=2e-5)
    assert pull.of("fuel_flow_kgps").value == pytest.approx(0.047199, rel=4e-5)
    assert pull.of("fuel_flow_l_h").value == pytest.approx(219.42, rel=4e-5)
    assert pull.of("injector_duty").value == pytest.approx(0.5805, abs=6e-5)
    assert pull.of("pump_headroom").value == pytest.approx(1.0 - 219.42 / 510.0, abs=1e-4)


def test_pressure_that_each_part_carries(car):
    """Duty and fuel go with the pressure: 220 x 0.90/0.5805 and 220 x 510/219.42 (arithmetic)."""
    pull = supply_sum(car, "E60", 220.0, 6000.0, WORKED)
    assert pull.of("injector_limit_kpa").value == pytest.approx(220.0 * 0.90 / 0.58046, rel=1e-4)
    assert pull.of("pump_limit_kpa").value == pytest.approx(220.0 * 510.0 / 219.42, rel=1e-4)


def test_at_the_pressure_that_the_injectors_carry_the_duty_is_the_guard(car):
    opening = dataclasses.replace(WORKED, opening_s=exactly(1.0e-3))
    limit_kpa = supply_sum(car, "E60", 220.0, 7200.0, opening).of("injector_limit_kpa").value
    assert supply_sum(car, "E60", limit_kpa, 7200.0, opening).of("injector_duty").value == pytest.approx(0.90, rel=1e-9)


def test_what_is_assumed_widens_the_answer(car):
    usual, known = supply_sum(car, "E60", 220.0), supply_sum(car, "E60", 220.0, assumptions=WORKED)
    assert usual.of("engine_rpm").value == car.engine.rev_limit_rpm
    assert usual.of("injector_duty").plus_minus > 0.03
    assert known.of("injector_duty").plus_minus == 0.0


def test_small_injectors_and_pumps_are_cautioned(car):
    system = dataclasses.replace(car.fuel_system, injector_flow_cc_min=700.0, pumps=car.fuel_system.pumps[:1])
    small = dataclasses.replace(car, fuel_system=system)
    cautions = supply_sum(small, "E60", 240.0).cautions
    assert cautions[0].startswith("Injector duty can reach 1")
    assert cautions[0].endswith(" %, over the guard of 90 %")
    assert cautions[1] == "The pumps can fall short: the rail would sag"


def test_a_pressure_beyond_the_fuels_calibration_is_cautioned(car):
    assert "The car's calibration allows 215 kPa on road98" in supply_sum(car, "road98", 240.0).cautions


def test_a_car_without_pumps_in_its_file_has_no_pump_line(car):
    bare = dataclasses.replace(car, fuel_system=dataclasses.replace(car.fuel_system, pumps=()))
    names = [line.name for line in supply_sum(bare, "E60", 220.0).results]
    assert names == ["injector_duty", "injector_limit_kpa"]


def test_a_fuel_that_the_car_has_not_is_a_fault_of_the_caller(car):
    with pytest.raises(KeyError, match="E85"):
        supply_sum(car, "E85", 220.0)
