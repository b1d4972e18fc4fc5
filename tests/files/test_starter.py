"""A few answers make a car file that reads without fault, and marks what nobody has confirmed."""

import pytest

from nextpass.car import doubts
from nextpass.errors import CarFileError
from nextpass.files import CarAnswers, car_text, new_car, read_car

FUEL_FORMS = "write a name such as E85 or road98, NAME:MAX_KPA, or NAME:MAX_KPA:ETHANOL_PCT:RON"


def test_a_name_alone_makes_a_sound_and_plausible_car(write):
    car, unsure = new_car(CarAnswers(name="Ashby saloon"), ["name"])
    assert read_car(write("car.toml", car_text(car, unsure))) == car
    assert doubts(car) == ()
    assert "chassis.mass_kg" in unsure


def test_what_was_said_is_not_marked(write):
    car, unsure = new_car(CarAnswers(name="Ashby saloon", mass_kg=1520, drive="rear"), ["name", "mass_kg", "drive"])
    text = car_text(car, unsure)
    assert "mass_kg = 1520                    # as raced: driver, fuel, everything [kg]\n" in text
    assert "front_drive_share = 0 " in text
    assert "final_drive = 3.7                 # check: final drive ratio\n" in text
    assert not {"chassis.mass_kg", "driveline.front_drive_share"} & unsure


def test_an_all_wheel_drive_does_not_say_how_it_shares():
    _, unsure = new_car(CarAnswers(name="Ashby saloon", drive="all"), ["name", "drive"])
    assert "driveline.front_drive_share" in unsure


@pytest.mark.parametrize("gears", range(4, 11))
def test_a_number_of_gears_makes_a_plausible_box(gears):
    car, unsure = new_car(CarAnswers(name="Ashby saloon", gears=(gears,)), ["name", "gears"])
    assert car.gear_count == gears
    assert [doubt.key for doubt in doubts(car)] == []
    assert "driveline.gear_ratios" in unsure


@pytest.mark.parametrize(
    ("said", "ethanol", "octane_ron", "most_kpa"),
    [
        ("E85", 0.85, 106.0, 200.0),
        ("E60:260", 0.60, 106.0, 260.0),
        ("road98:215", 0.05, 98.0, 215.0),
        ("Zapfsäule:215:4:102", 0.04, 102.0, 215.0),
    ],
)
def test_a_fuel_may_be_named_or_described(said, ethanol, octane_ron, most_kpa):
    car, _ = new_car(CarAnswers(name="Ashby saloon", fuels=(said,)), ["name", "fuels"])
    fuel = car.fuels[said.split(":")[0]]
    assert (fuel.ethanol, fuel.octane_ron, fuel.manifold_pressure_max_kpa) == (ethanol, octane_ron, most_kpa)
    assert car.adjusters["gear_pressure_cap_kpa"].maximum == most_kpa


@pytest.mark.parametrize(
    ("answers", "message"),
    [
        (
            {"mass_kg": 17.0},
            "chassis.mass_kg: 17 kg is outside 300 to 5000 kg (a car with its driver); write a value from 300 to "
            "5000 kg",
        ),
        ({"fuels": ("diesel",)}, f'fuel: "diesel" does not say what is in the fuel; {FUEL_FORMS}'),
        ({"fuels": ("E85:much",)}, f'fuel: "E85:much" holds a figure that is not a number; {FUEL_FORMS}'),
        ({"fuels": ("E85:inf",)}, f'fuel: "E85:inf" holds a figure that is not a number; {FUEL_FORMS}'),
        ({"rev_limit_rpm": float("nan")}, "rev_limit_rpm: nan is not a number that can be used; write a plain number"),
        (
            {"gears": (3.0,)},
            "driveline.gear_ratios: holds 3 values, not 4 to 10; write for example gear_ratios = [4.06, 2.3, 1.59, "
            "1.25, 1, 0.8]",
        ),
        ({"name": " "}, 'car.name: holds no text; write for example name = "Harrow wagon"'),
        (
            {"pressure_kpa": 2.0},
            "engine.reference_pressure_kpa: 2 kPa is outside 60 to 600 kPa (absolute manifold pressures); did you mean "
            "200 (2 bar)?",
        ),
    ],
)
def test_an_impossible_answer_is_refused(answers, message):
    with pytest.raises(CarFileError) as refusal:
        new_car(CarAnswers(**{"name": "Ashby saloon", **answers}), answers)
    assert str(refusal.value) == message
