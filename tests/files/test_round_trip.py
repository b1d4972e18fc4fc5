"""What is written reads back as what it was."""

from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nextpass.car import Adjuster, Conditions, PassRecord, Setup, StripClocks
from nextpass.files import car_text, new_car, pass_text, read_car, read_pass, write_car, write_pass
from nextpass.files.car_file import car_of
from nextpass.files.car_keys import CAR_TABLES, ONE_FUEL
from nextpass.files.document import Document
from nextpass.files.pass_keys import CONDITIONS
from nextpass.files.starter import CarAnswers

CONTRACT = Path(__file__).parent / "contract"
NAMES = st.text(st.characters(codec="utf-8", exclude_characters="\r"), min_size=1, max_size=12).filter(str.strip)


def within(key):
    """A number that a file may hold at a key, as many digits as people write."""
    return st.floats(key.low, key.high, allow_nan=False).map(lambda value: min(max(round(value, 6), key.low), key.high))


def number_or_left_out(key):
    return within(key) if key.required else st.none() | within(key)


def keys_of(*names):
    return [key for table in CAR_TABLES if table.name in names for key in table.keys if key.kind == "number"]


@st.composite
def cars(draw):
    """Any car that a file can describe."""
    values = {
        "car": {"name": draw(NAMES)},
        "engine": {"cylinders": draw(st.integers(1, 16))},
        "fuel_system": {"injector_count": draw(st.integers(1, 32))},
        "driveline": {"gear_ratios": sorted(draw(ratios()), reverse=True)},
        "clutch": {"torque_capacity_nm": draw(st.lists(st.integers(50, 10000), min_size=1, max_size=2))},
    }
    for table in ("chassis", "tyres", "driveline", "clutch", "engine", "fuel_system", "guards"):
        given_values = {key.name: draw(number_or_left_out(key)) for key in keys_of(table)}
        values[table] = {**values.get(table, {}), **{name: v for name, v in given_values.items() if v is not None}}
    if values["tyres"].pop("rolling_radius_m", None) is None or draw(st.booleans()):
        values["tyres"]["size"] = draw(st.sampled_from(("285/35R20", "P225/50R17", "245/45 ZR 18")))
    else:
        values["tyres"]["rolling_radius_m"] = 0.3512
    speeds = sorted(draw(st.sets(st.integers(500, 9000), min_size=2, max_size=9)))
    values["engine"]["full_load_torque_nm"] = [[rpm, draw(st.integers(1, 2000))] for rpm in speeds]
    values["fuel_system"]["pumps"] = draw(st.lists(pumps(), min_size=1, max_size=3))
    values["fuels"] = draw(st.dictionaries(NAMES, fuels(), min_size=1, max_size=3))
    values["adjusters"] = adjusters(values, draw(st.lists(NAMES, max_size=3)))
    if draw(st.booleans()):
        values["thresholds"] = {draw(NAMES): draw(st.floats(-1e3, 1e3))}
    car, faults = car_of(Document(file=None, values=values, lines={}))
    assert faults == ()
    return car


def ratios():
    return st.sets(st.integers(30, 900), min_size=4, max_size=10).map(lambda found: [value / 100 for value in found])


def pumps():
    return st.fixed_dictionaries(
        {"name": NAMES, "drive": st.sampled_from(("duty", "on_off")), "flow_l_h": st.floats(0, 2000)}
    )


def fuels():
    numbers = {key.name: within(key) for key in ONE_FUEL.keys}
    return st.fixed_dictionaries({**numbers, "manifold_pressure_max_kpa": st.integers(200, 600)})


def adjusters(values, owners):
    number = {"kind": "number", "min": 100, "max": 190, "step": 2.5}
    limit = values["engine"]["rev_limit_rpm"]
    own = {name: {"kind": "momentary"} for name in owners}
    return {
        **own,
        "launch_rpm": {"kind": "number", "min": 1000, "max": 3000, "step": 100},
        "launch_pressure_kpa": number,
        "gear_pressure_cap_kpa": {**number, "per_gear": True},
        "shift_rpm": {"kind": "number", "min": limit - 500, "max": limit, "step": 500},
        "fuel": {"kind": "choice", "values": list(values["fuels"])},
    }


@settings(max_examples=60, deadline=None)
@given(car=cars())
def test_a_car_that_is_written_reads_back_as_the_same_car(tmp_path_factory, car):
    file = write_car(tmp_path_factory.getbasetemp() / "trip.toml", car, replace=True)
    assert read_car(file) == car


@pytest.fixture(scope="module")
def pass_folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("pass")
    for name in ("log.csv", "gear box.csv"):
        (folder / name).write_text("Time (s)\n0.0\n")
    return folder


CONDITION_FIELDS = {
    **{key.record_field: number_or_left_out(key) for key in CONDITIONS.keys},
    "humidity": st.integers(1, 100),  # a share below 1 % is refused
}
CLOCKS = StripClocks(t60ft_s=1.82, t330ft_s=4.85, et_s=11.26, trap_mps=197.8 / 3.6)
MOMENTS = st.datetimes(datetime(1990, 1, 1), datetime(2090, 1, 1), timezones=st.none() | st.just(UTC))


@settings(max_examples=60, deadline=None)
@given(
    number=st.none() | st.integers(1, 1000),
    started=st.none() | MOMENTS,
    logs=st.sampled_from((("log.csv",), ("log.csv", "gear box.csv"))),
    texts=st.tuples(*(st.text(st.characters(codec="utf-8"), max_size=20),) * 3),
    weather=st.fixed_dictionaries(CONDITION_FIELDS),
    clocks=st.none() | st.just(CLOCKS),
    launch_rpm=st.integers(22, 52).map(lambda hundreds: 100.0 * hundreds),
    charge_spray=st.booleans(),
)
def test_a_pass_that_is_written_reads_back_as_the_same_pass(
    pass_folder, contract_car, number, started, logs, texts, weather, clocks, launch_rpm, charge_spray
):
    strip, lane, notes = texts
    as_read = {
        key.record_field: key.in_program(weather[key.record_field])
        for key in CONDITIONS.keys
        if weather[key.record_field] is not None
    }
    # Above 1000 m a sea-level pressure is refused; that has its own test.
    record = PassRecord(
        folder=pass_folder,
        number=number,
        started=started,
        logs=tuple(pass_folder / name for name in logs),
        notes=notes,
        conditions=Conditions(**{**as_read, "altitude_m": None}),
        setup=Setup(
            values={
                "launch_rpm": launch_rpm,
                "launch_pressure_kpa": 130.0,
                "gear_pressure_cap_kpa": (160.0, 180.0, 200.0, 210.0, 210.0, 210.0),
                "shift_rpm": 6800.0,
                "fuel": "E60",
                "charge_spray": charge_spray,
            }
        ),
        clocks=clocks,
        strip=strip if strip.strip() else "",
        lane=lane if lane.strip() else "",
    )
    write_pass(pass_folder, record, replace=True)
    assert read_pass(pass_folder, contract_car) == record


def test_what_is_assumed_stays_a_comment(contract_car, write):
    car, _ = new_car(CarAnswers(name="Ashby saloon"), ())
    text = car_text(car)
    assert "# guards" not in text
    assert "# cg_height_m = 0.5               # centre of gravity above the ground [m]\n" in text
    assert 'size = "285/35R20"' in text
    assert "rolling_radius_m =" not in text


def test_every_line_of_a_written_car_says_what_it_is(contract_car):
    bare = [line for line in car_text(contract_car).split("\n") if " = " in line and "#" not in line]
    long_values = ("gear_ratios", "full_load_torque_nm", "per_gear", "values")
    in_adjusters = ("kind", "min", "max", "step")
    assert [line for line in bare if not line.startswith((*long_values, *in_adjusters))] == []


def test_the_contracts_pass_is_written_in_its_own_units(contract_car):
    record = PassRecord(
        folder=Path("p"),
        number=3,
        started=None,
        logs=(Path("p/log.csv"),),
        notes="",
        conditions=Conditions(
            air_temperature_c=17.5, pressure_kpa=100.9, humidity=0.57, track_temperature_c=27.0, slope=0.003
        ),
        setup=Setup(values={"launch_rpm": 3400.0, "charge spray": True}),
        clocks=CLOCKS,
    )
    assert pass_text(record) == (
        '[pass]\nnumber = 3\nlog = "log.csv"\n\n'
        "[conditions]\nair_temperature_c = 17.5\npressure_kpa = 100.9\nhumidity_pct = 57\ntrack_temperature_c = 27\n"
        "slope_pct = 0.3\nheadwind_mps = 0\n\n"
        '[setup]\nlaunch_rpm = 3400\n"charge spray" = true\n\n'
        "[timeslip]\nt60ft_s = 1.82\nt330ft_s = 4.85\net_s = 11.26\ntrap_kmh = 197.8\n"
    )


def test_an_adjusters_table_holds_what_its_kind_needs(contract_car):
    text = car_text(contract_car)
    assert '[adjusters.charge_spray]          # the owner\'s own\nkind = "switch"\n' in text
    assert isinstance(contract_car.adjusters["charge_spray"], Adjuster)
