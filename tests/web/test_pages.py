"""The pages without a browser: what each says, and that it never shows more than it knows."""

import asyncio
from dataclasses import replace
from datetime import UTC, datetime
from typing import get_args

import pytest
from nicegui import ui
from tests.report.samples import sample_findings
from tests.web.sample_book import CAR_NAME
from tests.web.sample_season import sample_comparison

from nextpass.car import LedgerEntry
from nextpass.errors import NotEnoughData, SettingError
from nextpass.jobs import keep_ledger_entries
from nextpass.measure import Absent, Estimate
from nextpass.report import Reader
from nextpass.review import LostTime
from nextpass.review.losses import Cause, Loss
from nextpass.web.pages import compare
from nextpass.web.parts.entries import entry_of
from nextpass.web.parts.losses import losses_html
from nextpass.words import LANGUAGES, keys, phrase

OLD_DAY = datetime(2026, 5, 1, 9, tzinfo=UTC)


def said(user):
    """Everything that the page shows as markup, in one text."""
    with user:
        return " ".join(
            element.content for element in ui.context.client.elements.values() if isinstance(element, ui.html)
        )


async def settled(user, word, patience_s=8.0):
    """The page's markup once it holds a word that comes after a job."""
    for _ in range(int(patience_s / 0.05)):
        if word in said(user):
            return said(user)
        await asyncio.sleep(0.05)
    raise AssertionError(f"{word!r} never came; the page says: {said(user)[-2000:]}")


async def test_home_leads_to_the_car_that_was_run_last(user, desk):
    answer = await user.http_client.get("/")
    assert answer.status_code == 307
    assert answer.headers["location"] == "/car/Sedgeford%20estate"


async def test_home_of_an_empty_book_leads_to_a_new_car(user, desk, monkeypatch):
    monkeypatch.setattr(desk, "cars", tuple)
    assert (await user.http_client.get("/")).headers["location"] == "/new"


async def test_today_says_what_to_do_now(user, car_path):
    await user.open(car_path)
    page = await settled(user, "See the whole setup")
    assert "pressure cap, gear 3: 2.00 → 2.25 bar abs" in page
    assert ">10.98<" in page
    assert "10.90 – 11.09" in page


@pytest.mark.parametrize("path", ["", "/next"])
async def test_what_a_plan_must_say_of_its_guards_stands_before_its_figures(user, car_path, desk, monkeypatch, path):
    whole, caution = desk.plan, phrase("plan.caution.newest_crosses", guard=phrase("guard.knock_retard_deg"))
    monkeypatch.setattr(desk, "plan", lambda *asked, **named: replace(whole(*asked, **named), cautions=(caution,)))
    await user.open(f"{car_path}{path}")
    page = await settled(user, "10.90 – 11.09")
    assert "would cross a guard on a bad pass (knock retard)" in page
    assert page.index("would cross a guard") < page.index("10.90 – 11.09")


async def test_the_clocks_of_the_newest_pass_carry_their_spread(user, car_path):
    await user.open(car_path)
    table = said(user).partition("<tbody>")[2].partition("</tr>")[0]
    assert table.count('<span class="soft spread">±') == 3


async def test_today_lists_the_newest_passes(user, car_path):
    await user.open(car_path)
    page = said(user)
    assert page.index('/pass/3">Pass 3') < page.index('/pass/1">Pass 1')


async def test_a_stop_finding_stands_in_place_of_the_plan(user, car_path, desk, monkeypatch):
    whole = desk.reviewed

    def with_findings(kept, kept_pass):
        reviewed = whole(kept, kept_pass)
        return replace(reviewed, review=replace(reviewed.review, findings=sample_findings()))

    monkeypatch.setattr(desk, "reviewed", with_findings)
    await user.open(car_path)
    page = await settled(user, "Lean at full throttle in gear 4")
    assert "Do not run again until this is resolved" in page
    assert "See the whole setup" not in page


async def test_a_pass_shows_its_timeslip_and_findings(user, car_path):
    await user.open(f"{car_path}/pass/3")
    page = said(user)
    for words in ("Pass 3", "60 ft", "trap speed", "0 to 100 km/h", "charge spray"):
        assert words in page


async def test_a_value_that_the_log_cannot_support_says_why(user, car_path):
    await user.open(f"{car_path}/pass/3")
    assert "slip-reason" in said(user)


async def test_a_pass_that_is_not_there_is_said_so(user, car_path):
    answer = await user.http_client.get(f"{car_path}/pass/77")
    assert answer.status_code == 404
    assert "has no pass 77" in answer.text


async def test_a_car_that_is_not_there_is_said_so(user):
    answer = await user.http_client.get("/car/Nobody")
    assert answer.status_code == 404
    assert "no car is named" in answer.text


async def test_a_german_visitor_is_refused_in_german(user, car_path):
    user.http_client.cookies.set("nextpass-view", "de.bar.absolute.kmh.day")
    answer = await user.http_client.get(f"{car_path}/pass/77")
    assert answer.status_code == 404
    assert "hat keinen Lauf 77" in answer.text
    assert "es hat 3" in answer.text


async def test_the_next_pass_shows_ladder_forecast_guards_and_reasons(user, car_path):
    await user.open(f"{car_path}/next")
    page = await settled(user, "What if")
    for words in ("ladder-value", "last setup again", "injector duty", "first gear spun", "Injector flow above 80"):
        assert words in page


async def test_a_plan_that_cannot_be_made_says_what_to_do(user, car_path, desk, monkeypatch):
    def refuse(*_, **__):
        raise NotEnoughData("the passes cannot tell", remedy="log manifold pressure")

    monkeypatch.setattr(desk, "plan", refuse)
    await user.open(f"{car_path}/next")
    page = await settled(user, "the passes cannot tell")
    assert "log manifold pressure" in page


async def test_a_fault_of_ours_is_never_shown_as_the_visitors(user, car_path, desk, monkeypatch, caplog):
    monkeypatch.setattr(desk, "plan", lambda *_, **__: 1 / 0)
    await user.open(f"{car_path}/next")
    page = await settled(user, "this is its fault")
    assert "division" not in page
    assert "a job of a page failed" in caplog.text


async def test_units_and_language_follow_the_cookie(user, car_path):
    user.http_client.cookies.set("nextpass-view", "de.psi.gauge.mph.night")
    await user.open(f"{car_path}/next")
    page = await settled(user, "Was wäre wenn")
    # 225 kPa less the day's 100.9 kPa is 124.1 kPa: 18.0 psi, by hand with 6.894757 kPa a psi.
    assert ">18,0<" in page
    assert "psi rel." in page


@pytest.mark.parametrize("cookie", ["", "x.y.z", "de.psi.gauge.mph.night.extra", '"><script>', "en.kpa.kpa.kpa.kpa"])
async def test_any_cookie_gives_a_page(user, car_path, cookie):
    user.http_client.cookies.set("nextpass-view", cookie)
    await user.open(f"{car_path}/passes")
    assert "<script>" not in said(user)


async def test_the_car_shows_what_is_assumed_and_what_the_passes_say(user, car_path):
    await user.open(f"{car_path}/file")
    page = await settled(user, "passes say 1.220 ±0.050")
    assert "assumed 0.12" in page
    assert "mass as raced" in page


async def test_the_ledger_shows_what_launches_cost_and_what_was_done(user, car_path, desk):
    kept = desk.kept_car(CAR_NAME)
    oil = LedgerEntry(when=OLD_DAY, kind="service", item="gearbox <oil>", values={"filled_l": 5.2}, due_launches=2.0)
    keep_ledger_entries(desk, kept, [oil])
    await user.open(f"{car_path}/ledger")
    page = await settled(user, "Done by hand")
    for words in ("Nothing drifts as far as 3 passes show.", "guard 260 kJ", "<b>due</b>", "gearbox &lt;oil&gt;"):
        assert words in page
    assert page.count('<figure class="trend">') >= 3


async def test_an_entry_is_read_from_its_fields():
    texts = {"kind": "learned", "when": "2026-05-01T10:00", "state": "before", "item": "clutch"}
    texts |= {"values": "bite_a_mm = 3,2\n\nbox = new", "codes": "stored P0299"}
    entry = entry_of(texts)
    assert (entry.kind, entry.item, entry.state, entry.codes) == ("learned", "clutch", "before", ("P0299",))
    assert dict(entry.values) == {"bite_a_mm": 3.2, "box": "new"}


@pytest.mark.parametrize(
    ("texts", "message"),
    [
        ({}, "it does not say what it is about; write it, such as gearbox oil"),
        ({"item": "oil", "when": "soon"}, "the time cannot be read; choose a day and an hour"),
        ({"item": "oil", "due_days": "x"}, "due_days: x is no number; write a number above 0"),
        ({"item": "oil", "values": "3.2"}, "3.2 is no value; one a line: bite_point_a_mm = 3.2"),
    ],
)
async def test_an_entry_that_cannot_be_is_refused(texts, message):
    with pytest.raises(SettingError) as refusal:
        entry_of({"kind": "note", "when": "2026-05-01T10:00", "state": "", **texts})
    assert str(refusal.value) == message


async def test_codes_are_read_from_the_address(user, car_path):
    await user.open(f"{car_path}/codes?codes=P0299&with=3&before=P0171")
    page = await settled(user, "Likely causes")
    assert "Charge pressure below target (underboost)" in page
    assert f'Weighed against <a href="{car_path}/pass/3">Pass 3</a>' in page
    assert "Before clearing: save the codes" in page


async def test_a_sum_is_worked_out_from_the_address_in_the_readers_units(user, car_path):
    user.http_client.cookies.set("nextpass-view", "de.psi.gauge.mph.day")
    await user.open(f"{car_path}/bench/supply?fuel=E60&manifold_pressure_kpa=18")
    page = await settled(user, "Was herauskommt")
    # 18 psi over the day's 100.9 kPa, back in the same unit.
    assert '<b>18</b> <span class="soft">psi rel.</span>' in page


async def test_two_passes_are_put_against_each_other(user, car_path, desk, monkeypatch):
    monkeypatch.setattr(compare, "compare_kept", lambda _desk, _kept, _asked, _report: sample_comparison())
    await user.open(f"{car_path}/compare?before=1&after=2,3")
    page = await settled(user, "Clock by clock")
    assert "It helped" in page
    assert "+0.052" in page
    assert 'name="after" value="3" checked' in page
    assert "gain-sure" in page


async def test_passes_that_were_never_set_otherwise_must_be_chosen(user, car_path):
    await user.open(f"{car_path}/compare")
    assert "Every pass has the same setup." in await settled(user, "Which passes")


@pytest.mark.parametrize("path", ["/compare?before=99&after=1", "/codes?codes=P0299&with=99"])
async def test_a_pass_that_is_asked_for_and_not_there_is_said_so(user, car_path, path):
    answer = await user.http_client.get(f"{car_path}{path}")
    assert answer.status_code == 404
    assert "has no pass 99" in answer.text


@pytest.mark.parametrize("path", ["/bench/nothing", "/bench/test/nothing", "/compare?before=x&after=1"])
async def test_an_address_that_asks_for_nothing_known_is_refused(user, car_path, path):
    assert (await user.http_client.get(f"{car_path}{path}")).status_code == 422


async def test_names_of_a_user_are_text_everywhere(user, desk):
    hostile = "<img src=x onerror=alert(1)>"
    text = desk.kept_car(CAR_NAME).file_text.replace(f'"{CAR_NAME}"', f"'{hostile}'")
    kept = desk.add_car(text)
    for path in ("", "/passes", "/next", "/file", "/compare", "/ledger", "/codes", "/bench", "/bench/gearing"):
        await user.open(f"/car/{kept.id}{path}")
        assert "<img src=x" not in said(user).replace("&lt;img src=x", "")


async def test_a_car_whose_name_looks_like_a_path_has_its_pages(user, desk):
    text = desk.kept_car(CAR_NAME).file_text.replace(CAR_NAME, "../4.0/wagon")
    kept = desk.add_car(text)
    await user.open(f"/car/{kept.id}/passes")
    page = said(user)
    assert f'<option value="/car/{kept.id}" selected>../4.0/wagon</option>' in page
    assert f'href="/car/{kept.id}/next"' in page


def test_lost_time_is_told_by_cause_and_gear_and_its_absence_by_reason():
    lost = LostTime(
        whole_s=Estimate(value=0.61, plus_minus=0.05),
        limit_et_s=10.66,
        parts=(
            Loss(cause="wheel slip", gear=1, seconds=Estimate(value=0.4, plus_minus=0.04)),
            Loss(cause="rest", gear=None, seconds=Estimate(value=0.21, plus_minus=0.03)),
        ),
    )
    page = losses_html(lost, Reader(language="de"))
    assert "Radschlupf, 1. Gang" in page
    assert "<b>0,40</b>" in page
    assert 'width="100.0%"' in page
    assert losses_html(Absent(reason="no <gear> channel"), Reader()) == "<p>no &lt;gear&gt; channel</p>"


def test_every_cause_of_lost_time_has_its_words():
    for cause in get_args(Cause):
        for language in LANGUAGES:
            assert f"loss.cause_{cause.replace(' ', '_')}" in keys(language)
