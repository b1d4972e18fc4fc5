"""Figures as people type them and as a language writes them, in the fields of the pages."""

import pytest
from tests.report.samples import sample_car

from nextpass.errors import NextpassError, SettingError, Where
from nextpass.fit.learnable import learnables
from nextpass.measure import Estimate
from nextpass.report import Reader
from nextpass.sim import default_parameters
from nextpass.web.pages.new_car import _file_of
from nextpass.web.parts.inputs import in_file_notation, in_readers_notation
from nextpass.web.parts.intervals import percent_text
from nextpass.web.parts.measured import measured_text, parameter_name
from nextpass.web.waiting import _with_place
from nextpass.words import LANGUAGES, keys


@pytest.mark.parametrize(
    ("in_file", "german"),
    [
        ("0.12", "0,12"),
        ("1750", "1750"),
        ("3.92, 2.46, 1.74", "3,92; 2,46; 1,74"),
        ("920, 900", "920, 900"),
        ("1700 566.5, 2560 603", "1700 566,5; 2560 603"),
    ],
)
def test_figures_of_a_car_file_go_to_a_german_field_and_back(in_file, german):
    assert in_readers_notation(in_file, "de") == german
    assert in_readers_notation(in_file, "en") == in_file
    assert in_file_notation(german, is_list="," in in_file) == in_file


@pytest.mark.parametrize("typed", ["3,7", "3.7"])
def test_a_comma_in_a_figure_of_a_new_car_is_its_decimal_mark(typed):
    # Taken for a list, the final drive of 3,7 would have become 3 without a word.
    assert "\nfinal_drive = 3.7 " in _file_of({"name": "Selby saloon", "final_drive": typed})


@pytest.mark.parametrize("typed", ["3,9; 2,5; 1,7; 1,3", "3.9, 2.5, 1.7, 1.3"])
def test_gear_ratios_of_a_new_car_are_read_in_both_notations(typed):
    assert "gear_ratios = [3.9, 2.5, 1.7, 1.3]" in _file_of({"name": "Selby saloon", "gears": typed})


def test_what_is_no_number_of_a_new_car_is_refused():
    with pytest.raises(SettingError, match="'heavy' is no number; write a number"):
        _file_of({"name": "Selby saloon", "mass_kg": "heavy"})


@pytest.mark.parametrize(
    ("probability", "shown"), [(0.9999, "> 99"), (0.985, "98"), (0.5, "50"), (0.015, "2"), (0.0001, "< 1")]
)
def test_a_probability_never_claims_to_be_sure(probability, shown):
    assert percent_text(probability, Reader()) == shown


@pytest.mark.parametrize(
    ("where", "language", "shown"),
    [
        (Where(file="/srv/dropped/Uy4tvfz83S.csv", line=3), "en", "log of lane 2.csv:3: is empty"),
        (Where(key="launch_rpm"), "de", "Start: is empty"),
        (Where(key="gear_pressure_cap_kpa.2"), "en", "pressure cap, gear 2: is empty"),
        (Where(key="et_s"), "en", "ET: is empty"),
        (Where(key="due_days"), "en", "due_days: is empty"),
    ],
)
def test_a_refusal_calls_files_and_fields_what_the_page_calls_them(where, language, shown):
    refusal = NextpassError("is empty", where)
    assert _with_place(refusal, Reader(language=language), "log of lane 2.csv") == shown


@pytest.mark.parametrize(
    ("estimate", "shown"),
    [
        ((1742.541, 32.488), "1743 ±32"),
        ((0.7342, 0.0612), "0.734 ±0.061"),
        ((2.0, 0.0), "2 ±0"),
        ((11.4, 2.04), "11.4 ±2.0"),
    ],
)
def test_an_estimate_has_the_decimals_that_its_spread_is_worth(estimate, shown):
    value, plus_minus = estimate
    assert measured_text(Estimate(value=value, plus_minus=plus_minus), Reader()) == shown


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_value_that_passes_can_correct_has_its_words(language):
    car = sample_car()
    names = [one.name for one in learnables(car, default_parameters(car))]
    said = [parameter_name(name, Reader(language=language)) for name in names]
    assert len(set(said)) == len(names) > 30
    assert [name for name in names if f"parameter.{name.partition('.')[0]}" not in keys(language)] == []
    assert parameter_name("knock_onset_kpa.E60", Reader(language=language)).endswith(", E60")
