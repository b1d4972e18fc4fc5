"""Pictures put marks where the values are, keep every spike, and stay readable without colour."""

import math
import xml.etree.ElementTree as ET
from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.report.samples import sample_car, sample_plan, sample_reviewed

from nextpass.log import Gap
from nextpass.report import DAY, NIGHT, Reader, contrast, forecast_picture, ladder_html, ladder_of, past_ets
from nextpass.report.picture.scale import scale_over
from nextpass.report.picture.traces import extremes, line_svg, trace_picture
from nextpass.units import ShownUnits

# Which colour stands on which: what is read needs 4.5, what is only seen needs 3 (WCAG 2.2, 1.4.3 and 1.4.11).
INKS = ("ink", "soft", "next", "stop", "act", "watch", "note", "other")
READ = [(ink, ground) for ink in INKS for ground in ("ground", "sheet")]
READ += [("on_next", "next"), ("ink", "next_wash"), ("next", "next_wash")]


@pytest.mark.parametrize("palette", [DAY, NIGHT], ids=["day", "night"])
@pytest.mark.parametrize(("ink", "ground"), READ)
def test_text_reaches_the_contrast_of_wcag_aa(palette, ink, ground):
    assert contrast(getattr(palette, ink), getattr(palette, ground)) >= 4.5


@pytest.mark.parametrize("palette", [DAY, NIGHT], ids=["day", "night"])
def test_the_kept_part_of_a_rung_can_be_told_from_the_sheet_and_the_raise(palette):
    assert contrast(palette.held, palette.sheet) >= 2.0
    assert contrast(palette.held, palette.next) >= 2.0


def test_contrast_of_black_on_white_is_the_largest():
    # WCAG 2.2: 21:1 by definition.
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)


def test_every_colour_is_written_in_full():
    for palette in (DAY, NIGHT):
        for field in fields(palette):
            assert len(getattr(palette, field.name)) == 7


def test_the_marks_of_a_rung_stand_at_their_values():
    car = sample_car()
    plan = sample_plan(car)
    ladder = ladder_of(plan, car, Reader(units=ShownUnits(pressure="kpa")))
    # The scale is straight: places are in the proportion of the pressures.
    first, third = ladder.rows[0], ladder.rows[2]
    per_kpa = (third.last - first.last) / (200.0 - 160.0)
    assert third.next - third.last == pytest.approx(25.0 * per_kpa)
    assert first.next - first.last == pytest.approx(-10.0 * per_kpa)
    assert third.guard - third.last == pytest.approx(40.0 * per_kpa)
    assert math.isnan(third.tyre)
    assert (first.change_text, third.change_text) == ("−10", "+25")


@given(unit=st.sampled_from(["bar", "kpa", "psi"]), reference=st.sampled_from(["absolute", "gauge"]))
def test_the_picture_is_the_same_in_every_unit(unit, reference):
    car = sample_car()
    plan = sample_plan(car)
    plain = ladder_of(plan, car, Reader())
    other = ladder_of(plan, car, Reader(units=ShownUnits(pressure=unit, reference=reference)))
    for one, two in zip(plain.rows, other.rows, strict=True):
        assert (two.last, two.next, two.guard) == pytest.approx((one.last, one.next, one.guard), abs=1e-9)


def test_the_ladder_is_a_table_that_can_be_read_aloud():
    car = sample_car()
    reader = Reader()
    table = ET.fromstring(f"<div>{ladder_html(ladder_of(sample_plan(car), car, reader), reader)}</div>")
    rows = table.findall(".//tbody/tr")
    said = ["".join(row.itertext()) for row in rows]
    assert said[0].startswith("gear 1last cap 1.601.50−0.10")
    assert len(rows) == 6
    assert [element.get("scope") for element in table.findall(".//th")].count(None) == 0


def test_ids_of_two_ladders_do_not_meet():
    car = sample_car()
    reader = Reader()
    ladder = ladder_of(sample_plan(car), car, reader)
    one, two = (ET.fromstring(f"<div>{ladder_html(ladder, reader, prefix)}</div>") for prefix in ("a", "b"))
    ids = [{element.get("id") for element in tree.iter() if element.get("id")} for tree in (one, two)]
    assert ids[0]
    assert ids[0].isdisjoint(ids[1])


def test_the_forecast_stands_between_the_limit_and_the_passes():
    car = sample_car()
    reader = Reader()
    picture = forecast_picture(sample_plan(car), past_ets([sample_reviewed(car)], reader), reader)
    limit, planned, repeat, past = picture.rows
    assert [row.kind for row in picture.rows] == ["limit", "next", "repeat", "past"]
    assert limit.middle < planned.middle < repeat.middle < past.middle
    assert past.label == "Pass 3"


@given(values=st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=30), count=st.integers(2, 9))
def test_a_scale_holds_every_value_and_its_ticks_are_round(values, count):
    scale = scale_over(values, count)
    places = [scale.at(value) for value in values]
    assert all(0.0 <= place <= 1.0 for place in places)
    assert 1 <= len(scale.ticks) <= 2 * count + 2
    # What is printed beside a tick is the tick.
    for tick in scale.ticks:
        assert round(tick, scale.decimals) == pytest.approx(tick, abs=1e-6 * max(1.0, abs(tick)))


@given(
    values=st.lists(st.floats(-1e3, 1e3), min_size=1, max_size=400),
    points=st.integers(4, 60),
)
def test_thinning_keeps_the_highest_and_the_lowest(values, points):
    series = np.asarray(values)
    kept = extremes(series, points)
    assert series[kept].max() == series.max()
    assert series[kept].min() == series.min()
    assert (np.diff(kept) > 0).all()
    assert kept.size <= max(points + 4, series.size if series.size <= points else 0)


def _with_gaps(reviewed, gaps):
    return replace(reviewed, log=replace(reviewed.log, quality=replace(reviewed.log.quality, gaps=gaps)))


def test_a_gap_in_the_data_breaks_the_line():
    reviewed = _with_gaps(sample_reviewed(sample_car()), ())
    channel = reviewed.log["manifold_pressure_kpa"]
    channel.values[150:160] = np.nan
    picture = trace_picture(reviewed, Reader(), ("manifold_pressure_kpa",))
    (panel,) = picture.panels
    assert len(panel.lines) == 2
    assert line_svg(panel).count("<path") == 2


def test_a_gap_in_the_log_breaks_the_line_where_rows_are_missing():
    reviewed = sample_reviewed(sample_car())
    time_s = reviewed.log["manifold_pressure_kpa"].time_s
    gap = Gap(start_s=float(time_s[150]), end_s=float(time_s[160]))
    whole, broken = (
        trace_picture(_with_gaps(reviewed, gaps), Reader(), ("manifold_pressure_kpa",)).panels[0]
        for gaps in ((), (gap,))
    )
    assert len(whole.lines) == 1
    before, after = broken.lines
    # Nothing is lost at the break: it lies between two neighbouring samples.
    assert len(before) + len(after) == len(whole.lines[0])


def test_a_log_without_the_channels_gives_a_picture_without_panels():
    car = sample_car()
    assert trace_picture(sample_reviewed(car), Reader(), ("turbo_rpm",)).panels == ()
