"""The sums of the workbench from the command line, against handbook values."""

import json

import pytest
from typer.testing import CliRunner

from nextpass.cli.main import app
from nextpass.proving import demo_day, write_car_file


@pytest.fixture(scope="module")
def car(tmp_path_factory):
    return write_car_file(demo_day().car, tmp_path_factory.mktemp("car") / "car.toml")


def results(*words: object) -> dict[str, dict]:
    answer = CliRunner().invoke(app, ["workbench", *(str(word) for word in words), "--json"])
    assert answer.exit_code == 0, answer.stderr
    return {line["name"]: line for line in json.loads(answer.stdout)["results"]}


def test_the_day_has_psychrolibs_density_altitude():
    # psychrolib 2.5: 25 °C, 50 %, 101325 Pa is 1.17696 kg/m3, 414.8 m.
    day = results("day", "--air", 25, "--pressure", 101.325, "--humidity", 50)
    assert day["density_kgpm3"]["value"]["value"] == pytest.approx(1.17696, rel=2e-4)
    assert day["density_altitude_m"]["value"]["value"] == pytest.approx(414.8, abs=3.0)


def test_forty_litres_make_twenty_of_ten_per_cent_sixty():
    # By arithmetic: (20 x 10 + 40 x 85)/60 = 60 %.
    tank = results("tank", "--left", 20, "--left-ethanol", 10, "--add-ethanol", 85, "--want", 60, "--tank", 70)
    assert tank["add_l"]["value"]["value"] == pytest.approx(40.0)


def test_a_tyre_size_by_its_own_arithmetic():
    # 20 x 25.4 + 2 x 0.35 x 285 = 707.5 mm.
    assert results("size", "285/35R20")["diameter_m"]["value"]["value"] == pytest.approx(0.7075)


@pytest.mark.parametrize(
    "words",
    [
        ("supply", "CAR", "--fuel", "E60", "--pressure", 220),
        ("launch", "CAR", "--rpm", 3500),
        ("gears", "CAR", "--shift", 6800),
        ("tyre", "--cold", 200, "--cold-c", 15, "--hot-c", 45),
    ],
)
def test_every_sum_shows_its_work(car, words):
    words = [str(car) if word == "CAR" else str(word) for word in words]
    answer = CliRunner().invoke(app, ["workbench", *words])
    assert answer.exit_code == 0, answer.stderr
    assert "how" in answer.stdout
