"""The commands of a day, as a calibrator types them, on the invented afternoon and on strangers' passes."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from nextpass.answers import PlanAnswer, ReviewAnswer, WhatIfAnswer
from nextpass.cli.main import app
from nextpass.files import read_car
from nextpass.proving import demo_day, drive_demo_pass, write_car_file, write_pass_folder

PRACTICE = Path(__file__).parents[3] / "shared" / "practice"
PASSES = ("pass1", "pass2", "pass3")

pytestmark = pytest.mark.xdist_group("commands")


@pytest.fixture(scope="module")
def afternoon(tmp_path_factory):
    """The car folder of the demo's afternoon: car.toml and three passes."""
    place = tmp_path_factory.mktemp("afternoon")
    day = demo_day()
    write_car_file(day.car, place / "car.toml")
    for one in day.passes:
        outcome = drive_demo_pass(day, one.setup, one.conditions, one.number)
        write_pass_folder(outcome, day.logger, place / f"pass{one.number}", number=one.number, with_timeslip=True)
    return place


def run(*words: object):
    return CliRunner().invoke(app, [str(word) for word in words])


def test_review_answers_by_the_contract(afternoon):
    answer = run("review", afternoon / "car.toml", afternoon / "pass1", "--json")
    assert answer.exit_code == 0, answer.stderr
    review = ReviewAnswer.model_validate_json(answer.stdout)
    assert review.timeslip.et_s is not None
    assert review.quality.channels_found
    assert {phase.kind for phase in review.phases} >= {"staged", "launch", "gear", "shift"}


def test_review_in_words_shows_the_units_asked_for(afternoon):
    answer = run("review", afternoon / "car.toml", afternoon / "pass1", "--units", "psi,gauge,mph")
    assert answer.exit_code == 0, answer.stderr
    (trap,) = (line for line in answer.stdout.splitlines() if "trap speed" in line)
    assert "mph" in trap


def test_review_writes_a_page_that_loads_nothing_from_elsewhere(afternoon, tmp_path):
    page, paper = tmp_path / "review.html", tmp_path / "review.pdf"
    answer = run("review", afternoon / "car.toml", afternoon / "pass2", "--html", page, "--pdf", paper)
    assert answer.exit_code == 0, answer.stderr
    assert "http" not in page.read_text(encoding="utf-8").replace("http://www.w3.org/", "")
    assert paper.read_bytes().startswith(b"%PDF")


def test_plan_answers_by_the_contract_inside_every_range_and_guard(afternoon):
    answer = run("plan", afternoon / "car.toml", *(afternoon / name for name in PASSES), "--json")
    assert answer.exit_code == 0, answer.stderr
    assert_plan_holds(answer.stdout, afternoon / "car.toml")


def test_one_change_moves_one_setting(afternoon):
    answer = run("plan", afternoon / "car.toml", *(afternoon / name for name in PASSES), "--changes", 1, "--json")
    assert answer.exit_code == 0, answer.stderr
    assert len(PlanAnswer.model_validate_json(answer.stdout).changes) <= 1


def test_whatif_forecasts_the_setup_that_was_asked_for(afternoon):
    answer = run(
        "whatif",
        afternoon / "car.toml",
        *(afternoon / name for name in PASSES),
        *("--set", "launch_rpm=3200", "--set", "gear_pressure_cap_kpa.2=200", "--json"),
    )
    assert answer.exit_code == 0, answer.stderr
    forecast = WhatIfAnswer.model_validate_json(answer.stdout)
    assert forecast.setup["launch_rpm"] == 3200
    assert forecast.setup["gear_pressure_cap_kpa"][1] == 200


def test_card_as_text_and_as_one_page(afternoon, tmp_path):
    paper = tmp_path / "card.pdf"
    answer = run("card", afternoon / "car.toml", *(afternoon / name for name in PASSES), "--pdf", paper)
    assert answer.exit_code == 0, answer.stderr
    assert "gear 1" in answer.stdout
    assert paper.read_bytes().startswith(b"%PDF")


REFUSALS = {
    "an adjuster off its step": (
        ("--set", "launch_rpm=3210"),
        "launch_rpm: 3210 is not on the step of 100 from 2000; write 3200 or 3300",
    ),
    "a gear that is not there": (
        ("--set", "gear_pressure_cap_kpa.9=200"),
        "gear_pressure_cap_kpa: there is no gear 9; name a gear from 1 to 7",
    ),
    "a setting without a value": (
        ("--set", "launch_rpm"),
        "launch_rpm: is not NAME=VALUE; write launch_rpm=3800, for example",
    ),
}


@pytest.mark.parametrize("case", REFUSALS)
def test_whatif_refuses(afternoon, case):
    words, message = REFUSALS[case]
    answer = run("whatif", afternoon / "car.toml", afternoon / "pass1", *words)
    assert answer.exit_code == 2
    assert answer.stderr.splitlines()[-1] == f"nextpass: {message}"


def test_an_unknown_unit_is_refused(afternoon):
    answer = run("review", afternoon / "car.toml", afternoon / "pass1", "--units", "furlongs")
    assert answer.exit_code == 2
    assert "furlongs" in answer.stderr


def test_a_missing_pass_is_refused_with_its_name(afternoon):
    answer = run("review", afternoon / "car.toml", afternoon / "pass9")
    assert answer.exit_code == 2
    assert str(afternoon / "pass9") in answer.stderr


@pytest.mark.parametrize("car", ["harrow", "linton", "wyke"])
def test_a_strangers_passes_are_reviewed_and_planned(car):
    if not PRACTICE.exists():
        pytest.skip("the practice passes lie beside the project, not in it")
    folder = PRACTICE / car
    answer = run("plan", folder / "car.toml", *(folder / name for name in PASSES), "--json")
    assert answer.exit_code == 0, answer.stderr
    assert_plan_holds(answer.stdout, folder / "car.toml")


def assert_plan_holds(stdout: str, car_file: Path) -> None:
    """One JSON object by the schema; every adjuster on its step and in its range; every guard kept."""
    answer = PlanAnswer.model_validate(json.loads(stdout))
    car = read_car(car_file)
    assert set(answer.setup) == set(car.adjusters)
    for name, adjuster in car.adjusters.items():
        value = answer.setup[name]
        if adjuster.kind == "number":
            values = value if isinstance(value, list) else [value]
            assert len(values) == (car.gear_count if adjuster.per_gear else 1)
            assert all(adjuster.is_on_step(one) and adjuster.minimum <= one <= adjuster.maximum for one in values)
    assert all(guard.ok and (guard.worst <= guard.limit) for guard in answer.guards)
    assert answer.limit.et_s < answer.forecast.et_s.median
    assert answer.forecast.et_s.low < answer.forecast.et_s.median < answer.forecast.et_s.high
    assert {item.gear for item in answer.binding} == set(range(1, car.gear_count + 1))
