"""Codes by their structure and by the table; causes weighed against the logs of passes with a known fault."""

import tomllib
from pathlib import Path

import pytest

from nextpass.health import compare_states, read_code, weigh_codes
from nextpass.health.code_table import code_table
from nextpass.health.signs import signs_of
from nextpass.obd import TroubleCode, trouble_code
from nextpass.proving import CODE_FAULTS, FAULTS, Fault, drive_faulty
from nextpass.review import evidence_of
from nextpass.words import keys

RIGHT = tomllib.loads((Path(__file__).parents[2] / "benchmarks" / "right_causes.toml").read_text(encoding="utf-8"))


STORED = {kind: fault.codes for kind, fault in {**FAULTS, **CODE_FAULTS}.items() if fault.codes}


def codes(*names):
    return [trouble_code(name) for name in names]


def test_every_listed_code_and_cause_has_its_words():
    table = code_table()
    wanted = {entry.text for entry in table.codes.values()}
    for cause, statements in table.causes.items():
        wanted |= {f"cause.{cause}.title", f"cause.{cause}.next_step"}
        wanted |= {f"codes.sign.{line.sign}" for line in statements if line.sign}
        wanted |= {f"finding.{line.finding}.title" for line in statements if line.finding}
    wanted |= {f"codes.caution.{key}" for key in table.cautions}
    assert wanted <= keys("en")


def test_every_listed_cause_is_in_the_table_and_every_cause_is_listed():
    table = code_table()
    listed = {cause for entry in table.codes.values() for cause in entry.causes}
    assert listed == set(table.causes)


def test_cautions_name_causes_and_codes_of_the_table():
    table = code_table()
    assert all(trouble_code(name).number in table.codes for name in table.cautions["stop"])
    others = {name for key, names in table.cautions.items() if key != "stop" for name in names}
    assert others <= set(table.causes)


@pytest.mark.parametrize(
    ("code", "meaning"),
    [
        # Numbers and meanings as in the project's list of SAE J2012 codes.
        ("P0299", "Charge pressure below target (underboost)"),
        ("P0304", "Misfire in cylinder 4"),
        ("P0312", "Misfire in cylinder 12"),
        ("P0206", "Injector 6: circuit"),
        ("P0733", "Ratio of gear 3 wrong"),
        ("P1234", "The maker's own code: powertrain. The standard gives it no meaning."),
        ("B1234", "The maker's own code: body. The standard gives it no meaning."),
        ("P0799", "A standardised code of the group gearbox; its meaning is not in our table."),
        ("U0073", "A standardised code of the group network; its meaning is not in our table."),
    ],
)
def test_a_code_says_what_it_means_or_what_its_structure_says(code, meaning):
    assert read_code(trouble_code(code)).meaning == meaning


def test_any_code_at_all_can_be_read():
    assert all(read_code(TroubleCode(number=number)).meaning for number in range(1, 0x10000, 97))


def test_without_a_log_the_usual_order_stands_and_nothing_is_settled():
    weighed = weigh_codes(codes("P0087"))
    assert not weighed.is_silent
    assert [cause.name for cause in weighed.causes][:2] == ["pumps-weak", "second-pump"]
    assert not weighed.is_settled
    assert weighed.causes[0].speaks_for == ()


def test_a_cause_that_two_codes_share_comes_before_one_that_one_code_lists():
    alone, together = weigh_codes(codes("P2263")), weigh_codes(codes("P2263", "P0299"))
    assert alone.causes[0].name == "boost-hunting"
    assert together.causes[0].name in {"wastegate-open", "charge-leak"}


def test_the_code_of_one_bank_alone_speaks_for_that_bank():
    one, both = weigh_codes(codes("P0174")), weigh_codes(codes("P0171", "P0174"))
    assert one.causes[0].name == "one-bank"
    assert one.causes[0].speaks_for == ("the code of one bank alone is stored",)
    assert both.causes[0].name == "air-metering"


def test_shares_are_of_all_causes_that_are_listed():
    weighed = weigh_codes(codes("P0562"))
    assert sum(cause.share for cause in weighed.causes) == pytest.approx(1.0)


def test_before_clearing_and_before_work_on_fuel_there_is_a_caution_each_once():
    weighed = weigh_codes(codes("P0087", "P0230"))
    assert len(weighed.cautions) == len(set(weighed.cautions))
    said = "\n".join(weighed.cautions)
    for words in ("Do not run at full load", "Work on the fuel system", "Before clearing: save the codes"):
        assert said.count(words) == 1


def test_passes_need_their_car(reviewed):
    with pytest.raises(ValueError, match="passes are weighed for a car, which is not given"):
        weigh_codes(codes("P0299"), None, [reviewed])


def test_states_before_and_after_are_told_apart():
    states = compare_states(codes("P0299", "P0171"), codes("P0171", "P0174"))
    assert (states.gone, states.stayed, states.came) == tuple(
        tuple(codes(name)) for name in ("P0299", "P0171", "P0174")
    )


def test_every_fault_with_codes_has_its_right_cause_and_every_code_of_it_lists_it():
    # As many as the project promises to judge itself by.
    assert len(STORED) == 40
    assert set(RIGHT) == set(STORED)
    for kind, cause in RIGHT.items():
        assert any(cause in read_code(trouble_code(code)).causes for code in STORED[kind])


@pytest.mark.parametrize(
    ("kind", "sign"),
    [
        ("second-pump-dead", "second_pump_on_while_sagging"),
        ("wastegate-creep", "pressure_excess_late"),
        ("pressure-offset", "manifold_over_charge_kpa"),
        ("injectors-small", "injector_duty_max"),
    ],
)
def test_the_logs_put_the_right_cause_first(entry, review_faulty, kind, sign):
    faulty = drive_faulty(entry.car, entry.strip, entry.conditions, entry.baseline, Fault(kind=kind, strength=3), 31)
    car = entry.car.believed
    reviewed = review_faulty(car, faulty)
    weighed = weigh_codes(codes(*STORED[kind]), car, [reviewed])
    assert weighed.causes[0].name == RIGHT[kind]
    assert weighed.is_settled
    assert weighed.causes[0].speaks_for
    assert sign in signs_of(car, evidence_of(car, reviewed))


@pytest.mark.parametrize("code", ["P0299", "P0087", "P0300", "P0730"])
def test_a_sound_pass_speaks_for_no_cause_and_against_none(entry, reviewed, code):
    weighed, alone = weigh_codes(codes(code), entry.car.believed, [reviewed]), weigh_codes(codes(code))
    assert weighed.is_silent
    assert not weighed.is_settled
    assert [cause.name for cause in weighed.causes] == [cause.name for cause in alone.causes]
    assert all(cause.speaks_for == cause.speaks_against == () for cause in weighed.causes)


def test_what_is_not_logged_speaks_neither_way_and_is_named(entry, review_outcome, outcome):
    from nextpass.proving import Logger

    bare = Logger(dialect="bench", rate_hz=50.0, without=("rail_pressure_kpa", "second_pump_on", "fuel_pump_duty"))
    car = entry.car.believed
    weighed = weigh_codes(codes("P0087"), car, [review_outcome(car, outcome, bare)])
    pumps = next(cause for cause in weighed.causes if cause.name == "pumps-weak")
    assert "Rail pressure sags with demand" in pumps.not_seen
    assert pumps.speaks_for == ()
