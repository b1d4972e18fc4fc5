"""A sound car raises no doubt; each slip that stays inside the ranges of the file raises its own."""

from dataclasses import replace

import pytest

from nextpass.car import Fuel, Pump, doubts
from nextpass.files import CarAnswers, new_car


@pytest.fixture(scope="module")
def car():
    """The usual car of three litres: 600 N m at 200 kPa, and 522 N m at 6300 rpm, which is 344 kW."""
    return new_car(CarAnswers(name="Ashby saloon"), ())[0]


def changed(car, part, **values):
    return replace(car, **{part: replace(getattr(car, part), **values)})


def with_adjuster(car, name, **values):
    return replace(car, adjusters={**car.adjusters, name: replace(car.adjusters[name], **values)})


def keys(car):
    return [(doubt.key, doubt.what.key) for doubt in doubts(car)]


def test_a_usual_car_raises_no_doubt(car):
    assert doubts(car) == ()


# The slip in one figure of the file, the key that the doubt names, and which doubt it is.
SLIPS = [
    ("chassis", {"cg_height_m": 1.0}, "chassis.cg_height_m", "cg_height"),
    ("chassis", {"mass_kg": 320.0}, "chassis.mass_kg", "power_to_mass"),
    ("driveline", {"gear_ratios": (4.0, 2.47, 1.0, 0.8)}, "driveline.gear_ratios", "gear_step"),
    ("driveline", {"gear_ratios": (4.0, 2.47, 1.98, 1.34, 1.03, 0.8)}, "driveline.gear_ratios", "gear_growth"),
    ("driveline", {"final_drive": 1.2}, "driveline.final_drive", "first_gear_speed"),
    ("driveline", {"final_drive": 9.0}, "driveline.final_drive", "top_gear_speed"),
    ("clutch", {"torque_capacity_nm": (800.0, 500.0)}, "clutch.torque_capacity_nm", "clutch_weak"),
    ("clutch", {"torque_capacity_nm": (5000.0,)}, "clutch.torque_capacity_nm", "clutch_strong"),
    ("engine", {"displacement_l": 1.8}, "engine.full_load_torque_nm", "torque_high"),
    ("engine", {"reference_pressure_kpa": 500.0}, "engine.full_load_torque_nm", "torque_low"),
    ("engine", {"cylinders": 2}, "engine.displacement_l", "cylinder_size"),
    ("engine", {"idle_rpm": 2500.0}, "engine.idle_rpm", "idle_above_launch"),
    ("engine", {"boost_threshold_rpm": 6500.0}, "engine.boost_threshold_rpm", "threshold_high"),
    (
        "engine",
        {"full_load_torque_nm": ((1500.0, 300.0), (4500.0, 600.0), (6000.0, 550.0))},
        "engine.full_load_torque_nm",
        "curve_ends_early",
    ),
    (
        "engine",
        {"full_load_torque_nm": ((3000.0, 500.0), (4500.0, 600.0), (7000.0, 456.0))},
        "engine.full_load_torque_nm",
        "curve_starts_late",
    ),
    ("fuel_system", {"injector_count": 7}, "fuel_system.injector_count", "injector_count"),
    ("fuel_system", {"injector_flow_cc_min": 300.0}, "fuel_system.injector_flow_cc_min", "injectors_small"),
    ("fuel_system", {"injector_flow_cc_min": 6000.0}, "fuel_system.injector_flow_cc_min", "injectors_large"),
    ("fuel_system", {"pumps": (Pump(name="one", drive="duty", flow_l_h=90.0),)}, "fuel_system.pumps", "pumps_small"),
    ("guards", {"wot_lambda_max": 1.02}, "guards.wot_lambda_max", "guard_lean"),
    ("guards", {"injector_duty": 0.98}, "guards.injector_duty_pct", "guard_duty"),
    ("guards", {"pressure_step_kpa": 100.0}, "guards.pressure_step_kpa", "guard_step"),
]


@pytest.mark.parametrize(("part", "values", "key", "name"), SLIPS, ids=[name for *_, name in SLIPS])
def test_a_slip_raises_its_doubt(car, part, values, key, name):
    assert (key, f"doubt.{name}.what") in keys(changed(car, part, **values))


def test_fuels_and_caps_that_contradict_are_doubted(car):
    odd = Fuel(name="E85", ethanol=0.85, octane_ron=95.0, manifold_pressure_max_kpa=280.0)
    assert keys(replace(car, fuels={**car.fuels, "E85": odd})) == [
        ("fuels.E85", "doubt.fuel_never_chosen.what"),
        ("fuels.E85.manifold_pressure_max_kpa", "doubt.fuel_beyond_cap.what"),
        ("fuels.E85.octane_ron", "doubt.octane_low.what"),
    ]


def test_a_share_of_ethanol_written_for_a_percentage_is_doubted(car):
    fuels = {"road98": replace(car.fuels["road98"], ethanol=0.006)}
    (doubt,) = doubts(replace(car, fuels=fuels))
    assert (doubt.key, doubt.what) == ("fuels.road98.ethanol_pct", "road98 has 0.6 % ethanol")
    assert doubt.remedy == "write ethanol_pct = 60 if the figure is a share of 1"


def test_a_doubt_says_both_figures_and_what_to_check(car):
    (doubt,) = doubts(changed(car, "clutch", torque_capacity_nm=(550.0,)))
    assert (doubt.key, doubt.what, doubt.remedy) == (
        "clutch.torque_capacity_nm",
        "the clutch holds 550 N m, less than the 600 N m that the engine makes at 200 kPa",
        "check both; if they are right the clutch will slip at the peak of torque",
    )


def test_fuel_need_follows_the_published_sum(car):
    # 450 kW at 330 g/(kW h) of 745 kg/m3 petrol is 199.33 l/h; ours is 5 % ethanol, which asks for about 1.8 % more.
    engine = replace(car.engine, full_load_torque_nm=((1500.0, 300.0), (6000.0, 450_000 / 628.3185), (7000.0, 456.0)))
    small = changed(replace(car, engine=engine), "fuel_system", injector_flow_cc_min=400.0)
    doubt = next(doubt for doubt in doubts(small) if doubt.key == "fuel_system.injector_flow_cc_min")
    assert doubt.what.values["needed"] == pytest.approx(199.33 * 1.018, rel=0.005)


def test_a_clutch_that_holds_the_highest_pressure_is_no_doubt(car):
    strong = with_adjuster(changed(car, "clutch", torque_capacity_nm=(2400.0,)), "gear_pressure_cap_kpa", maximum=300.0)
    fuels = {name: replace(fuel, manifold_pressure_max_kpa=300.0) for name, fuel in car.fuels.items()}
    assert keys(replace(strong, fuels=fuels)) == []
