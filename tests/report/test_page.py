"""A page that stands alone loads nothing and says the whole review; the PDF says the same."""

import html
import io
import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest
from tests.report.samples import sample_car, sample_findings, sample_plan, sample_reviewed

from nextpass.measure import Estimate
from nextpass.report import Reader, day_page, day_pdf, review_page, review_pdf
from nextpass.review import Finding, Severity
from nextpass.units import ShownUnits
from nextpass.words import phrase


class Loads(HTMLParser):
    """Everything that a page would fetch or run."""

    def __init__(self):
        super().__init__()
        self.found = []

    def handle_starttag(self, tag, attrs):
        named = dict(attrs)
        self.found += [value for name, value in named.items() if name in ("src", "href") and value]
        if tag in ("script", "link", "iframe", "object", "embed"):
            self.found.append(tag)


def seen(page):
    return " ".join(re.sub(r"<[^>]*>", " ", re.sub(r"<style>.*?</style>", " ", page, flags=re.S)).split())


def test_the_page_loads_nothing():
    car = sample_car()
    page = review_page(car, sample_reviewed(car), Reader())
    loads = Loads()
    loads.feed(page)
    assert loads.found == []
    assert set(re.findall(r"url\(([^)]{0,24})", page)) == {"data:font/woff2;base64,d"}
    assert "http://" not in page.replace("http://www.w3.org/2000/svg", "")


def test_the_page_says_the_review():
    car = sample_car()
    words = seen(review_page(car, sample_reviewed(car), Reader()))
    for said in (
        "Pass 3 · Sedgeford estate",
        "11.27 ±0.05 s 11.260",
        "the log ends before 200 km/h",
        "Lean at full throttle in gear 4",
        "gear 2 · 1.10 to 1.60 s",
        "slip up to 31 %",
        "cost 0.06 s",
        "Oil pressure never changes: stuck.",
        "tyres.peak_slip 0.12: common practice",
    ):
        assert said in words


def test_times_on_a_level_strip_stand_beside_the_raw_ones_where_slope_or_wind_is_known():
    car = sample_car()
    plain = sample_reviewed(car)
    slip = plain.review.timeslip
    level = replace(slip, et_s=Estimate(value=slip.et_s.value - 0.21, plus_minus=0.05))
    corrected = replace(plain, review=replace(plain.review, corrected=level))
    said = f"{level.et_s.value:.2f} ±0.05 s"
    for language, heading in (("en", "On a level strip in still air"), ("de", "Auf ebener Strecke bei Windstille")):
        reader = Reader(language=language)
        words = seen(review_page(car, corrected, reader))
        assert said.replace(".", "," if language == "de" else ".") in words[words.index(heading) :]
        assert heading in words_of(review_pdf(car, corrected, reader))
        assert heading not in seen(review_page(car, plain, reader))


def test_findings_stand_gravest_first():
    car = sample_car()
    reviewed = sample_reviewed(car, findings=tuple(reversed(sample_findings())))
    words = seen(review_page(car, reviewed, Reader()))
    places = [words.index(title) for title in ("Lean at full", "Wheels spun", "Injectors near", "No GPS")]
    assert places == sorted(places)


def test_speeds_follow_the_reader():
    car = sample_car()
    words = seen(review_page(car, sample_reviewed(car), Reader(language="de", units=ShownUnits(speed="mph"))))
    # 54.9 m/s over 0.44704 m/s a mph, by hand: 122.8.
    assert "122,8 ±0,9 mph" in words


def test_the_users_words_are_shown_and_never_run():
    car = sample_car(name="<script>alert(1)</script>")
    hostile = Finding(
        code="x",
        severity=Severity.NOTE,
        title="<img src=x onerror=alert(1)>",
        gear=None,
        start_s=0.0,
        end_s=1.0,
        channels=(),
        evidence={"<b>": 1.0},
        meaning="</style><script>",
        next_step="&",
    )
    page = review_page(car, sample_reviewed(car, findings=(hostile,)), Reader())
    loads = Loads()
    loads.feed(page)
    assert loads.found == []
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page


def test_a_day_shows_the_plan_and_every_pass_newest_first():
    car = sample_car()
    passes = [sample_reviewed(car, number=number) for number in (1, 2, 3)]
    words = seen(day_page(car, passes, sample_plan(car), Reader(language="de")))
    assert words.index("Nächster Lauf") < words.index("Lauf 3 2026") < words.index("Lauf 1 2026")
    assert "Druckgrenze, 3. Gang: 2,00 → 2,25 bar abs." in words


def test_a_day_without_a_plan_has_its_passes():
    car = sample_car()
    assert "Pass 3" in seen(day_page(car, [sample_reviewed(car)], None, Reader()))


LEFT_OUT = (phrase("season.without.notes"), phrase("season.without.started"))


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "Left out of this report the driver's notes days and times"),
        ("de", "In diesem Bericht weggelassen die Notizen des Fahrers Tage und Uhrzeiten"),
    ],
)
def test_what_is_left_out_of_a_pass_or_a_day_is_said_on_page_and_paper(language, said):
    car, reader = sample_car(), Reader(language=language)
    reviewed = sample_reviewed(car)
    for page in (review_page(car, reviewed, reader, LEFT_OUT), day_page(car, [reviewed], None, reader, LEFT_OUT)):
        assert said in html.unescape(seen(page))
    for paper in (review_pdf(car, reviewed, reader, LEFT_OUT), day_pdf(car, [reviewed], None, reader, LEFT_OUT)):
        assert said in words_of(paper).replace("• ", "")


def test_where_nothing_is_left_out_nothing_is_said_of_it():
    car = sample_car()
    assert "Left out" not in review_page(car, sample_reviewed(car), Reader())
    assert "Left out" not in words_of(review_pdf(car, sample_reviewed(car), Reader()))


def words_of(pdf):
    return " ".join(" ".join(page.extract_text() for page in pages_of(pdf)).split())


def pages_of(pdf):
    pypdf = pytest.importorskip("pypdf", reason="pypdf reads the words of a PDF back: pip install pypdf")
    return pypdf.PdfReader(io.BytesIO(pdf)).pages


def test_the_pdf_says_the_review_on_a4():
    car = sample_car()
    paper = review_pdf(car, sample_reviewed(car), Reader())
    pages, words = pages_of(paper), words_of(paper)
    for said in ("Sedgeford estate", "11.27", "Lean at full throttle in gear 4", "manifold pressure", "stuck"):
        assert said in words
    # ISO 216: A4 is 210 x 297 mm.
    assert float(pages[0].mediabox.width) == pytest.approx(210 / 25.4 * 72, abs=0.1)
