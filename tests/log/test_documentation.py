"""Every command of docs/log.md runs."""

import re
import shlex
from pathlib import Path

import pytest
import typer
from tests.log.pull import BAROMETER_KPA, pull
from typer.testing import CliRunner

from nextpass.cli import log as log_command
from nextpass.cli.edge import EdgeGroup

PAGE = Path(__file__).parents[2] / "docs" / "log.md"
COMMANDS = re.findall(r"^nextpass (log .*)$", PAGE.read_text(encoding="utf-8"), re.MULTILINE)
CONTRACT = Path(__file__).parents[1] / "files" / "contract"


def write(path, columns):
    rows = zip(*columns.values(), strict=True)
    path.write_text("\n".join([",".join(columns), *(",".join(f"{cell:.4f}" for cell in row) for row in rows)]))


@pytest.fixture
def place(tmp_path, monkeypatch):
    """A folder with the files that the page names."""
    values = pull()
    boost = (values["manifold_pressure_kpa"] - BAROMETER_KPA) / 6.894757
    base = {"Time (s)": values["time_s"], "RPM": values["engine_rpm"], "Boost": boost, "Baro (kPa)": 98.6 + 0 * boost}
    write(tmp_path / "log.csv", base)
    write(tmp_path / "engine.csv", base)
    later = values["time_s"] >= 1.5
    gearbox = {"Time (s)": values["time_s"][later] - 1.5, "RPM": values["engine_rpm"][later]}
    write(tmp_path / "gearbox.csv", {**gearbox, "Clutch Torque (Nm)": values["clutch_torque_nm"][later]})
    (tmp_path / "car.toml").write_bytes((CONTRACT / "car.toml").read_bytes())
    (tmp_path / "pass1").mkdir()
    (tmp_path / "pass1" / "pass.toml").write_bytes((CONTRACT / "pass.toml").read_bytes())
    write(tmp_path / "pass1" / "log.csv", base)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))


def test_the_page_shows_every_command():
    assert {command.split()[1] for command in COMMANDS} == {"inspect", "convert", "channels"}


@pytest.mark.parametrize("command", COMMANDS)
def test_a_command_of_the_page_runs(command, place):
    program = typer.Typer(cls=EdgeGroup)
    program.add_typer(log_command.app, name="log")
    program.command("none")(lambda: None)
    result = CliRunner().invoke(program, shlex.split(command))
    assert result.exit_code == 0, result.output
