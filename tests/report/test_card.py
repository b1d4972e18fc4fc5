"""The card keeps to one page whatever the car, and says what is dialled in, in the reader's words and units."""

import io
from dataclasses import replace

import pytest
from tests.report.samples import sample_car, sample_findings, sample_forecast, sample_plan

from nextpass.car import Adjuster
from nextpass.plan import GuardMargin
from nextpass.report import Reader, card_content, card_pdf, card_text, nearest_guards
from nextpass.units import ShownUnits
from nextpass.words import phrase, translated

pypdf = pytest.importorskip("pypdf", reason="pypdf reads the words of a PDF back: pip install pypdf")

# ISO 216: A5 is 148 x 210 mm; PDF counts in points of 1/72 inch.
A5_PT = (148 / 25.4 * 72, 210 / 25.4 * 72)
LONG_NAME = "Die außerordentlich lange Bezeichnung eines Kombis aus Sedgeford mit Dachträger und Anhängerkupplung"
MANY_OWN = tuple(
    Adjuster(name=name, kind="switch")
    for name in ("line_lock", "ice_tank_pump", "rear_axle_mode_b", "wing_low", "second_map_for_rain")
)


def pages_of(pdf):
    return pypdf.PdfReader(io.BytesIO(pdf)).pages


def words_of(pdf):
    return " ".join(pages_of(pdf)[0].extract_text().split())


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("gears", [4, 6, 8, 10])
@pytest.mark.parametrize("name", ["Sedgeford estate", LONG_NAME])
def test_the_card_is_one_a5_page_whatever_the_car(language, gears, name):
    car = sample_car(name=name, gears=gears, own=MANY_OWN)
    shown = ShownUnits(pressure="psi", reference="gauge", speed="mph")
    pages = pages_of(card_pdf(car, sample_plan(car), shown, language, sample_findings()))
    assert len(pages) == 1
    assert (float(pages[0].mediabox.width), float(pages[0].mediabox.height)) == pytest.approx(A5_PT, abs=0.1)


def test_the_card_says_what_to_dial_in():
    car = sample_car()
    words = words_of(card_pdf(car, sample_plan(car), ShownUnits(), "en"))
    for said in ("Sedgeford estate", "Next pass", "3700", "was 3400", "6800", "E60", "1.50", "2.25", "2.40", "10.98"):
        assert said in words


def test_every_gear_of_the_german_card_has_its_next_cap():
    car = sample_car(gears=10)
    plan = sample_plan(car)
    words = words_of(card_pdf(car, plan, ShownUnits(pressure="kpa"), "de"))
    assert words.count("240") >= 7
    assert "Nächster Lauf" in words
    assert "kPa abs." in words


def test_the_smallest_gear_rows_still_lie_on_the_page():
    car = sample_car(gears=10, own=MANY_OWN)
    pdf = card_pdf(car, sample_plan(car), ShownUnits(), "en", sample_findings())
    assert "public road is illegal" in words_of(pdf), "the last line of the page is missing: the page ran over"


def test_a_name_is_never_a_command_of_the_template():
    car = sample_car(name='#panic("no") $x$ *bold* \\ " {{content}}')
    assert '#panic("no") $x$ *bold*' in words_of(card_pdf(car, sample_plan(car), ShownUnits(), "en"))


def test_a_stop_finding_stands_above_everything():
    car = sample_car()
    words = words_of(card_pdf(car, sample_plan(car), ShownUnits(), "en", sample_findings()))
    assert "Do not run again until this is resolved" in words
    assert words.index("Do not run again") < words.index("launch")


def test_what_the_plan_says_of_its_guards_is_on_the_card_the_gravest_first():
    car = sample_car()
    crossed = phrase("plan.caution.crossed", number=3, guard=phrase("guard.charge_air_c"))
    not_kept = phrase("plan.caution.not_kept", guard=phrase("guard.knock_retard_deg"))
    plan = replace(sample_plan(car), cautions=(crossed, not_kept))
    for language, before in (("en", "Before you run it"), ("de", "Vor dem Lauf")):
        text = card_text(car, plan, ShownUnits(), language)
        words = words_of(card_pdf(car, plan, ShownUnits(), language))
        assert text.index(translated(not_kept, language)) < text.index(translated(crossed, language))
        assert before in words


def test_the_text_card_holds_the_same_values():
    car = sample_car()
    text = card_text(car, sample_plan(car), ShownUnits(pressure="kpa"), "en", sample_findings())
    lines = text.splitlines()
    assert lines[0] == "Next pass: Sedgeford estate"
    assert "  gear 3  225  +25  (was 200)" in lines
    assert "  gear 1  150  −10  (was 160)" in lines
    assert any(line.startswith("!! Lean at full throttle in gear 4") for line in lines)
    assert text.rstrip().endswith("Closed course only: full throttle on a public road is illegal and dangerous.")


def test_gauge_pressures_on_the_card_use_the_barometer_of_the_day():
    car = sample_car()
    text = card_text(car, sample_plan(car), ShownUnits(pressure="kpa", reference="gauge"), "en")
    # 225 kPa absolute less the 100.9 kPa of the sample's day, by hand: 124.1.
    assert "  gear 3  124  +25  (was 99)" in text.splitlines()


def test_own_adjusters_are_listed_and_momentary_ones_left_out():
    own = (
        Adjuster(name="line_lock", kind="momentary"),
        Adjuster(name="ramp_ms", kind="number", minimum=0, maximum=900, step=10),
    )
    car = sample_car(own=own)
    content = card_content(car, sample_plan(car), Reader())
    assert [(dial.label, dial.value, dial.unit) for dial in content.own] == [
        ("charge spray", "off", ""),
        ("ramp", "0", "ms"),
    ]


def test_a_switch_that_the_plan_turns_off_says_what_it_was():
    car = sample_car()
    plan = sample_plan(car)
    moved = type(plan)(
        **{name: getattr(plan, name) for name in plan.__slots__ if name != "newest"},
        newest=plan.newest.with_values(charge_spray=True),
    )
    (dial,) = card_content(car, moved, Reader()).own
    assert (dial.value, dial.was) == ("off", "was on")


def test_guards_are_watched_in_the_order_of_the_room_they_leave():
    forecast = sample_forecast(worst_duty_pct=92.0)
    car = sample_car()
    plan = sample_plan(car)
    crossed = type(plan)(
        **{name: getattr(plan, name) for name in plan.__slots__ if name != "forecast"}, forecast=forecast
    )
    first, second, *_ = nearest_guards(crossed)
    assert first == GuardMargin(name="injector_duty_pct", worst=92.0, limit=90, ok=False)
    # 0.86 of 0.90 is 96 %, closer than the oil at 98 of 120.
    assert second.name == "wot_lambda_max"
