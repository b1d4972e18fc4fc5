"""`nextpass car` writes a car file that it then finds sound, and says what is wrong with another."""

import json
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from nextpass.cli import car
from nextpass.cli.edge import EdgeGroup
from nextpass.files import read_car

CONTRACT = Path(__file__).parent.parent / "files" / "contract" / "car.toml"
REFUSED = 2


@pytest.fixture
def run(tmp_path, monkeypatch):
    """Runs a command in an empty folder behind the program's own edge, as `nextpass car ...` does."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "200")
    program = typer.Typer(cls=EdgeGroup)
    program.add_typer(car.app, name="car")
    program.command("none")(lambda: None)

    def invoke(*words, typed=None):
        return CliRunner().invoke(program, ["car", *words], input=typed)

    return invoke


FLAGS = (
    *("--name", "Ashby", "--mass-kg", "1520", "--drive", "rear", "--gears", "4.0,2.5,1.8,1.4,1.1"),
    *("--fuel", "E60:260", "--fuel", "road98:215"),
)


def test_flags_write_a_file_without_a_question(run):
    result = run("new", *FLAGS)
    assert result.exit_code == 0, result.output
    assert result.stdout == (
        "car.toml: written; 20 values are usual ones, marked 'check:'.\n"
        "Correct them, then run: nextpass car check car.toml\n"
    )
    assert result.stderr == ""
    written = read_car("car.toml")
    assert written.name == "Ashby"
    assert written.chassis.mass_kg == 1520.0
    assert written.driveline.front_drive_share == 0.0
    assert written.driveline.gear_ratios == (4.0, 2.5, 1.8, 1.4, 1.1)
    assert written.fuels["E60"].manifold_pressure_max_kpa == 260.0
    assert written.adjusters["fuel"].values == ("E60", "road98")


def test_the_written_file_passes_the_check(run):
    run("new", "garage/ashby.toml", *FLAGS)
    result = run("check", "garage/ashby.toml")
    assert result.exit_code == 0
    assert "Ashby: 5 gears, the file is sound." in result.stdout
    assert "chassis.cg_height_m" in result.stdout
    assert "Nothing in it is implausible." in result.stdout


def test_questions_are_asked_without_a_name(run):
    answers = ["Ashby", "1500 kg", "1500", "front", "", "3.9", "", "2,0", "2.0", "4", "", "", "", "", "", "", "E85:240"]
    result = run("new", typed="\n".join(answers) + "\n")
    assert result.exit_code == 0, result.output
    assert "Mass as raced, with driver and fuel [kg] [1700]:" in result.stderr
    assert "Error: '1500 kg' cannot be read as an answer" in result.stderr
    assert "Error: '2,0' cannot be read as an answer" in result.stderr
    written = read_car("car.toml")
    assert written.chassis.mass_kg == 1500.0
    assert written.driveline.front_drive_share == 1.0
    assert written.driveline.final_drive == 3.9
    assert (written.engine.displacement_l, written.engine.cylinders) == (2.0, 4)
    assert list(written.fuels) == ["E85"]


def test_an_answer_that_was_given_is_not_asked_for(run):
    result = run("new", "--mass-kg", "1500", typed="Ashby\n" + "\n" * 13)
    assert result.exit_code == 0, result.output
    assert "Mass as raced" not in result.stderr
    assert read_car("car.toml").chassis.mass_kg == 1500.0


def test_a_file_that_stands_there_is_kept_before_a_question_is_asked(run):
    Path("car.toml").write_text("mine")
    result = run("new", typed="")
    assert result.exit_code == REFUSED
    assert result.stderr == (
        "nextpass: car.toml: is there already; give another name, or say that it may be replaced\n"
    )
    assert Path("car.toml").read_text() == "mine"


def test_a_file_is_replaced_when_told(run):
    Path("car.toml").write_text("mine")
    assert run("new", "--replace", *FLAGS).exit_code == 0
    assert read_car("car.toml").name == "Ashby"


def test_an_impossible_answer_writes_nothing(run):
    result = run("new", "--name", "Ashby", "--mass-kg", "15")
    assert result.exit_code == REFUSED
    assert result.stderr == (
        "nextpass: chassis.mass_kg: 15 kg is outside 300 to 5000 kg (a car with its driver); write a value from 300 to "
        "5000 kg\n"
    )
    assert not Path("car.toml").exists()


def test_a_flag_that_is_no_number_is_refused(run):
    result = run("new", "--name", "Ashby", "--gears", "six")
    assert result.exit_code == REFUSED
    assert "--gears" in result.stderr


def test_a_sound_file_answers_with_one_object(run):
    result = run("check", str(CONTRACT), "--json")
    assert result.exit_code == 0
    assert json.loads(result.stdout) == {"name": "Harrow wagon", "gears": 6, "assumed": [], "doubts": []}


def test_an_implausible_file_is_answered_with_its_doubts(run):
    Path("car.toml").write_text(CONTRACT.read_text().replace("= 980 ", "= 600 ").replace("tank_l = 70", ""))
    result = run("check", "car.toml", "--json")
    assert result.exit_code == 0
    answer = json.loads(result.stdout)
    assert answer["assumed"] == [{"key": "fuel_system.tank_l", "value": "60 l", "origin": "common practice"}]
    assert answer["doubts"] == [
        {
            "key": "clutch.torque_capacity_nm",
            "what": "the clutch holds 600 N m, less than the 680 N m that the engine makes at 200 kPa",
            "remedy": "check both; if they are right the clutch will slip at the peak of torque",
        }
    ]
    shown = run("check", "car.toml").stdout
    assert "clutch.torque_capacity_nm: the clutch holds 600 N m, less than the 680 N m" in shown


@pytest.mark.parametrize("json_words", [(), ("--json",)])
def test_every_fault_of_a_file_is_said_and_nothing_else(run, json_words):
    text = CONTRACT.read_text().replace("mass_kg = 1795", "mas_kg = 1795").replace("step = 50", "step = 70")
    Path("car.toml").write_text(text)
    result = run("check", "car.toml", *json_words)
    assert result.exit_code == REFUSED
    assert result.stdout == ""
    assert result.stderr == (
        "nextpass: car.toml:5: chassis.mas_kg is not a key of [chassis]; did you mean mass_kg?\n"
        "nextpass: car.toml:93: adjusters.shift_rpm.max: 7100 is not reached from min = 6000 in steps of 70; write max "
        "= 7050 or 7120, or another step\n"
    )


def test_a_file_that_is_not_there_is_refused(run):
    result = run("check", "cra.toml")
    assert result.exit_code == REFUSED
    assert result.stderr == "nextpass: cra.toml: there is no such file; give the path of a car file\n"
