"""`nextpass ledger`, `codes` and `guided` as a calibrator types them."""

import json

import pytest
from typer.testing import CliRunner

from nextpass.answers import CodesAnswer, LedgerAnswer
from nextpass.answers.codes import IdleAnswer, PumpTestAnswer
from nextpass.cli.main import app
from nextpass.proving import (
    Fault,
    Logger,
    drive_faulty,
    drive_pass,
    fleet,
    idle_balance,
    pump_stages,
    write_car_file,
    write_faulty_folder,
    write_pass_folder,
)

pytestmark = pytest.mark.xdist_group("commands")

LOGGER = Logger(dialect="bench", rate_hz=50.0, sensors="everything")
ENTRIES = """
[[entry]]
when = 2026-01-01T10:00:00Z
kind = "service"
item = "gearbox oil"
due_launches = 1
"""


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """A car with a clean pass, one with a dead second pump, and two logs of standing tests."""
    folder = tmp_path_factory.mktemp("health")
    entry = fleet(12, seed=1)[3]
    strip, day, setup = entry.strip, entry.conditions, entry.baseline
    write_car_file(entry.car, folder / "car.toml")
    write_pass_folder(drive_pass(entry.car, strip, day, setup, 8), LOGGER, folder / "pass1")
    faulty = drive_faulty(entry.car, strip, day, setup, Fault(kind="second-pump-dead", strength=3), 9)
    write_faulty_folder(faulty, LOGGER, folder / "pass2", number=2)
    (folder / "idle.csv").write_text(idle_balance(entry.car, LOGGER, 1).text, encoding="utf-8")
    (folder / "pumps.csv").write_text(
        pump_stages(entry.car, LOGGER, 1, second=0.0, decay_s=40.0).text, encoding="utf-8"
    )
    (folder / "ledger.toml").write_text(ENTRIES, encoding="utf-8")
    return folder


def run(*words, **given):
    return CliRunner().invoke(app, [str(word) for word in words], **given)


def test_the_ledger_answers_by_the_contract(place):
    words = ("ledger", place / "car.toml", place / "pass1", place / "pass2", "--entries", place / "ledger.toml")
    answer = run(*words, "--json")
    assert answer.exit_code == 0, answer.stderr
    ledger = LedgerAnswer.model_validate_json(answer.stdout)
    assert [one.name for one in ledger.passes] == ["pass1", "pass2"]
    assert ledger.passes[0].launch.clutch_energy_kj is not None
    assert {passed.pass_name for passed in ledger.limits_passed} == {"pass2"}
    assert "rail-sag" in {passed.limit.code for passed in ledger.limits_passed}
    (due,) = ledger.due
    assert due.is_due
    assert {trend.drift for trend in ledger.trends} == {"cannot tell"}


@pytest.fixture(scope="module")
def book(place):
    answer = run("import", place / "pass1", place / "pass2", "--book", place / "book")
    assert answer.exit_code == 0, answer.stderr
    return place / "book"


def name_of(place):
    text = (place / "car.toml").read_text(encoding="utf-8")
    return next(line.split('"')[1] for line in text.splitlines() if line.startswith("name"))


def test_the_ledger_of_a_book_is_that_of_its_passes(place, book):
    from_folders = run("ledger", place / "car.toml", place / "pass1", place / "pass2", "--json")
    from_book = run("ledger", name_of(place), "--book", book, "--json")
    assert from_book.exit_code == 0, from_book.stderr
    kept, read = (LedgerAnswer.model_validate_json(one.stdout) for one in (from_book, from_folders))
    assert [one.name for one in kept.passes] == ["pass 1", "pass 2"]
    assert [one.model_copy(update={"name": ""}) for one in kept.passes] == [
        one.model_copy(update={"name": ""}) for one in read.passes
    ]
    assert [(one.figure, one.values) for one in kept.trends] == [(one.figure, one.values) for one in read.trends]
    newest = LedgerAnswer.model_validate_json(run("ledger", name_of(place), 2, "--book", book, "--json").stdout)
    assert [one.name for one in newest.passes] == ["pass 2"]


def test_what_a_launch_cost_finds_passes(place, book):
    answer = run("find", "--book", book, "--where", "clutch_energy_kj > 1 and rail_pressure_drop > 0.05", "--json")
    assert [one["sequence"] for one in json.loads(answer.stdout)["passes"]] == [2]


def test_a_code_is_weighed_against_a_pass_of_a_book(place, book):
    answer = run("codes", "P0087", "P0627", "--car", name_of(place), "--pass", 2, "--book", book, "--json")
    codes = CodesAnswer.model_validate_json(answer.stdout)
    assert codes.causes[0].name == "second-pump"
    assert codes.passes == ["pass 2"]


def test_the_ledger_in_words_says_what_a_launch_takes(place):
    answer = run("ledger", place / "car.toml", place / "pass1")
    assert answer.exit_code == 0, answer.stderr
    assert "of the stated life of the clutch" in answer.stdout
    assert "Nothing drifts as far as 1 passes show." in answer.stdout


def test_a_code_is_weighed_against_the_pass_that_it_came_with(place):
    answer = run("codes", "P0087", "p0627", "--car", place / "car.toml", "--pass", place / "pass2", "--json")
    assert answer.exit_code == 0, answer.stderr
    codes = CodesAnswer.model_validate_json(answer.stdout)
    assert [one.code for one in codes.codes] == ["P0087", "P0627"]
    assert codes.causes[0].name == "second-pump"
    assert codes.is_settled
    assert codes.passes == ["pass2"]
    assert codes.cautions[-1].startswith("Before clearing: save the codes")


def test_codes_are_pulled_out_of_a_pasted_text(place):
    answer = run(
        "codes", "--text", "-", "--before", "P0300", "--before", "P0171", "--json", input="stored: p0171, U0100.\n"
    )
    assert answer.exit_code == 0, answer.stderr
    codes = CodesAnswer.model_validate_json(answer.stdout)
    assert (codes.states.gone, codes.states.stayed, codes.states.came) == (["P0300"], ["P0171"], ["U0100"])


def test_a_code_alone_is_read_in_words():
    answer = run("codes", "P0299")
    assert answer.exit_code == 0, answer.stderr
    assert "Charge pressure below target" in answer.stdout
    assert "No log was weighed: the order is the usual one." in answer.stdout


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["codes"], "nextpass: there is no code to read; name one, such as P0299, or give --text FILE"),
        (["codes", "boost"], "nextpass: 'boost' names no trouble code; write one as P0299"),
        (
            ["codes", "P0299", "--pass", "pass1"],
            "nextpass: a pass is read with the file of its car; give --car CAR beside --pass",
        ),
        (["codes", "P0299", "--book", "season"], "nextpass: a book may hold several cars; name one with --car"),
        (["ledger", "car.toml"], "nextpass: a ledger is made of passes; give some, or a book with --book"),
        (
            ["ledger", "Wagon", "pass1", "--book", "season"],
            "nextpass: pass1: is no count of a pass; with --book name passes by their count, such as 3",
        ),
    ],
)
def test_what_is_no_code_is_refused_in_one_line(words, message):
    answer = run(*words)
    assert answer.exit_code == 2
    assert answer.stderr.strip().splitlines()[-1] == message


def test_a_guided_idle_answers_by_the_contract(place):
    answer = run("guided", "idle", place / "car.toml", place / "idle.csv", "--json")
    assert answer.exit_code == 0, answer.stderr
    idle = IdleAnswer.model_validate_json(answer.stdout)
    assert idle.is_warm
    assert idle.trims_apart_pct is not None


def test_guided_pumps_say_that_the_second_one_is_dead(place):
    answer = run("guided", "pumps", place / "car.toml", place / "pumps.csv", "--json")
    assert answer.exit_code == 0, answer.stderr
    assert [stage.came_in for stage in PumpTestAnswer.model_validate_json(answer.stdout).stages] == [True, False]
    shown = run("guided", "pumps", place / "car.toml", place / "pumps.csv")
    assert "The second pump does not come in" in shown.stdout
    assert "Fuel vapour is explosive" in shown.stdout


def test_a_log_that_holds_no_such_test_is_refused(place):
    answer = run("guided", "pumps", place / "car.toml", place / "idle.csv")
    assert answer.exit_code == 2
    assert "idle.csv: the log has no rail_pressure_kpa; log the test again" in answer.stderr
