"""A value can be dialled in or not, and then the message says what can."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nextpass.car import Adjuster, checked_setup, setting, setting_fault
from nextpass.errors import SettingError
from nextpass.files import CarAnswers, new_car

LAUNCH = Adjuster(name="launch_rpm", kind="number", minimum=2200.0, maximum=5200.0, step=100.0)
CAP = Adjuster(name="gear_pressure_cap_kpa", kind="number", minimum=120.0, maximum=260.0, step=2.5, per_gear=True)
FUEL = Adjuster(name="fuel", kind="choice", values=("road98", "E60"))
SPRAY = Adjuster(name="charge_spray", kind="switch")


@pytest.mark.parametrize(
    ("adjuster", "value"),
    [(LAUNCH, 2200), (LAUNCH, 5200.0), (LAUNCH, 3400), (CAP, [120, 122.5, 260, 260]), (FUEL, "E60"), (SPRAY, True)],
)
def test_what_can_be_dialled_in_has_no_fault(adjuster, value):
    assert setting_fault(adjuster, value, 4) is None


@pytest.mark.parametrize(
    ("adjuster", "value", "what", "remedy", "gear"),
    [
        (LAUNCH, 3450, "3450 is not on the step of 100 from 2200", "write 3400 or 3500", None),
        (LAUNCH, 5201, "5201 is outside the adjuster's 2200 to 5200", "the nearest is 5200", None),
        (LAUNCH, 10**400, "1" + "0" * 39 + "... is not a number", "write a number from 2200 to 5200", None),
        (LAUNCH, float("inf"), "Infinity is not a number", "write a number from 2200 to 5200", None),
        (LAUNCH, True, "true is not a number", "write a number from 2200 to 5200", None),
        (LAUNCH, None, "null is not a number", "write a number from 2200 to 5200", None),
        (CAP, [120, 121, 260, 260], "gear 2: 121 is not on the step of 2.5 from 120", "write 120 or 122.5", 2),
        (CAP, [120, 120, 120], "holds 3 values for 4 gears", "write 4 values, first gear first", None),
        (CAP, 200, "200 is not one value for each of 4 gears", "write [200, 200, 200, 200]", None),
        (CAP, "high", '"high" is not one value for each of 4 gears', "write 4 values, first gear first", None),
        (FUEL, "E85", '"E85" is not a fuel of this car', 'write "road98" or "E60"', None),
        (SPRAY, 1, "1 is neither true nor false", "write true or false", None),
    ],
)
def test_what_cannot_be_dialled_in_says_what_can(adjuster, value, what, remedy, gear):
    fault = setting_fault(adjuster, value, 4)
    assert fault is not None
    assert (fault.what, fault.remedy, fault.gear) == (what, remedy, gear)


@given(
    low=st.integers(-1000, 1000),
    steps=st.integers(0, 60),
    step=st.sampled_from((0.05, 0.1, 0.25, 1.0, 2.5, 50.0)),
    value=st.floats(-1e6, 1e6),
)
def test_the_nearest_step_can_always_be_dialled_in(low, steps, step, value):
    adjuster = Adjuster(name="own", kind="number", minimum=low, maximum=low + steps * step, step=step)
    assert setting_fault(adjuster, adjuster.on_step(value), 6) is None


@given(steps=st.integers(0, 60), step=st.sampled_from((0.05, 0.1, 2.5, 50.0)))
def test_a_step_reached_by_sums_counts_as_the_step(steps, step):
    adjuster = Adjuster(name="own", kind="number", minimum=0.3, maximum=0.3 + 60 * step, step=step)
    summed = 0.3
    for _ in range(steps):
        summed += step
    assert setting_fault(adjuster, min(summed, adjuster.maximum), 6) is None
    assert setting(adjuster, summed) == pytest.approx(0.3 + steps * step, abs=1e-9)


@pytest.fixture(scope="module")
def car():
    return new_car(CarAnswers(name="Ashby saloon", gears=(4,), fuels=("E60:240",)), ())[0]


GOOD = {
    "launch_rpm": 3000,
    "launch_pressure_kpa": 120,
    "gear_pressure_cap_kpa": (150, 160, 170, 180),
    "shift_rpm": 6800,
    "fuel": "E60",
}


def test_a_checked_setup_holds_floats(car):
    setup = checked_setup(car, GOOD)
    assert setup.launch_rpm == 3000.0
    assert setup.gear_pressure_cap_kpa == (150.0, 160.0, 170.0, 180.0)
    assert all(isinstance(cap, float) for cap in setup.gear_pressure_cap_kpa)


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"launch_rpm": 3050}, "launch_rpm: 3050 is not on the step of 100 from 2000; write 3000 or 3100"),
        (
            {"gear_pressure_cap_kpa": [150, 160, 170, 183]},
            "gear_pressure_cap_kpa: gear 4: 183 is not on the step of 5 from 100; write 180 or 185",
        ),
        (
            {"nitrous": True},
            "nitrous: is not an adjuster of this car; its adjusters are launch_rpm, launch_pressure_kpa, "
            "gear_pressure_cap_kpa, shift_rpm, fuel",
        ),
    ],
)
def test_a_setup_with_a_fault_is_refused(car, changed, message):
    with pytest.raises(SettingError) as refusal:
        checked_setup(car, {**GOOD, **changed})
    assert str(refusal.value) == message


def test_a_setup_that_lacks_an_adjuster_is_refused(car):
    with pytest.raises(SettingError) as refusal:
        checked_setup(car, {name: value for name, value in GOOD.items() if name != "fuel"})
    assert str(refusal.value) == "fuel: has no value; give each adjuster one"
