"""The gentlest setup of a car, and what it leaves of the power."""

import dataclasses

import numpy as np
import pytest

from nextpass.workbench import other_hands


def test_every_adjuster_that_makes_power_or_heat_goes_to_its_gentlest_value(car, setup):
    hands = other_hands(car, setup)
    assert dict(hands.setup.values) == {
        "launch_rpm": 2200.0,
        "launch_pressure_kpa": 100.0,
        "gear_pressure_cap_kpa": (120.0, 120.0, 120.0, 120.0),
        "shift_rpm": 6000.0,
        "fuel": "E60",
        "charge_spray": False,
    }
    assert hands.changed == ("launch_rpm", "launch_pressure_kpa", "gear_pressure_cap_kpa", "shift_rpm")


def test_each_value_can_be_dialled_in(car, setup):
    for name, value in other_hands(car, setup).setup.values.items():
        adjuster = car.adjusters[name]
        values = value if isinstance(value, tuple) else (value,)
        assert adjuster.kind != "number" or all(adjuster.is_on_step(one) for one in values)


@pytest.mark.parametrize(
    ("name", "cap_kpa", "shift_rpm"), [("power_now_w", 210.0, 6800.0), ("power_then_w", 120.0, 6000.0)]
)
def test_power_follows_the_pressure_less_friction(car, setup, name, cap_kpa, shift_rpm):
    """Affine torque through the friction of Heywood's eq. 13.6 (0.97 + 0.15 n + 0.05 n^2 bar) on 3.6 l, arithmetic."""
    rpm = np.linspace(1500.0, shift_rpm, 5000)
    friction_nm = 1e5 * (0.97 + 0.15 * rpm / 1e3 + 0.05 * (rpm / 1e3) ** 2) * 3.6e-3 / (4.0 * np.pi)
    full_nm = np.interp(rpm, [1500, 3500, 5500, 6500, 7200], [330, 660, 650, 590, 520])
    power_w = ((full_nm + friction_nm) * cap_kpa / 200.0 - friction_nm) * rpm * np.pi / 30.0
    power = other_hands(car, setup).worked.of(name)
    assert power.value == pytest.approx(np.max(power_w), rel=1e-3)
    assert 0.08 < power.plus_minus / power.value < 0.15


def test_own_adjusters_are_named_and_left(car, setup):
    cautions = other_hands(car, setup).worked.cautions
    assert "Left as they are, their effect is not known here: charge_spray" in cautions
    assert "What is left is still more than a stranger expects" in cautions


def test_a_lowest_cap_above_the_weakest_fuel_is_cautioned(car, setup):
    weak = dataclasses.replace(car.fuels["road98"], manifold_pressure_max_kpa=110.0)
    cautions = other_hands(dataclasses.replace(car, fuels={**car.fuels, "road98": weak}), setup).worked.cautions
    assert cautions[0] == (
        "Even 120 kPa, the lowest cap that can be dialled in, is above what the weakest fuel allows: "
        "say which fuel must go in"
    )


def test_the_checklist_goes_before_and_after(car, setup):
    hands = other_hands(car, setup)
    assert hands.before[0] == "Write the present setup down, or keep its card"
    assert hands.after[0] == "Read the trouble codes before anything is cleared"
    assert hands.after[-1] == "Only then set the car back, and start below the last clean pass"
