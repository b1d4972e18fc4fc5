"""A pass folder becomes a record, or exactly one message that says where, what is wrong and what to write."""

from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from nextpass.car import Conditions, PassRecord, Setup, StripClocks
from nextpass.errors import PassFileError
from nextpass.files import read_conditions, read_pass

FAULTS = [
    (
        "launch_rpm = 3400",
        "launch_rpm = 3450",
        "17: setup.launch_rpm: 3450 is not on the step of 100 from 2200; write 3400 or 3500",
    ),
    (
        "launch_rpm = 3400",
        "launch_rpm = 1800",
        "17: setup.launch_rpm: 1800 is outside the adjuster's 2200 to 5200; the nearest is 2200",
    ),
    (
        "launch_rpm = 3400",
        'launch_rpm = "3400"',
        '17: setup.launch_rpm: "3400" is not a number; write a number from 2200 to 5200',
    ),
    (
        "launch_rpm = 3400",
        "launch_rpm = true",
        "17: setup.launch_rpm: true is not a number; write a number from 2200 to 5200",
    ),
    (
        "launch_rpm = 3400",
        "launch_rpm = nan",
        "17: setup.launch_rpm: NaN is not a number; write a number from 2200 to 5200",
    ),
    (
        "launch_rpm = 3400\n",
        "",
        "15: setup.launch_rpm is missing from [setup]; write launch_rpm = and the value that was dialled in",
    ),
    (
        "launch_rpm = 3400",
        "lanch_rpm = 3400",
        "17: setup.lanch_rpm is not an adjuster of Harrow wagon; did you mean launch_rpm?",
    ),
    (
        "launch_rpm = 3400",
        "launch_rpm = 3400\nturbo = 1",
        "18: setup.turbo is not an adjuster of Harrow wagon; its adjusters are launch_rpm, "
        "launch_pressure_kpa, gear_pressure_cap_kpa, shift_rpm, fuel, charge_spray",
    ),
    (
        "[160, 180, 200, 210, 210, 210]",
        "[160, 180, 203, 210, 210, 210]",
        "19: setup.gear_pressure_cap_kpa: gear 3: 203 is not on the step of 5 from 120; write 200 or 205",
    ),
    (
        "[160, 180, 200, 210, 210, 210]",
        "[160,\n 180,\n 300, 210, 210, 210]",
        "21: setup.gear_pressure_cap_kpa: gear 3: 300 is outside the adjuster's 120 to 260; the nearest is 260",
    ),
    (
        "[160, 180, 200, 210, 210, 210]",
        "[160, 180, 200, 210, 210]",
        "19: setup.gear_pressure_cap_kpa: holds 5 values for 6 gears; write 6 values, first gear first",
    ),
    (
        "[160, 180, 200, 210, 210, 210]",
        "200",
        "19: setup.gear_pressure_cap_kpa: 200 is not one value for each of 6 gears; write [200, "
        "200, 200, 200, 200, 200]",
    ),
    (
        "[160, 180, 200, 210, 210, 210]",
        '[160, "180", 200, 210, 210, 210]',
        '19: setup.gear_pressure_cap_kpa: gear 2: "180" is not a number; write a number from 120 to 260',
    ),
    (
        "charge_spray = false",
        "charge_spray = 0",
        "21: setup.charge_spray: 0 is neither true nor false; write true or false",
    ),
    (
        "charge_spray = false",
        'charge_spray = "off"',
        '21: setup.charge_spray: "off" is neither true nor false; write true or false',
    ),
    (
        'fuel = "E60"',
        'fuel = "E85"',
        '16: setup.fuel: "E85" is not a fuel of this car; write "road98" or "E60"',
    ),
    (
        'fuel = "E60"',
        "fuel = 60",
        '16: setup.fuel: 60 is not a fuel of this car; write "road98" or "E60"',
    ),
    (
        "[setup]",
        "[setap]",
        "15: [setap] is not a table of a pass file; did you mean [setup]?",
    ),
    (
        "pressure_kpa = 100.9 ",
        "pressure_kpa = 1009 ",
        "9: conditions.pressure_kpa: 1009 kPa is outside 55 to 108 kPa (air from 5000 m to below "
        "the sea); did you mean 100.9 (1009 mbar)?",
    ),
    (
        "pressure_kpa = 100.9 ",
        "pressure_kpa = 100.9\naltitude_m = 1600 ",
        "9: conditions.pressure_kpa: 100.9 kPa cannot be the station pressure at 1600 m: it is "
        "reduced to sea level; write the pressure at the strip itself, usually near 83.5 kPa "
        "there",
    ),
    (
        "pressure_kpa = 100.9 ",
        "pressure_kpa = 29.8 ",
        "9: conditions.pressure_kpa: 29.8 kPa is outside 55 to 108 kPa (air from 5000 m to below "
        "the sea); did you mean 100.9 (29.8 inHg)?",
    ),
    (
        "air_temperature_c = 17.5",
        "air_temperature_c = 290.65",
        "8: conditions.air_temperature_c: 290.65 °C is outside -30 to 55 °C (air where cars "
        "run); did you mean 17.5 (290.65 K)?",
    ),
    (
        "air_temperature_c = 17.5",
        "air_temperature_c = 63",
        "8: conditions.air_temperature_c: 63 °C is outside -30 to 55 °C (air where cars run); "
        "did you mean 17.22 (63 °F)?",
    ),
    (
        "humidity_pct = 58",
        "humidity_pct = 158",
        "10: conditions.humidity_pct: 158 % is outside 0 to 100 % (relative humidity); write a value from 0 to 100 %",
    ),
    (
        "humidity_pct = 58",
        "humidity = 58",
        "10: conditions.humidity is not a key of [conditions]; did you mean humidity_pct?",
    ),
    (
        "track_temperature_c = 27\n",
        "",
        "7: conditions.track_temperature_c is missing from [conditions]; write for example "
        "track_temperature_c = 27 (surface of the lane [°C])",
    ),
    (
        "headwind_mps = 0.0",
        "headwind_mps = 40",
        "13: conditions.headwind_mps: 40 m/s is outside -30 to 30 m/s (wind in which cars run); "
        "did you mean 11.11 (40 km/h)?",
    ),
    (
        "number = 3",
        "number = 0",
        "2: pass.number: 0 is outside 1 to 1000 (passes of one day); write a value from 1 to 1000",
    ),
    (
        "number = 3",
        "number = 3.5",
        "2: pass.number: 3.5 is not a whole number; write 3 or 4",
    ),
    (
        "started = 2026-05-02T14:10:00+01:00",
        'started = "2026-05-02T14:10:00"',
        '3: pass.started: "2026-05-02T14:10:00" is text, not a date with its time; write date '
        "and time without quotation marks, such as 2026-05-02T14:10:00+01:00",
    ),
    (
        "started = 2026-05-02T14:10:00+01:00",
        "started = 2026-05-02",
        "3: pass.started: 2026-05-02 is a date or a time alone, not a date with its time; write "
        "date and time without quotation marks, such as 2026-05-02T14:10:00+01:00",
    ),
    (
        'log = "log.csv"',
        'log = "../log.csv"',
        '4: pass.log: "../log.csv" leads out of the pass folder; put the log beside this file',
    ),
    (
        'log = "log.csv"',
        'log = "/etc/passwd"',
        '4: pass.log: "/etc/passwd" leads out of the pass folder; put the log beside this file',
    ),
    (
        'log = "log.csv"',
        "log = 'C:\\log.csv'",
        '4: pass.log: "C:\\\\log.csv" leads out of the pass folder; put the log beside this file',
    ),
    (
        'log = "log.csv"',
        "log = 'sub\\..\\..\\log.csv'",
        '4: pass.log: "sub\\\\..\\\\..\\\\log.csv" leads out of the pass folder; put the log beside this file',
    ),
    (
        'log = "log.csv"',
        'log = "log.cvs"',
        '4: pass.log: "log.cvs" is not in p; is "log.csv" meant?',
    ),
    (
        'log = "log.csv"',
        'log = ""',
        '4: pass.log: holds no text; write for example log = "log.csv"',
    ),
    (
        'log = "log.csv"',
        'log = "."',
        '4: pass.log: "." is a folder; name the log file in it',
    ),
    (
        'log = "log.csv"',
        "log = []",
        '4: pass.log: holds 0 values, not 1 to 20; write for example log = "log.csv"',
    ),
    (
        'log = "log.csv"',
        'log = ["log.csv", "engine.csv"]',
        '4: pass.log #2: "engine.csv" is not in p; put the log there, or write the name that it has',
    ),
    (
        'log = "log.csv"',
        'log = ["log.csv", "log.csv"]',
        '4: pass.log #2: "log.csv" stands here twice; remove one',
    ),
    (
        'log = "log.csv"',
        "log = 3",
        '4: pass.log: 3 is a number, not text; write log = "3"',
    ),
    (
        'log = "log.csv" ',
        'lgo = "log.csv" ',
        "4: pass.lgo is not a key of [pass]; did you mean log?",
    ),
    (
        "t330ft_s = 4.85",
        "t330ft_s = 1.7",
        "25: timeslip.t330ft_s: 1.7 s is outside 2 to 30 s (cars of this kind); write a value from 2 to 30 s",
    ),
    (
        "et_s = 11.26",
        "et_s = 112.6",
        "29: timeslip.et_s: 112.6 s is outside 4 to 90 s (cars of this kind); write a value from 4 to 90 s",
    ),
    (
        "trap_kmh = 197.8",
        "trap_kmh = 1978",
        "30: timeslip.trap_kmh: 1978 km/h is outside 20 to 600 km/h (cars of this kind); write a "
        "value from 20 to 600 km/h",
    ),
    (
        "trap_kmh = 197.8",
        "trap_mph = 122.9",
        "30: timeslip.trap_mph is not a key of [timeslip]; did you mean trap_kmh?",
    ),
    (
        "[timeslip]",
        "[timeslap]",
        "23: [timeslap] is not a table of a pass file; did you mean [timeslip]?",
    ),
    (
        "t660ft_s = 7.31",
        "t660ft_s = 4.31",
        "26: timeslip.t660ft_s: 4.31 s is not after t330ft_s = 4.85 s; copy both from the timeslip again",
    ),
]


@pytest.fixture
def pass_folder(write, pass_example):
    """The contract's example pass with a log beside it; returns a way to write the pass file anew."""
    write("p/log.csv", "Time (s)\n0.0\n")

    def with_piece(piece="", instead=""):
        assert piece in pass_example
        return write("p/pass.toml", pass_example.replace(piece, instead, 1)).parent

    return with_piece


def test_the_contracts_example_reads(pass_folder, contract_car):
    assert read_pass(pass_folder(), contract_car) == PassRecord(
        folder=Path("p"),
        number=3,
        started=datetime(2026, 5, 2, 14, 10, tzinfo=timezone(timedelta(hours=1))),
        logs=(Path("p/log.csv"),),
        notes="cloud cover, second lane",
        conditions=Conditions(
            air_temperature_c=17.5, pressure_kpa=100.9, humidity=0.58, track_temperature_c=27.0, slope=0.0
        ),
        setup=Setup(
            values={
                "launch_rpm": 3400.0,
                "launch_pressure_kpa": 130.0,
                "gear_pressure_cap_kpa": (160.0, 180.0, 200.0, 210.0, 210.0, 210.0),
                "shift_rpm": 6800.0,
                "fuel": "E60",
                "charge_spray": False,
            }
        ),
        clocks=StripClocks(
            t60ft_s=1.82,
            t330ft_s=4.85,
            t660ft_s=7.31,
            v660ft_mps=pytest.approx(155.2 / 3.6, rel=1e-15),
            t1000ft_s=9.45,
            et_s=11.26,
            trap_mps=pytest.approx(197.8 / 3.6, rel=1e-15),
        ),
    )


@pytest.mark.parametrize(("piece", "instead", "message"), FAULTS)
def test_a_fault_is_named_with_its_line_and_what_to_write(pass_folder, contract_car, piece, instead, message):
    folder = pass_folder(piece, instead)
    with pytest.raises(PassFileError) as refusal:
        read_pass(folder, contract_car)
    assert str(refusal.value) == f"p/pass.toml:{message}"


@pytest.mark.parametrize(
    ("piece", "instead", "message"),
    [
        (
            "humidity_pct = 58",
            "humidity_pct = 0.58",
            "10: conditions.humidity_pct: 0.58 % is drier than any desert; did you mean 58?",
        ),
        (
            'log = "log.csv"',
            f'log = "{"x" * 300}.csv"',
            f'4: pass.log: "{"x" * 300}.csv" is not in p; is "log.csv" meant?',
        ),
        ('log = "log.csv"', 'log = ["log.csv", 3]', '4: pass.log #2: 3 is a number, not text; write "3"'),
    ],
    ids=["share of humidity", "name too long", "number in a list"],
)
def test_a_slip_that_looks_right_is_named_too(pass_folder, contract_car, piece, instead, message):
    folder = pass_folder(piece, instead)
    with pytest.raises(PassFileError) as refusal:
        read_pass(folder, contract_car)
    assert str(refusal.value) == f"p/pass.toml:{message}"


def test_a_name_that_no_system_takes_is_refused(folder, contract_car):
    name = "p" * 5000
    with pytest.raises(PassFileError) as refusal:
        read_pass(name, contract_car)
    assert str(refusal.value) == f"{name}: there is no such folder; give a pass folder: pass.toml and its log"


def test_dry_air_is_taken(pass_folder, contract_car):
    assert read_pass(pass_folder("humidity_pct = 58", "humidity_pct = 0"), contract_car).conditions.humidity == 0.0


def test_a_start_without_zone_is_kept_as_it_stands(pass_folder, contract_car):
    folder = pass_folder("14:10:00+01:00", "14:10:00")
    assert read_pass(folder, contract_car).started == datetime(2026, 5, 2, 14, 10)


def test_what_is_optional_may_be_left_out(write, pass_folder, pass_example, contract_car):
    folder = pass_folder()
    text = pass_example.split("[timeslip]")[0]
    dropped = ("number", "started", "notes", "slope_pct", "headwind_mps")
    write("p/pass.toml", "\n".join(line for line in text.split("\n") if not line.startswith(dropped)))
    record = read_pass(folder, contract_car)
    assert (record.number, record.started, record.notes, record.clocks) == (None, None, "", None)
    assert (record.strip, record.lane) == ("", "")
    assert (record.conditions.slope, record.conditions.headwind_mps) == (0.0, 0.0)


def test_several_logs_of_one_pass_may_be_named(write, pass_folder, contract_car):
    write("p/gearbox/log.csv", "Time (s)\n0.0\n")
    folder = pass_folder('log = "log.csv"', 'log = ["log.csv", "gearbox/log.csv"]')
    assert read_pass(folder, contract_car).logs == (Path("p/log.csv"), Path("p/gearbox/log.csv"))


def test_the_pass_file_itself_may_be_given(pass_folder, contract_car):
    folder = pass_folder()
    assert read_pass(folder / "pass.toml", contract_car) == read_pass(folder, contract_car)


def test_a_folder_that_is_not_there_is_refused(folder, contract_car):
    with pytest.raises(PassFileError) as refusal:
        read_pass("p9", contract_car)
    assert str(refusal.value) == "p9: there is no such folder; give a pass folder: pass.toml and its log"


def test_a_folder_of_passes_names_one_of_them(pass_folder, contract_car):
    pass_folder()
    with pytest.raises(PassFileError) as refusal:
        read_pass(".", contract_car)
    assert str(refusal.value) == ".: holds no pass.toml; give a pass folder in it, such as p"


def test_a_folder_without_a_pass_is_refused(folder, contract_car):
    (folder / "p").mkdir()
    with pytest.raises(PassFileError) as refusal:
        read_pass("p", contract_car)
    assert str(refusal.value) == "p: holds no pass.toml; give a pass folder"


def test_the_truth_beside_a_practice_pass_is_not_read(write, pass_folder, contract_car):
    folder = pass_folder()
    plain = read_pass(folder, contract_car)
    write("p/truth.toml", b"\xff\x00 not even text")
    assert read_pass(folder, contract_car) == plain


DAY = Conditions(air_temperature_c=21.0, pressure_kpa=98.2, humidity=0.4, track_temperature_c=35.0)
BARE = "air_temperature_c = 21\npressure_kpa = 98.2\nhumidity_pct = 40\ntrack_temperature_c = 35\n"


@pytest.mark.parametrize("text", [BARE, f"[conditions]\n{BARE}"])
def test_conditions_may_stand_in_a_file_of_their_own(write, text):
    assert read_conditions(write("evening.toml", text)) == DAY


def test_conditions_may_be_those_of_another_pass(pass_folder, contract_car):
    folder = pass_folder()
    there = read_pass(folder, contract_car).conditions
    assert read_conditions(folder) == there
    assert read_conditions(folder / "pass.toml") == there


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            BARE.replace("pressure_kpa", "presure_kpa"),
            "2: presure_kpa is not a key of this file; did you mean pressure_kpa?",
        ),
        (
            BARE.replace("pressure_kpa = 98.2\n", ""),
            " pressure_kpa is missing from this file; write for example pressure_kpa = 100.9 (station pressure, not "
            "reduced to sea level [kPa])",
        ),
        (f"[condition]\n{BARE}", "1: [condition] is not a table of a conditions file; did you mean [conditions]?"),
        (
            BARE.replace("98.2", "101.3\naltitude_m = 1600"),
            "2: pressure_kpa: 101.3 kPa cannot be the station pressure at 1600 m: it is reduced to sea level; write "
            "the pressure at the strip itself, usually near 83.5 kPa there",
        ),
    ],
)
def test_a_fault_in_a_conditions_file_is_named(write, text, message):
    with pytest.raises(PassFileError) as refusal:
        read_conditions(write("evening.toml", text))
    assert str(refusal.value) == f"evening.toml:{message}"


# ISO 2533: 83.5 kPa at 1600 m; weather moves it by a few kPa.
@pytest.mark.parametrize("pressure_kpa", [82.0, 83.5, 86.0])
def test_a_station_pressure_at_altitude_is_taken(write, pressure_kpa):
    text = BARE.replace("98.2", f"{pressure_kpa}\naltitude_m = 1600")
    assert read_conditions(write("evening.toml", text)).pressure_kpa == pressure_kpa
