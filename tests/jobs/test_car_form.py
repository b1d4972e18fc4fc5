"""A car file as a form: what is changed is changed, what is not stays as the owner wrote it."""

import pytest
from tests.report.samples import sample_car

from nextpass.errors import CarFileError, SettingError
from nextpass.files import car_text
from nextpass.jobs import car_form, changed_file, with_table, without_table
from nextpass.jobs.desk import car_of_text


@pytest.fixture(scope="module")
def text():
    return "# my own note\n" + car_text(sample_car())


def rows_of(text):
    return {row.path: row for table in car_form(text) for row in table.rows}


def test_every_number_of_the_file_stands_in_the_form(text):
    rows = rows_of(text)
    assert rows["chassis", "mass_kg"].text == "1795"
    assert rows["driveline", "gear_ratios"].text == "4.38, 2.86, 1.92, 1.51, 1.2, 1"
    assert rows["engine", "full_load_torque_nm"].text == "1500 330, 3500 660, 5500 650, 7200 520"
    assert rows["fuel_system", "pumps", "1", "flow_l_h"].text == "255"
    assert rows["fuels", "E60", "ethanol_pct"].text == "60"


def test_what_is_assumed_is_empty(text):
    assert rows_of(text)["tyres", "peak_slip"].text == ""


def test_a_change_keeps_the_rest_of_the_file(text):
    changed = changed_file(text, {("chassis", "mass_kg"): "1750", ("driveline", "gear_ratios"): "4, 2.3, 1.6, 1.2"})
    assert changed.startswith("# my own note\n")
    assert len(changed.splitlines()) == len(text.splitlines())
    car = car_of_text(changed)
    assert car.chassis.mass_kg == 1750
    assert car.driveline.gear_ratios == (4.0, 2.3, 1.6, 1.2)


def test_a_curve_and_a_pump_can_be_changed(text):
    changed = changed_file(
        text,
        {("engine", "full_load_torque_nm"): "1500 300, 7000 500", ("fuel_system", "pumps", "1", "flow_l_h"): "340"},
    )
    car = car_of_text(changed)
    assert car.engine.full_load_torque_nm == ((1500.0, 300.0), (7000.0, 500.0))
    assert car.fuel_system.pumps[1].flow_l_h == 340


def test_an_emptied_field_is_assumed_again(text):
    said = changed_file(text, {("chassis", "drag_area_m2"): ""})
    assert "chassis.drag_area_m2" in {item.key for item in car_of_text(said).assumed}


def test_a_value_that_is_assumed_can_be_said(text):
    car = car_of_text(changed_file(text, {("tyres", "peak_slip"): "0.1"}))
    assert car.tyres.peak_slip == 0.1
    assert "tyres.peak_slip" not in {item.key for item in car.assumed}


def test_words_where_a_number_belongs_are_refused(text):
    with pytest.raises(SettingError) as refusal:
        changed_file(text, {("chassis", "mass_kg"): "heavy"})
    assert str(refusal.value) == "chassis.mass_kg: 'heavy' is no number; write one such as 1795"


def test_a_value_out_of_range_is_left_to_the_strict_reader(text):
    with pytest.raises(CarFileError, match=r"chassis\.mass_kg"):
        car_of_text(changed_file(text, {("chassis", "mass_kg"): "17950"}))


def test_an_adjuster_is_made_changed_and_taken_away(text):
    made = with_table(text, ("adjusters", "ramp_ms"), {"kind": "number", "min": 0, "max": 900, "step": 10})
    assert car_of_text(made).adjusters["ramp_ms"].maximum == 900
    changed = with_table(made, ("adjusters", "ramp_ms"), {"kind": "switch"})
    assert car_of_text(changed).adjusters["ramp_ms"].kind == "switch"
    assert "ramp_ms" not in car_of_text(without_table(changed, ("adjusters", "ramp_ms"))).adjusters


def test_a_name_with_a_point_is_one_name(text):
    made = with_table(text, ("adjusters", "stage 1.5"), {"kind": "switch"})
    assert car_of_text(made).adjusters["stage 1.5"].kind == "switch"
    assert without_table(made, ("adjusters", "never there")) == made
