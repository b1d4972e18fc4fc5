"""An answer is given as long as program, car file and what was said about its log's columns are those that made it."""

from datetime import UTC, datetime

import pytest
from tests.book.passes import small_pass

from nextpass.book import (
    AnswerSet,
    Entry,
    KeptFinding,
    MadeAnswer,
    Search,
    answers_of,
    entries_of,
    find,
    forget_entry,
    keep_answers,
    keep_car,
    keep_entries,
    keep_pass,
    keep_said,
    said_checksum,
    said_in,
    stale_passes,
)
from nextpass.errors import SettingError

pytestmark = pytest.mark.xdist_group("book")
ANSWER = MadeAnswer(
    kind="review",
    body={"timeslip": {"et_s": {"value": 11.2}}},
    values={"et_s": 11.2, "launch_rpm": 3400.0, "gear_pressure_cap_kpa[3]": 200.0, "tyre": "drag"},
    findings=(KeptFinding(code="wheel-slip", severity="act", gear=1),),
)


def made(car, program="0.1", header="h1", said="", answer=ANSWER):
    return AnswerSet(program=program, car_file_id=car.file_id, header=header, said=said, answers=(answer,))


@pytest.fixture
def season(book, tmp_path):
    """A car with three passes: 11.2 s with wheel slip, 11.6 s clean, and one without an answer."""
    car = keep_car(book, "wagon", "[car]\nversion 1")
    kept = [
        keep_pass(book, car, small_pass(tmp_path, number, more=f"started = 2026-05-0{number}T10:00:00Z\n"))
        for number in (1, 2, 3)
    ]
    keep_answers(book, {kept[0].id: made(car)})
    slower = MadeAnswer(kind="review", body={}, values={"et_s": 11.6, "launch_rpm": 3000.0}, findings=())
    keep_answers(book, {kept[1].id: made(car, answer=slower)})
    return car


def test_an_answer_is_given_back(book, season):
    assert len(answers_of(book, season, "review", "0.1")) == 2
    assert ANSWER.body in answers_of(book, season, "review", "0.1").values()


def test_an_answer_of_another_program_or_car_file_is_out_of_date(book, season):
    assert answers_of(book, season, "review", "0.2") == {}
    changed = keep_car(book, "wagon", "[car]\nversion 2")
    assert answers_of(book, changed, "review", "0.1") == {}
    assert [one.sequence for one in stale_passes(book, [changed], ["review"], "0.1")] == [1, 2, 3]


def test_only_the_passes_with_that_header_are_outdated_by_what_is_said_about_it(book, season, tmp_path):
    other = keep_pass(book, season, small_pass(tmp_path, 4))
    keep_answers(book, {other.id: made(season, header="h2+h3")})
    keep_said(book, "h3", {"MAP": "manifold_pressure_kpa:psi gauge"})
    assert [one.sequence for one in stale_passes(book, [season], ["review"], "0.1")] == [3, other.sequence]
    said = said_checksum(said_in(book), "h2+h3")
    keep_answers(book, {other.id: made(season, header="h2+h3", said=said)})
    assert other.id in answers_of(book, season, "review", "0.1")


@pytest.mark.parametrize(
    ("search", "expected"),
    [
        (Search(), [1, 2, 3]),
        (Search(car="wagon", fuel="E60"), [1, 2, 3]),
        (Search(car="coupe"), []),
        (Search(findings=("wheel-slip",)), [1]),
        (Search(severity="act"), [1]),
        (Search(severity="stop"), []),
        (Search(where="et_s < 11.5"), [1]),
        (Search(where="not et_s < 11.5"), [2]),
        (Search(where="11 < et_s <= 11.6 and launch_rpm / 1000 > 2.9"), [1, 2]),
        (Search(where="gear_pressure_cap_kpa[3] == 200"), [1]),
        (Search(where="tyre == 'drag' or et_s - 0.1 > 11.45"), [1, 2]),
        (Search(where="fuel == 'E60' and sequence >= 2"), [2, 3]),
        (Search(where="et_s / 0 > 1"), []),
        (Search(since=datetime(2026, 5, 2, tzinfo=UTC), until=datetime(2026, 5, 3, tzinfo=UTC)), [2]),
    ],
    ids=lambda value: value.where or "" if isinstance(value, Search) else "",
)
def test_passes_are_found(book, season, search, expected):
    assert [one.sequence for one in find(book, search)] == expected


REFUSALS = {
    "et < 3": "et: no pass of the book has a value of that name; did you mean et_s?",
    "__import__('os').system('ls') == 1": (
        "--where: \"__import__('os').system('ls')\" is no number; "
        "write a comparison such as et_s < 11.5 and launch_rpm >= 3400"
    ),
    "et_s": "--where: 'et_s' is no comparison; write a comparison such as et_s < 11.5 and launch_rpm >= 3400",
    "et_s <": "--where: 'et_s <' is no condition; write a comparison such as et_s < 11.5 and launch_rpm >= 3400",
    "et_s < " + "1+" * 300 + "1": (
        "--where: is longer than 500 characters; write a comparison such as et_s < 11.5 and launch_rpm >= 3400"
    ),
}


@pytest.mark.parametrize("text", REFUSALS)
def test_what_is_no_condition_is_refused(book, season, text):
    with pytest.raises(SettingError) as refusal:
        find(book, Search(where=text))
    assert str(refusal.value) == REFUSALS[text]


def test_entries_keep_both_states_of_a_reset(book):
    car = keep_car(book, "wagon", "one")
    at = datetime(2026, 6, 1, 9, 30, tzinfo=UTC)
    before = Entry(
        kind="learned-value",
        subject="clutch_a_bite_mm",
        at=at,
        state="before",
        occasion="relearn",
        number=4.1,
        unit="mm",
    )
    after = Entry(
        kind="learned-value",
        subject="clutch_a_bite_mm",
        at=at,
        state="after",
        occasion="relearn",
        number=3.8,
        unit="mm",
    )
    code = Entry(kind="trouble-code", subject="P0171", at=at, word="stored", note="cleared twice")
    kept = keep_entries(book, car, [before, after, code])
    assert [(one.state, one.number) for one in entries_of(book, car, "learned-value")] == [
        ("before", 4.1),
        ("after", 3.8),
    ]
    assert entries_of(book, car, "trouble-code")[0].at == at
    forget_entry(book, kept[2].id)
    assert entries_of(book, car, "trouble-code") == ()
