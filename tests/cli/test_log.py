"""`nextpass log` shows what a log was taken for, keeps answers, and converts."""

import json

import pytest
import typer
from tests.log.pull import BAROMETER_KPA, pull
from typer.testing import CliRunner

from nextpass.cli import log as log_command
from nextpass.cli.edge import EdgeGroup
from nextpass.log import open_log

REFUSED = 2
PSI_KPA = 6.894757293


@pytest.fixture
def run(tmp_path, monkeypatch):
    """Runs a command in an empty folder, with a data folder of its own, behind the program's own edge."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "220")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    program = typer.Typer(cls=EdgeGroup)
    program.add_typer(log_command.app, name="log")
    program.command("none")(lambda: None)

    def invoke(*words):
        return CliRunner().invoke(program, ["log", *words])

    return invoke


@pytest.fixture
def log_file(tmp_path):
    """A log that was started in the pull, with boost of unknown reference."""
    values = {name: array[210:460] for name, array in pull().items()}
    columns = {
        "Time (s)": values["time_s"],
        "RPM": values["engine_rpm"],
        "TPS (%)": 100 * values["throttle"],
        "Boost (psi)": (values["manifold_pressure_kpa"] - BAROMETER_KPA) / PSI_KPA,
    }
    rows = zip(*columns.values(), strict=True)
    path = tmp_path / "log.csv"
    path.write_text("\n".join([",".join(columns), *(",".join(f"{cell:.5f}" for cell in row) for row in rows)]))
    return path


def test_inspect_shows_channels_reasons_and_questions(run, log_file):
    result = run("inspect", str(log_file), "--baro-kpa", "98.6")
    assert result.exit_code == 0
    assert "engine_rpm" in result.stdout
    assert "manifold_pressure_kpa ?" in result.stdout
    assert '--as "Boost (psi)=manifold_pressure_kpa:psi gauge"' in result.stdout


def test_inspect_speaks_german_and_shows_names_in_brackets_whole(run, log_file):
    log_file.write_text(log_file.read_text().replace("Boost (psi)", "Boost [psi]"))
    shown = run("inspect", str(log_file), "--language", "de").output
    assert "Boost [psi]" in shown
    assert "absolut oder relativ? Kein Wert im Leerlauf oder bei stehendem Motor zeigt es" in shown
    assert "dem Namen nach, 1/min steht da" in shown or "dem Namen nach; rpm steht da" in shown
    assert "die Zeilen kommen mit 25 Hz" in shown


def test_an_answer_is_used_and_kept(run, log_file):
    told = run("inspect", str(log_file), "--baro-kpa", "98.6", "--as", "Boost (psi)=manifold_pressure_kpa:psi gauge")
    assert told.exit_code == 0
    assert "manifold_pressure_kpa ?" not in told.stdout
    again = json.loads(run("inspect", str(log_file), "--baro-kpa", "98.6", "--json").stdout)
    (boost,) = (column for column in again["columns"] if column["column"] == "Boost (psi)")
    assert (boost["taken"], boost["unit"], boost["reason"]) == (True, "psi gauge", "by answer")


def test_json_is_one_object_with_everything_in_it(run, log_file):
    answer = json.loads(run("inspect", str(log_file), "--json").stdout)
    assert set(answer) == {"columns", "marks", "quality"}
    assert [column["column"] for column in answer["columns"]] == ["RPM", "TPS (%)", "Boost (psi)"]
    assert answer["quality"]["rate_hz"] == pytest.approx(25.0)
    assert answer["columns"][2]["question"].startswith("absolute or gauge?")


@pytest.mark.parametrize("suffix", ["csv", "parquet", "mf4"])
def test_convert_writes_what_open_log_reads(run, log_file, tmp_path, suffix):
    target = tmp_path / f"out.{suffix}"
    result = run("convert", str(log_file), str(target), "--as", "Boost (psi)=-")
    assert result.exit_code == 0
    assert "2 channels, 1 other columns" in result.stderr
    assert set(open_log(target).channels) == {"engine_rpm", "throttle"}
    again = run("convert", str(log_file), str(target))
    assert again.exit_code == REFUSED
    assert again.stderr.strip() == (
        f"nextpass: {target}: it is already there; name another file, or allow it to be replaced"
    )


def test_two_logs_of_a_pass_become_one(run, log_file, tmp_path):
    values = {name: array[310:500] for name, array in pull().items()}
    rows = zip(values["time_s"] - values["time_s"][0], values["engine_rpm"], values["clutch_torque_nm"], strict=True)
    second = tmp_path / "gearbox.csv"
    second.write_text("\n".join(["Time (s),RPM,Clutch Torque (Nm)", *(f"{a:.3f},{b:.2f},{c:.2f}" for a, b, c in rows)]))
    result = run("convert", str(log_file), str(second), str(tmp_path / "both.parquet"), "--baro-kpa", "98.6")
    assert result.exit_code == 0, result.stderr
    both = open_log(tmp_path / "both.parquet")
    # The second log began a hundred rows of 25 Hz later.
    assert both["clutch_torque_nm"].time_s[0] == pytest.approx(both["engine_rpm"].time_s[100], abs=0.03)
    given = run("convert", str(log_file), str(second), str(tmp_path / "given.parquet"), "--offset-s", "1.5")
    assert given.exit_code == 0
    assert open_log(tmp_path / "given.parquet")["clutch_torque_nm"].time_s[0] == pytest.approx(
        both["engine_rpm"].time_s[0] + 1.5, abs=1e-6
    )


def test_channels_can_be_searched(run):
    result = run("channels", "ladedruck")
    assert result.exit_code == 0
    assert "manifold_pressure_kpa" in result.stdout
    assert "battery_v" not in result.stdout


def test_a_pass_without_its_car_is_refused(run, log_file, tmp_path):
    result = run("inspect", str(log_file), "--pass", str(tmp_path))
    assert result.exit_code == REFUSED
    assert result.stderr.strip() == "nextpass: --pass needs the car; name the car file with --car"


def test_an_answer_that_says_nothing_is_refused(run, log_file):
    result = run("inspect", str(log_file), "--as", "Boost")
    assert result.exit_code == REFUSED
    assert result.stderr.strip() == "nextpass: --as 'Boost' says nothing; write --as \"COLUMN=CHANNEL:UNIT\""


def test_a_refusal_follows_the_language_that_is_asked_for(run, log_file):
    result = run("inspect", str(log_file), "--as", "Boost", "--language", "de")
    assert result.exit_code == REFUSED
    assert result.stderr.strip() == "nextpass: --as 'Boost' sagt nichts; --as \"SPALTE=KANAL:EINHEIT\" schreiben"


def test_a_command_without_the_option_takes_the_language_of_the_environment(run, log_file, monkeypatch):
    monkeypatch.setenv("NEXTPASS_LANGUAGE", "de")
    result = run("convert", str(log_file))
    assert result.exit_code == REFUSED
    assert result.stderr.strip() == (
        f"nextpass: {log_file}: es ist nur eine Datei genannt; "
        "die Aufzeichnung nennen, dann die Datei, die geschrieben werden soll"
    )


def test_each_reader_says_in_german_why_it_does_not_take_a_file(run, tmp_path):
    path = tmp_path / "trace.asc"
    path.write_text("no frames here\n" * 5)
    result = run("inspect", str(path), "--language", "de")
    assert result.exit_code == REFUSED
    assert "kein Leser nimmt es (als CAN-Mitschnitt: " in result.stderr
    assert f"\n  als Texttabelle: {path}: keine Zeile liest sich als Zeile von Werten" in result.stderr
