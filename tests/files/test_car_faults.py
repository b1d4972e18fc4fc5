"""Every kind of fault in a car file is one message: where, what is wrong, what to write instead.

Each case is the contract's example with one piece replaced; the message is asserted whole, after the file's name.
"""

import pytest

from nextpass.errors import CarFileError
from nextpass.files import examine_car, read_car

FAULTS = [
    (
        "injector_duty_pct = 90",
        "injector_duty_pc = 90",
        "64: guards.injector_duty_pc is not a key of [guards]; did you mean injector_duty_pct?",
    ),
    (
        "mass_kg = 1795 ",
        "mass_kgg = 1795 ",
        "5: chassis.mass_kgg is not a key of [chassis]; did you mean mass_kg?",
    ),
    (
        "mass_kg = 1795 ",
        "",
        "4: chassis.mass_kg is missing from [chassis]; write for example mass_kg = 1795 (as "
        "raced: driver, fuel, everything [kg])",
    ),
    (
        "[clutch]",
        "[cluch]",
        "26: [cluch] is not a table of a car file; did you mean [clutch]?",
    ),
    (
        "mass_kg = 1795 ",
        'mass_kg = "1795" ',
        '5: chassis.mass_kg: "1795" is text, not a number; write mass_kg = 1795, without quotation marks',
    ),
    (
        "mass_kg = 1795 ",
        'mass_kg = "1795,5" ',
        '5: chassis.mass_kg: "1795,5" is text, not a number; write mass_kg = 1795.5, without quotation marks',
    ),
    (
        "mass_kg = 1795 ",
        'mass_kg = "heavy" ',
        '5: chassis.mass_kg: "heavy" is text, not a number; write a number, in kg, such as 1795',
    ),
    (
        "mass_kg = 1795 ",
        "mass_kg = true ",
        "5: chassis.mass_kg: true is a switch value, not a number; write a number, in kg, such as 1795",
    ),
    (
        "mass_kg = 1795 ",
        "mass_kg = nan ",
        "5: chassis.mass_kg: nan is not a number that can be used; write a plain number in kg",
    ),
    (
        "mass_kg = 1795 ",
        "mass_kg = inf ",
        "5: chassis.mass_kg: inf is not a number that can be used; write a plain number in kg",
    ),
    (
        "mass_kg = 1795 ",
        "mass_kg = [1795] ",
        "5: chassis.mass_kg: [1795] is a list, not a number; write a number, in kg, such as 1795",
    ),
    (
        "mass_kg = 1795 ",
        "mass_kg = 2026-05-02 ",
        "5: chassis.mass_kg: 2026-05-02 is a date or a time alone, not a number; write a number, in kg, such as 1795",
    ),
    (
        "mass_kg = 1795 ",
        "mass_kg = 17950 ",
        "5: chassis.mass_kg: 17950 kg is outside 300 to 5000 kg (a car with its driver); write a "
        "value from 300 to 5000 kg",
    ),
    (
        "front_weight_share = 0.54",
        "front_weight_share = 54",
        "8: chassis.front_weight_share: 54 is outside 0.2 to 0.8 (a share of 1, not of 100); did you mean 0.54 (54 %)?",
    ),
    (
        "wheelbase_m = 2.78",
        "wheelbase_m = 2780",
        "6: chassis.wheelbase_m: 2780 m is outside 1.5 to 4.5 m (cars on four wheels); did you mean 2.78 (2780 mm)?",
    ),
    (
        "displacement_l = 3.6",
        "displacement_l = 3600",
        "31: engine.displacement_l: 3600 l is outside 0.3 to 12 l (engines of cars); did you mean 3.6 (3600 cm3)?",
    ),
    (
        "reference_pressure_kpa = 200",
        "reference_pressure_kpa = 2.0",
        "35: engine.reference_pressure_kpa: 2 kPa is outside 60 to 600 kPa (absolute manifold "
        "pressures); did you mean 200 (2 bar)?",
    ),
    (
        "shift_time_s = 0.12",
        "shift_time_s = 120",
        "22: driveline.shift_time_s: 120 s is outside 0 to 2 s (seamless to slow); did you mean 0.12 (120 ms)?",
    ),
    (
        "ethanol_pct = 5",
        "ethanol_pct = 105",
        "55: fuels.road98.ethanol_pct: 105 % is outside 0 to 100 % (a share of the volume); "
        "write a value from 0 to 100 %",
    ),
    (
        "injector_duty_pct = 90",
        "injector_duty_pct = 0.9",
        "64: guards.injector_duty_pct: 0.9 % is outside 20 to 100 % (at 100 % the injector never "
        "closes); did you mean 90 (the share 0.9)?",
    ),
    (
        "cylinders = 6",
        "cylinders = 6.5",
        "32: engine.cylinders: 6.5 is not a whole number; write 6 or 7",
    ),
    (
        "1.59, 1.25",
        "1.25, 1.59",
        "18: driveline.gear_ratios: gear 4 has 1.59, not below the 1.25 of gear 3; write the "
        "ratios from first gear up, each lower than the one before",
    ),
    (
        "[4.06, 2.30, 1.59, 1.25, 1.00, 0.80]",
        "[4.06, 2.30, 1.59]",
        "18: driveline.gear_ratios: holds 3 values, not 4 to 10; write for example gear_ratios = "
        "[4.06, 2.3, 1.59, 1.25, 1, 0.8]",
    ),
    (
        "[4.06, 2.30, 1.59, 1.25, 1.00, 0.80]",
        "4.06",
        "18: driveline.gear_ratios: 4.06 is a number, not a list; write for example gear_ratios "
        "= [4.06, 2.3, 1.59, 1.25, 1, 0.8]",
    ),
    (
        "2.30, 1.59",
        '"2.30", 1.59',
        '18: driveline.gear_ratios #2: "2.30" is text, not a number; write 2.3, without quotation marks',
    ),
    (
        "[3500, 660]",
        "[2500, 660]",
        "36: engine.full_load_torque_nm #3: 2500 rpm does not lie above the 2500 rpm before it; "
        "write the points in rising rpm",
    ),
    (
        "[3500, 660]",
        "[3500]",
        "36: engine.full_load_torque_nm #3: [3500] is a list, not a pair; write [rpm, value], such as [4500, 680]",
    ),
    (
        "[3500, 660]",
        "3500",
        "36: engine.full_load_torque_nm #3: 3500 is a number, not a pair; write [rpm, value], such as [4500, 680]",
    ),
    (
        "[3500, 660]",
        '[3500, "660"]',
        '36: engine.full_load_torque_nm #3 #2: "660" is text, not a number; write 660, without quotation marks',
    ),
    (
        "torque_capacity_nm = 980",
        "torque_capacity_nm = [970, 980, 990]",
        "27: clutch.torque_capacity_nm: holds 3 values, not 1 to 2; write for example torque_capacity_nm = 980",
    ),
    (
        "front_drive_share = 0.40",
        "front_drive_share = 1.2",
        "21: driveline.front_drive_share: 1.2 is outside 0 to 1 (0 is rear drive, 1 front "
        "drive); write a value from 0 to 1",
    ),
    (
        'drive = "on_off"',
        'drive = "onoff"',
        '51: fuel_system.pumps #2.drive: "onoff" is text, not one of duty, on_off; did you mean "on_off"?',
    ),
    (
        'drive = "on_off"',
        "drive = 1",
        '51: fuel_system.pumps #2.drive: 1 is a number, not one of duty, on_off; write one of "duty", "on_off"',
    ),
    (
        "flow_l_h = 255\n\n[fuels",
        "[fuels",
        "49: fuel_system.pumps #2.flow_l_h is missing from [fuel_system.pumps #2]; write for "
        "example flow_l_h = 255 (at the rated pressure and running voltage; 0 where none is "
        "fitted [l/h])",
    ),
    (
        'name = "second"\n',
        "",
        "49: fuel_system.pumps #2.name is missing from [fuel_system.pumps #2]; write for example "
        'name = "main" (your name for it)',
    ),
    (
        "rolling_radius_m = 0.347",
        "",
        "12: tyres.rolling_radius_m is missing from [tyres]; write rolling_radius_m = 0.347 with "
        'the car\'s own value [m], or size = "285/35R20"',
    ),
    (
        "rolling_radius_m = 0.347",
        'size = "285/35R20"\nrolling_radius_m = 0.347',
        "13: tyres.size: stands beside rolling_radius_m, which says the same; keep the one that is measured",
    ),
    (
        "rolling_radius_m = 0.347",
        'size = "big"',
        '13: tyres.size: "big" is not a metric tyre size; write it as "285/35R20"',
    ),
    (
        'name = "Harrow wagon"',
        'name = ""',
        '2: car.name: holds no text; write for example name = "Harrow wagon"',
    ),
    (
        'name = "Harrow wagon"',
        "name = 3",
        '2: car.name: 3 is a number, not text; write name = "3"',
    ),
    (
        "max = 5200",
        "max = 5250",
        "77: adjusters.launch_rpm.max: 5250 is not reached from min = 2200 in steps of 100; "
        "write max = 5200 or 5300, or another step",
    ),
    (
        "max = 5200",
        "max = 2000",
        "77: adjusters.launch_rpm.max: 2000 lies below min = 2200; exchange min and max",
    ),
    (
        "step = 100",
        "step = 0",
        "78: adjusters.launch_rpm.step: 0 is not above 0; write the difference between two values",
    ),
    (
        "step = 100",
        "step = -100",
        "78: adjusters.launch_rpm.step: -100 is not above 0; write the difference between two values",
    ),
    (
        "max = 7100",
        "max = 7300",
        "93: adjusters.shift_rpm.max: 7300 rpm is above the engine's rev_limit_rpm = 7200; write at most 7200",
    ),
    (
        "per_gear = true\n",
        "",
        "84: adjusters.gear_pressure_cap_kpa: is planned as one value a gear; write per_gear = true",
    ),
    (
        "per_gear = true",
        'per_gear = "yes"',
        '86: adjusters.gear_pressure_cap_kpa.per_gear: "yes" is text, neither true nor false; write true or false',
    ),
    (
        "[adjusters.shift_rpm]",
        "[adjusters.shift_rmp]",
        "90: [adjusters.shift_rpm] is missing; is [adjusters.shift_rmp] meant?",
    ),
    (
        "[adjusters.shift_rpm]",
        "[adjusters.whatever]",
        " [adjusters.shift_rpm] is missing; write it: engine speed of the upshifts; where the "
        "car cannot set it, give min and max the same value",
    ),
    (
        'kind = "switch"',
        'kind = "swich"',
        '99: adjusters.charge_spray.kind: "swich" is text, not one of number, choice, switch, '
        'momentary; did you mean "switch"?',
    ),
    (
        'kind = "switch"',
        "",
        "98: adjusters.charge_spray.kind is missing from [adjusters.charge_spray]; write for "
        'example kind = "number" (number, choice, switch (on or off) or momentary (held by hand, '
        "noted only))",
    ),
    (
        'kind = "switch"',
        'kind = "switch"\nmin = 3',
        "100: adjusters.charge_spray.min is not a key of [adjusters.charge_spray]; known keys are kind",
    ),
    (
        'values = ["road98", "E60"]',
        'values = ["road98", "E61"]',
        '97: adjusters.fuel.values #2: "E61" has no table under [fuels]; did you mean "E60"?',
    ),
    (
        'values = ["road98", "E60"]',
        'values = ["road98", "road98"]',
        '97: adjusters.fuel.values #2: "road98" stands here twice; remove one',
    ),
    (
        'values = ["road98", "E60"]',
        "values = []",
        '97: adjusters.fuel.values: holds 0 values, not 1 to 1000; write for example values = ["road98", "E60"]',
    ),
    (
        'kind = "choice"\nvalues = ["road98", "E60"]',
        'kind = "switch"',
        '96: adjusters.fuel.kind: "switch" is not how this is set; write kind = "choice"',
    ),
    (
        "manifold_pressure_max_kpa = 215",
        "manifold_pressure_max_kpa = 110",
        "57: fuels.road98.manifold_pressure_max_kpa: 110 kPa is below the least that "
        "gear_pressure_cap_kpa can be set to, 120 kPa; correct one of the two: no setup could be "
        "run on this fuel",
    ),
    (
        "manifold_pressure_max_kpa = 215",
        "manifold_pressure_max_kpa = 2.15",
        "57: fuels.road98.manifold_pressure_max_kpa: 2.15 kPa is outside 80 to 600 kPa (absolute "
        "manifold pressures); did you mean 215 (2.15 bar)?",
    ),
    (
        "[fuels.road98]",
        "[fuels]\nroad98 = 98\n[fuels.road95]",
        "55: fuels.road98: 98 is a number, not a table; write [fuels.road98] and its keys below it",
    ),
    (
        "[car]",
        "mass_kg = 3\n[car]",
        "1: mass_kg stands before any table; move it under [chassis]",
    ),
    (
        "[car]",
        'colour = "red"\n[car]',
        "1: colour is not a table of a car file; write one of [car], [chassis], [tyres], "
        "[driveline], [clutch], [engine], [fuel_system], [guards], [fuels], [adjusters], "
        "[thresholds]",
    ),
    (
        "[car]\nname",
        "[car]\npeak_slip = 0.1\nname",
        "2: car.peak_slip is not a key of [car]; it belongs under [tyres]",
    ),
    (
        "# invented",
        '\n[thresholds]\nslip = "x"',
        '4: thresholds.slip: "x" is text, not a number; write a number, such as 1',
    ),
]
SYNTAX_FAULTS = [
    (
        "[tyres]",
        "[tyres",
        "12:7: not valid TOML: expected ']' at the end of a table declaration; close the [ with ]",
    ),
    (
        "mass_kg = 1795 ",
        "mass_kg = 1795,5 ",
        "5:15: not valid TOML: expected newline or end of document after a statement; write the "
        "decimal point as a point, not a comma",
    ),
    (
        "mass_kg = 1795 ",
        "mass_kg = 1795 kg ",
        "5:16: not valid TOML: expected newline or end of document after a statement; write the "
        "number alone; its unit stands in the key's name",
    ),
    (
        "mass_kg = 1795 ",
        "mass_kg : 1795 ",
        "5:9: not valid TOML: expected '=' after a key in a key/value pair; write key = value, with =, not :",
    ),
    (
        "mass_kg = 1795 ",
        "mass_kg = ",
        "5:30: not valid TOML: invalid value; write a value after the =",
    ),
    (
        "mass_kg = 1795 ",
        "mass_kg = 1795\nmass_kg = 1796 ",
        "6:15: not valid TOML: a key stands here for the second time; remove one",
    ),
    (
        'name = "Harrow wagon"',
        "name = Harrow wagon",
        "2:8: not valid TOML: invalid value; put text between quotation marks",
    ),
    (
        'name = "Harrow wagon"',
        'name = "Harrow wagon',
        "2:44: not valid TOML: illegal character '\\n'; close the quotation mark",
    ),
    (
        "[chassis]",
        "[chassis]\n[chassis]",
        "5:9: not valid TOML: [chassis] stands here for the second time; remove one",
    ),
    (
        "per_gear = true",
        "per_gear = True",
        "86:12: not valid TOML: invalid value; write true or false",
    ),
    (
        "wheelbase_m = 2.78",
        "wheelbase_m = .78",
        "6:15: not valid TOML: invalid value; write a zero before the decimal point",
    ),
    (
        "wheelbase_m = 2.78",
        "wheelbase_m = 02.78",
        "6:16: not valid TOML: expected newline or end of document after a statement; write the "
        "number without leading zeros",
    ),
    (
        'values = ["road98", "E60"]',
        'values = ["road98", "E60"',
        "98:1: not valid TOML: a list is not closed; close the list that begins above with ]",
    ),
]


@pytest.mark.parametrize(("piece", "instead", "message"), FAULTS)
def test_a_fault_is_named_with_its_line_and_what_to_write(write, car_example, piece, instead, message):
    assert piece in car_example
    _, faults = examine_car(write("car.toml", car_example.replace(piece, instead, 1)))
    assert [str(fault) for fault in faults] == [f"car.toml:{message}"]


@pytest.mark.parametrize(("piece", "instead", "message"), SYNTAX_FAULTS)
def test_text_that_is_no_toml_is_named_with_line_and_column(write, car_example, piece, instead, message):
    assert piece in car_example
    with pytest.raises(CarFileError) as refusal:
        read_car(write("car.toml", car_example.replace(piece, instead, 1)))
    assert str(refusal.value) == f"car.toml:{message}"
