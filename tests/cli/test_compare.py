"""`nextpass compare` as a calibrator types it: two cars' passes, refusals, and the contract."""

import pytest
from typer.testing import CliRunner

from nextpass.answers import CompareAnswer
from nextpass.cli.main import app
from nextpass.files import read_car
from nextpass.proving import Logger, drive_pass, fleet, write_car_file, write_pass_folder
from nextpass.review import USUAL

pytestmark = pytest.mark.xdist_group("commands")

LOGGER = Logger(dialect="bench", rate_hz=50.0, sensors="everything")


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """A car with two passes at one launch speed and two at another, with slips, alternating."""
    folder = tmp_path_factory.mktemp("compared")
    entry = fleet(12, seed=1)[3]
    write_car_file(entry.car, folder / "car.toml")
    rpm = entry.car.believed.adjusters["launch_rpm"]
    other = entry.baseline.with_values(launch_rpm=rpm.on_step(entry.baseline.launch_rpm + 3 * rpm.step))
    for number, setup in enumerate((entry.baseline, other, entry.baseline, other), start=1):
        driven = drive_pass(entry.car, entry.strip, entry.conditions, setup, 40 + number)
        write_pass_folder(driven, LOGGER, folder / f"pass{number}", number=number, with_timeslip=True)
    return folder


def run(*words):
    return CliRunner().invoke(app, [str(word) for word in words])


def test_passes_are_grouped_by_the_one_adjuster_that_was_changed(place):
    passes = [place / f"pass{number}" for number in range(1, 5)]
    answer = run("compare", place / "car.toml", *passes, "--json")
    assert answer.exit_code == 0, answer.stderr
    (one,) = CompareAnswer.model_validate_json(answer.stdout).comparisons
    assert one.first.passes == ["pass1", "pass3"]
    assert one.second.passes == ["pass2", "pass4"]
    assert one.second.label.startswith("launch_rpm ")
    assert one.deciding == "et_s"
    assert one.source == "strip"
    gain = one.clocks["et_s"]
    assert gain is not None
    assert 0.0 <= gain.probability <= 1.0
    # Log and strip are of the same passes: what the gears gain is what the whole gains, within a log's own error.
    by_gear = [stretch.gain.gain.value for stretch in one.stretches if stretch.gear is not None and stretch.gain]
    assert len(by_gear) >= 3
    assert sum(by_gear) == pytest.approx(gain.gain.value, abs=0.06)


def test_passes_of_a_book_are_compared_by_their_counts(place, tmp_path):
    assert run("import", place, "--book", tmp_path / "book").exit_code == 0
    name = read_car(place / "car.toml", threshold_names=USUAL).name
    words = ("compare", name, "--before", 1, "--after", 2, "--book", tmp_path / "book", "--json")
    (one,) = CompareAnswer.model_validate_json(run(*words).stdout).comparisons
    folders = ("compare", place / "car.toml", "--before", place / "pass1", "--after", place / "pass2", "--json")
    (same,) = CompareAnswer.model_validate_json(run(*folders).stdout).comparisons
    assert (one.first.passes, one.second.passes) == (["pass 1"], ["pass 2"])
    assert one.clocks == same.clocks
    assert one.stretches == same.stretches


def test_before_and_after_in_words(place):
    answer = run(
        "compare", place / "car.toml", "--before", place / "pass1", "--after", place / "pass2", "--scatter", 0.03
    )
    assert answer.exit_code == 0, answer.stderr
    assert "after against before" in answer.stdout
    assert any(verdict in answer.stdout for verdict in ("Cannot tell", "It helped", "It hurt", "No difference"))
    assert "All passes were brought to" in answer.stdout


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["pass1"], "nextpass: one pass alone compares with nothing; give a second one"),
        ([], "nextpass: there is nothing to compare with; give two passes, or --before and --after"),
        (["--before", "pass1"], "nextpass: there is nothing to compare with; give --after"),
        (
            ["pass1", "pass2", "--after", "pass3"],
            "nextpass: passes are given with and without --before and --after; give each pass once, in one of the ways",
        ),
        (
            ["--before", "pass1", "--after", "pass2", "--change", "launch_rpm"],
            "nextpass: --change groups passes that stand without --before and --after; give them so",
        ),
        (
            ["pass1", "pass3", "--change", "launch_rpm"],
            "nextpass: launch_rpm is {rpm} in every pass given; give passes with another value as well",
        ),
        (["pass1", "pass1"], "nextpass: {first}: this pass is named twice; name each pass once"),
        (
            ["--before", "pass1", "--after", "pass1"],
            "nextpass: {first}: this pass is named twice; name each pass once",
        ),
    ],
)
def test_what_cannot_be_compared_is_refused_in_one_line(place, words, message):
    rpm = fleet(12, seed=1)[3].baseline.launch_rpm
    given = [place / word if word.startswith("pass") else word for word in words]
    answer = run("compare", place / "car.toml", *given)
    assert answer.exit_code == 2
    assert answer.stderr.strip().splitlines()[-1] == message.format(rpm=f"{rpm:g}", first=place / "pass1")
