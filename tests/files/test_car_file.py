"""The contract's example becomes the car that it describes; what it leaves open is assumed, and said."""

from pathlib import Path

import pytest

from nextpass.car import DEFAULTS, Adjuster, Fuel, Guards, Pump
from nextpass.errors import CarFileError
from nextpass.files import examine_car, read_car
from nextpass.files.car_keys import CAR_TABLES, MODELLED_ADJUSTERS, ONE_FUEL

# Every line of the example that a default can stand for.
OPTIONAL = (
    "cg_height_m",
    "front_weight_share",
    "drag_area_m2",
    "rolling_resistance",
    "peak_friction",
    "peak_slip",
    "efficiency",
    "shift_time_s",
    "engine_inertia_kgm2",
    "wheel_inertia_kgm2",
    "heat_capacity_j_per_k",
    "idle_rpm",
    "boost_threshold_rpm",
    "boost_rise_time_s",
    "rated_pressure_kpa",
    "tank_l",
)


def test_the_contracts_example_reads_in_the_units_of_the_program(contract_car):
    assert contract_car.name == "Harrow wagon"
    assert contract_car.assumed == ()
    assert contract_car.chassis.mass_kg == 1795.0
    assert contract_car.tyres.rolling_radius_m == 0.347
    assert contract_car.driveline.gear_ratios == (4.06, 2.30, 1.59, 1.25, 1.00, 0.80)
    assert contract_car.clutch.torque_capacity_nm == (980.0,)
    assert contract_car.engine.cylinders == 6
    assert contract_car.engine.full_load_torque_nm[2] == (3500.0, 660.0)
    assert contract_car.fuel_system.pumps == (
        Pump(name="main", drive="duty", flow_l_h=255.0),
        Pump(name="second", drive="on_off", flow_l_h=255.0),
    )
    assert contract_car.fuels["E60"] == Fuel(
        name="E60", ethanol=0.60, octane_ron=106.0, manifold_pressure_max_kpa=260.0
    )
    assert contract_car.guards == Guards(
        injector_duty=0.90,
        knock_retard_deg=3.0,
        wot_lambda_max=0.90,
        clutch_energy_j=260_000.0,
        gearbox_oil_c=120.0,
        charge_air_c=70.0,
        rail_pressure_drop=0.10,
        pressure_step_kpa=40.0,
    )
    assert list(contract_car.adjusters) == [
        "launch_rpm",
        "launch_pressure_kpa",
        "gear_pressure_cap_kpa",
        "shift_rpm",
        "fuel",
        "charge_spray",
    ]
    assert contract_car.adjusters["gear_pressure_cap_kpa"] == Adjuster(
        name="gear_pressure_cap_kpa", kind="number", minimum=120.0, maximum=260.0, step=5.0, per_gear=True
    )
    assert contract_car.adjusters["fuel"].values == ("road98", "E60")


def test_what_a_file_leaves_open_is_assumed_and_said(write, car_example):
    lines = [line for line in car_example.split("\n") if not line.startswith(OPTIONAL)]
    without_guards = "\n".join(lines).split("[guards]")[0] + "[adjusters" + car_example.split("[adjusters", 1)[1]
    car = read_car(write("car.toml", without_guards))
    assert {item.key for item in car.assumed} == set(DEFAULTS)
    assert [(item.shown, item.origin) for item in car.assumed if item.key == "guards.pressure_step_kpa"] == [
        ("20 kPa", "0.2 bar from pass to pass, the cautious end of common practice")
    ]
    assert car.guards.injector_duty == 0.90
    assert car.guards.clutch_energy_j == 240_000.0
    assert car.chassis.cg_height_m == 0.50


def test_a_tyre_size_stands_for_the_radius_and_is_said(write, car_example):
    text = car_example.replace("rolling_radius_m = 0.347          # or", "size = '285/35R20' #")
    car = read_car(write("car.toml", text))
    # 285/35R20: free radius 353.75 mm by arithmetic; ETRTO rolling radius 343.4 mm (memory).
    assert car.tyres.rolling_radius_m == pytest.approx(0.3434, abs=5e-5)
    assert car.tyres.size == "285/35R20"
    assert [(item.key, item.shown, item.origin) for item in car.assumed] == [
        (
            "tyres.rolling_radius_m",
            "0.3434 m",
            "0.97 of the free radius of 285/35R20 (ETRTO rolling circumference, memory)",
        )
    ]


@pytest.mark.parametrize("gears", range(4, 11))
def test_boxes_of_four_to_ten_gears_are_taken(write, car_example, gears):
    ratios = [round(4.7 * 0.8**gear, 3) for gear in range(gears)]
    car = read_car(write("car.toml", car_example.replace("[4.06, 2.30, 1.59, 1.25, 1.00, 0.80]", f"{ratios}")))
    assert car.gear_count == gears


@pytest.mark.parametrize("share", [0, 0.4, 1])
def test_any_axle_may_be_driven(write, car_example, share):
    car = read_car(write("car.toml", car_example.replace("front_drive_share = 0.40", f"front_drive_share = {share}")))
    assert car.driveline.front_drive_share == share


def test_two_clutch_packs_may_hold_differently(write, car_example):
    car = read_car(write("car.toml", car_example.replace("= 980 ", "= [970, 990] ")))
    assert car.clutch.torque_capacity_nm == (970.0, 990.0)


def test_pumps_may_stand_in_one_line_each(write, car_example):
    before, after = car_example.split("[[fuel_system.pumps]]", 1)
    after = after.split("[fuels.road98]")[1]
    pumps = (
        'pumps = [{ name = "main", drive = "duty", flow_l_h = 340 }, { name = "b", drive = "on_off", flow_l_h = 0 }]'
    )
    car = read_car(write("car.toml", f"{before}{pumps}\n[fuels.road98]{after}"))
    assert [pump.flow_l_h for pump in car.fuel_system.pumps] == [340.0, 0.0]


def test_an_adjuster_that_cannot_be_moved_is_taken(write, car_example):
    text = car_example.replace("min = 100\nmax = 190", "min = 100\nmax = 100")
    adjuster = read_car(write("car.toml", text)).adjusters["launch_pressure_kpa"]
    assert (adjuster.minimum, adjuster.maximum) == (100.0, 100.0)
    assert adjuster.is_on_step(100.0)


def test_thresholds_are_kept_by_name(write, car_example):
    text = f"{car_example}\n[thresholds]\nslip_ratio = 0.25\n"
    assert read_car(write("car.toml", text), ["slip_ratio"]).thresholds == {"slip_ratio": 0.25}


@pytest.mark.parametrize(
    ("name", "remedy"),
    [("slip_ratoi", "did you mean slip_ratio?"), ("heat", "known thresholds are lean_lambda, slip_ratio")],
)
def test_a_threshold_of_no_finding_is_refused(write, car_example, name, remedy):
    text = f"{car_example}\n[thresholds]\n{name} = 0.25\n"
    with pytest.raises(CarFileError) as refusal:
        read_car(write("car.toml", text), ["slip_ratio", "lean_lambda"])
    assert str(refusal.value) == f"car.toml:102: thresholds.{name} is not a threshold of any finding; {remedy}"


def test_the_first_fault_is_raised_and_all_can_be_had(write, car_example):
    text = car_example.replace("mass_kg = 1795", "mass_kg = 17").replace("tank_l = 70", "tank_l = 'full'")
    file = write("car.toml", text)
    car, faults = examine_car(file)
    assert car is None
    assert [str(fault) for fault in faults] == [
        "car.toml:5: chassis.mass_kg: 17 kg is outside 300 to 5000 kg (a car with its driver); write a value from 300 "
        "to 5000 kg",
        'car.toml:44: fuel_system.tank_l: "full" is text, not a number; write a number, in l, such as 70',
    ]
    with pytest.raises(CarFileError, match=r"chassis\.mass_kg"):
        read_car(file)


def every_key():
    return [(table.name, key) for table in (*CAR_TABLES, ONE_FUEL) for key in table.keys]


@pytest.mark.parametrize(("table", "key"), every_key(), ids=lambda value: getattr(value, "name", value))
def test_each_key_says_what_it_means_and_why_it_is_bounded(table, key):
    assert key.meaning
    if key.kind in ("number", "whole"):
        assert key.low < key.high
        assert key.bound
        assert key.low <= key.example <= key.high


def test_each_default_lies_in_the_range_of_its_key_and_has_an_origin():
    keys = {f"{table}.{key.name}": key for table, key in every_key()}
    for path, default in DEFAULTS.items():
        assert keys[path].low <= default.value <= keys[path].high, path
        assert default.unit == keys[path].unit, path
        assert default.origin


def test_each_modelled_adjuster_is_in_the_contracts_example(contract_car):
    assert set(MODELLED_ADJUSTERS) == set(contract_car.adjusters) - {"charge_spray"}


def test_a_car_file_is_found_from_any_folder(write, car_example, tmp_path):
    write("garage/car.toml", car_example)
    assert read_car(str(tmp_path / "garage" / "car.toml")) == read_car(Path("garage/car.toml"))
