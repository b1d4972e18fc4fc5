"""Figures under a finding: each has a name in both languages and a unit that a reader chose."""

import ast
from pathlib import Path

import pytest

import nextpass.review.findings
from nextpass.log import vocabulary
from nextpass.report import Reader, evidence_shown
from nextpass.review import Finding, Severity
from nextpass.units import shown_units
from nextpass.words import LANGUAGES, keys

# Names that the code puts together: four temperatures, two doubts about a channel, two banks.
COMPOSED = {
    *(f"{part}_temperature_c_max" for part in ("charge", "coolant", "oil", "gearbox_oil")),
    "stuck_s",
    "implausible_s",
    "trim_bank1",
    "trim_bank2",
}


def named_in_code():
    """Every literal key of a dictionary called `figures` or `cell` in the findings' modules."""
    names = set(COMPOSED)
    for path in Path(nextpass.review.findings.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            match node:
                case ast.Assign(targets=[ast.Name(id="figures")], value=ast.Dict(keys=given)):
                    names |= {key.value for key in given if isinstance(key, ast.Constant)}
                case ast.Subscript(value=ast.Name(id="figures" | "cell"), slice=ast.Constant(value=str(name))):
                    names.add(name)
    return names


def test_figures_are_found_in_the_code():
    assert {"slip_ratio_p90", "engine_rpm_cell", "gap_s_max"} <= named_in_code()


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_figure_of_a_finding_has_a_name(language):
    assert {f"evidence.{name}" for name in named_in_code()} - keys(language) == set()


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_channel_has_a_name(language):
    assert {f"channel.{name}" for name in vocabulary().channels} - keys(language) == set()


def shown(reader, channels=("engine_rpm",), **figures):
    finding = Finding(
        code="wheel-slip",
        severity=Severity.WATCH,
        title="",
        gear=1,
        start_s=0.0,
        end_s=1.0,
        channels=channels,
        evidence=figures,
        meaning="",
        next_step="",
    )
    return [(label, figure.replace("\N{NO-BREAK SPACE}", " ")) for label, figure in evidence_shown(finding, reader)]


def test_figures_stand_in_the_readers_units():
    reader = Reader(units=shown_units("psi,gauge,mph"), barometer_kpa=100.0)
    # 50 kPa over the barometer and 20 kPa of difference are 7.3 and 2.9 psi, 100 km/h are 62.1 mph (NIST SP 811).
    assert shown(reader, target_pressure_kpa=150.0) == [("target", "7.3 psi gauge")]
    assert shown(reader, below_target_kpa=20.0) == [("below target", "2.9 psi")]
    assert shown(reader, speed_kmh=100.0) == [("car's speed", "62.1 mph")]


def test_figures_are_said_in_german():
    reader = Reader(language="de")
    assert shown(reader, slip_ratio_p90=0.312, slip_s=0.7) == [
        ("Schlupf bis", "31 %"),
        ("Zeit über der Schlupfgrenze", "0,70 s"),
    ]


@pytest.mark.parametrize(
    ("channel", "value", "expected"),
    [("coolant_temperature_c", -40.0, "−40.0 °C"), ("injector_duty", 0.5, "50.0 %"), ("lambda_bank1", 1.1, "1.100")],
)
def test_a_reading_stands_in_the_unit_of_its_channel(channel, value, expected):
    assert shown(Reader(), channels=(channel,), reads=value) == [("reads", expected)]


def test_a_figure_that_the_log_could_not_give_is_left_out():
    assert shown(Reader(), engine_rpm=float("nan"), injector_duty_max=0.9) == [("highest duty", "90 %")]


def test_a_figure_of_an_older_answer_keeps_its_name():
    assert shown(Reader(), some_old_figure_s=1.5) == [("some old figure", "1.50 s")]
