"""Passes into a book and out of it, found and made anew, as a person types it."""

import hashlib
import json
import shutil
import zipfile
from pathlib import Path

import pytest
from typer.testing import CliRunner

from nextpass import __version__
from nextpass.answers import FindAnswer, ImportAnswer, RecheckAnswer
from nextpass.book import (
    Entry,
    answers_of,
    car_named,
    cars,
    content_of,
    export_pass,
    keep_car,
    keep_entries,
    kept_channels,
    open_book,
    passes_of,
)
from nextpass.cli.main import app
from nextpass.jobs import open_desk
from nextpass.log import open_log

pytestmark = pytest.mark.xdist_group("book")
KEPT = Path(__file__).parents[1] / "book" / "kept" / "schema-0001"
CAR = "Oake wagon"


def run(*words: object):
    return CliRunner().invoke(app, [str(word) for word in words])


@pytest.fixture(scope="module")
def season(tmp_path_factory):
    """A car folder with two real passes, taken from the book that an older version wrote."""
    place = tmp_path_factory.mktemp("season")
    shutil.copytree(KEPT, place / "old")
    book = open_book(place / "old")
    (car,) = cars(book)
    folder = place / "wagon"
    for one in passes_of(book, car):
        export_pass(book, one.id, folder / f"pass{one.sequence}")
    (folder / "car.toml").write_text(car.file_text, encoding="utf-8")
    (folder / "pass2" / "slip.jpg").write_bytes(b"\xff\xd8 a photograph")
    book.close()
    return folder


@pytest.fixture(scope="module")
def full(season, tmp_path_factory):
    """A book with that season, imported by the command."""
    place = tmp_path_factory.mktemp("full") / "book"
    answer = run("import", season, "--book", place, "--json")
    assert answer.exit_code == 0, answer.stderr
    told = ImportAnswer.model_validate_json(answer.stdout)
    assert (told.cars, told.new, told.refused) == ([CAR], 2, [])
    return place


@pytest.fixture
def book_copy(full, tmp_path):
    shutil.copytree(full, tmp_path / "copy")
    return tmp_path / "copy"


def files_of(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_import_once_more_changes_nothing(full, season):
    told = ImportAnswer.model_validate_json(run("import", season, "--book", full, "--json").stdout)
    assert (told.new, told.corrected, told.known) == (0, 0, 2)


def test_a_pass_that_cannot_be_read_does_not_stop_the_others(season, tmp_path):
    folder = tmp_path / "wagon"
    shutil.copytree(season, folder)
    shutil.copytree(folder / "pass1", folder / "pass3")
    (folder / "pass3" / "log.csv").write_text("no log at all\n")
    answer = run("import", folder, "--book", tmp_path / "book", "--json")
    assert answer.exit_code == 2
    told = ImportAnswer.model_validate_json(answer.stdout)
    assert told.new == 2
    assert [line.split(":")[0] for line in told.refused] == [str(folder / "pass3" / "log.csv")]


def test_find_by_value_and_finding(full):
    everything = FindAnswer.model_validate_json(run("find", "--book", full, "--json").stdout)
    assert (len(everything.passes), everything.out_of_date) == (2, 0)
    et_s = [one.values["et_s"] for one in everything.passes]
    bound = sum(et_s) / 2
    quicker = FindAnswer.model_validate_json(run("find", "--book", full, "--where", f"et_s < {bound}", "--json").stdout)
    assert [one.values["et_s"] for one in quicker.passes] == [min(et_s)]
    # Both were run at Fenmoor, but only the second says so; its strip clock said 11.785 s.
    there = FindAnswer.model_validate_json(run("find", "--book", full, "--strip", "Fenmoor Strip", "--json").stdout)
    assert [one.values["strip_et_s"] for one in there.passes] == [11.785]
    for code in {finding.code for one in everything.passes for finding in one.findings}:
        by_code = FindAnswer.model_validate_json(run("find", "--book", full, "--finding", code, "--json").stdout)
        assert all(code in {finding.code for finding in one.findings} for one in by_code.passes)
        assert by_code.passes


def test_a_finding_that_no_review_has_is_refused_with_the_nearest(full):
    answer = run("find", "--book", full, "--finding", "wheelslip")
    assert answer.exit_code == 2
    assert "'wheelslip' is no finding" in " ".join(answer.stderr.split())
    assert "wheel-slip" in answer.stderr


def test_find_shows_a_table(full):
    answer = run("find", "--book", full)
    assert answer.exit_code == 0
    assert "2 passes" in answer.stdout


@pytest.mark.parametrize(
    "words",
    [
        ("find",),
        ("recheck",),
        ("bundle", "x.nextpass"),
        ("export", "x"),
        ("report", "--car", CAR, "--season", "--html", "x.html"),
        ("compare", CAR, 1, 2),
        ("ledger", CAR),
        ("codes", "P0299", "--car", CAR),
    ],
    ids=lambda words: words[0],
)
def test_a_book_that_is_not_there_is_refused_and_not_made(tmp_path, words):
    place = tmp_path / "seasn"
    answer = run(*words, "--book", place)
    assert (answer.exit_code, answer.stderr.splitlines()[-1]) == (
        2,
        f"nextpass: {place}: there is no book here; check the name, or begin a book with nextpass import",
    )
    assert not place.exists()


def test_a_file_is_no_book(full, tmp_path):
    place = tmp_path / "notes.txt"
    place.write_text("no book")
    answer = run("find", "--book", place)
    assert (answer.exit_code, answer.stderr.splitlines()[-1]) == (
        2,
        f"nextpass: {place}: is a file, and a book is a folder; give the folder of the book",
    )


@pytest.mark.parametrize("words", [(1, 1), ("--before", 1, "--before", 1, "--after", 2)])
def test_a_pass_that_is_named_twice_is_not_compared(full, words):
    answer = run("compare", CAR, *words, "--book", full)
    assert (answer.exit_code, answer.stderr.splitlines()[-1]) == (
        2,
        "nextpass: 1: this pass is named twice; name each pass once",
    )


def test_a_car_that_is_not_there_is_refused(full):
    answer = run("find", "--book", full, "--car", "coupe")
    assert (answer.exit_code, answer.stderr) == (
        2,
        f"nextpass: {full}: the book has no car named 'coupe'; it has {CAR}\n",
    )


def test_a_changed_car_file_makes_every_answer_anew(book_copy):
    book = open_book(book_copy)
    text = car_named(book, CAR).file_text + "# new tyres\n"
    keep_car(book, CAR, text)
    book.close()
    stale = FindAnswer.model_validate_json(run("find", "--book", book_copy, "--json").stdout)
    assert stale.out_of_date == 2
    told = RecheckAnswer.model_validate_json(run("recheck", "--book", book_copy, "--json").stdout)
    assert (told.passes, told.made, told.refused) == (2, 2, [])
    book = open_book(book_copy)
    assert len(answers_of(book, car_named(book, CAR), "review", __version__)) == 2
    book.close()
    assert RecheckAnswer.model_validate_json(run("recheck", "--book", book_copy, "--json").stdout).made == 0


def reviews(place: Path) -> list[dict]:
    book = open_book(place)
    found = answers_of(book, car_named(book, CAR), "review", __version__)
    book.close()
    return sorted(found.values(), key=json.dumps)


def test_recheck_with_two_processes_gives_the_same_answers(book_copy):
    before = reviews(book_copy)
    answer = run("recheck", "--book", book_copy, "--all", "--workers", 2, "--json")
    assert answer.exit_code == 0, answer.stderr
    assert RecheckAnswer.model_validate_json(answer.stdout).made == 2
    assert reviews(book_copy) == before


@pytest.fixture
def scheduler():
    """Address of a cluster of one on loopback."""
    from distributed import LocalCluster

    with LocalCluster(
        n_workers=1, threads_per_worker=1, processes=False, host="127.0.0.1", protocol="tcp", dashboard_address=None
    ) as cluster:
        yield cluster.scheduler_address


def test_recheck_on_a_cluster_gives_the_same_answers(book_copy, scheduler):
    before = reviews(book_copy)
    answer = run("recheck", "--book", book_copy, "--all", "--scheduler", scheduler, "--json")
    assert answer.exit_code == 0, answer.stderr
    assert RecheckAnswer.model_validate_json(answer.stdout).made == 2
    assert reviews(book_copy) == before


def without_log(place: Path, sequence: int) -> Path:
    """Lose the log of a pass, and give where it was."""
    desk = open_desk(place)
    kept = desk.kept_car(CAR)
    (log,) = content_of(desk.book, desk.pass_numbered(kept, sequence).id).logs
    desk.close()
    (file,) = (place / "logs").rglob(f"{hashlib.sha256(log.content).hexdigest()}.gz")
    file.unlink()
    return file


@pytest.mark.parametrize("is_on_cluster", [False, True], ids=["here", "on a cluster"])
def test_a_lost_log_does_not_stop_the_recheck_of_the_others(book_copy, request, is_on_cluster):
    lost = without_log(book_copy, 1)
    where = ("--scheduler", request.getfixturevalue("scheduler")) if is_on_cluster else ("--workers", 1)
    answer = run("recheck", "--book", book_copy, "--all", *where, "--json")
    assert answer.exit_code == 2
    told = RecheckAnswer.model_validate_json(answer.stdout)
    assert told.made == 1
    assert told.refused == [f"{lost}: a log of the book cannot be read; bring it back from a copy"]


def test_the_channels_beside_the_book_are_exactly_those_of_the_log(book_copy):
    desk = open_desk(book_copy)
    kept = desk.kept_car(CAR)
    (first, *_) = desk.passes(kept)
    (file,) = (book_copy / "channels").rglob(f"{first.logs_sha256}.*.parquet")
    quick = kept_channels(book_copy, first.logs_sha256, file.name.split(".")[1])
    shutil.rmtree(book_copy / "channels")
    read = open_desk(book_copy).reviewed(kept, first).log
    assert set(quick.channels) == set(read.channels)
    for name, channel in read.channels.items():
        assert channel.values.tobytes() == quick[name].values.tobytes()
        assert channel.time_s.tobytes() == quick[name].time_s.tobytes()
    assert (quick.matches, quick.quality.remarks, quick.header_key) == (
        read.matches,
        read.quality.remarks,
        read.header_key,
    )
    desk.close()


def test_export_gives_the_folders_back_byte_for_byte(full, season, tmp_path):
    assert run("export", tmp_path / "out", "--book", full).exit_code == 0
    out = files_of(tmp_path / "out" / "oake-wagon")
    assert out["car.toml"] == (season / "car.toml").read_bytes()
    for number in (1, 2):
        expected = files_of(season / f"pass{number}")
        assert {name: out[f"pass-00{number}/{name}"] for name in expected} == expected


@pytest.fixture
def with_entry(book_copy):
    book = open_book(book_copy)
    car = car_named(book, CAR)
    keep_car(book, CAR, car.file_text + "# a later file\n")
    at = passes_of(book, car)[0].started
    entry = Entry(
        kind="trouble-code", subject="P0171", at=at, note="as the driver told", pass_id=passes_of(book, car)[0].id
    )
    keep_entries(book, car, [entry])
    book.close()
    return book_copy


@pytest.mark.parametrize("way", ["bundle", "export"])
def test_another_book_loses_nothing(with_entry, tmp_path, way):
    parcel = tmp_path / ("season.nextpass" if way == "bundle" else "out")
    assert run(way, parcel, "--book", with_entry).exit_code == 0
    other = tmp_path / "other"
    answer = run("import", parcel, "--book", other, "--json")
    assert answer.exit_code == 0, answer.stderr
    assert ImportAnswer.model_validate_json(answer.stdout).new == 2
    assert run("export", tmp_path / "first", "--book", with_entry).exit_code == 0
    assert run("export", tmp_path / "second", "--book", other).exit_code == 0
    first, second = files_of(tmp_path / "first"), files_of(tmp_path / "second")
    records = [json.loads(files.pop("oake-wagon/book.json")) for files in (first, second)]
    assert first == second
    assert records[0] == records[1]
    # And again: nothing is there twice.
    assert ImportAnswer.model_validate_json(run("import", parcel, "--book", other, "--json").stdout).known == 2


def test_what_is_personal_is_left_out_and_said(with_entry, tmp_path):
    parcel = tmp_path / "season.nextpass"
    answer = run("bundle", parcel, "--book", with_entry, "--pass", 2, "--without", "notes,owner,started,position")
    assert answer.exit_code == 0, answer.stderr
    assert "left out: date and time of the passes" in answer.stdout
    with zipfile.ZipFile(parcel) as packed:
        content = b"\n".join(packed.read(name) for name in packed.namelist())
        names = " ".join(packed.namelist())
        (log_name,) = (name for name in packed.namelist() if name.endswith(".parquet"))
        packed.extract(log_name, tmp_path)
    for word in (b"Oake", b"oake", b"smoke out of the hole", b"as the driver told", b"Fenmoor", b"2026-05-02"):
        assert word not in content, word
    assert "oake" not in names
    log = open_log(tmp_path / log_name)
    assert not {"latitude_deg", "longitude_deg", "altitude_m"} & set(log.channels)
    assert not log.unmatched
    told = run("import", parcel, "--book", tmp_path / "other", "--json")
    assert ImportAnswer.model_validate_json(told.stdout).new == 1
    # The pass is still worth something: the same ET from seven digits as from the log itself, to the millisecond.
    assert run("recheck", "--book", tmp_path / "other").exit_code == 0
    (found,) = FindAnswer.model_validate_json(run("find", "--book", tmp_path / "other", "--json").stdout).passes
    whole = FindAnswer.model_validate_json(run("find", "--book", with_entry, "--json").stdout).passes[1]
    assert found.values["et_s"] == pytest.approx(whole.values["et_s"], abs=1e-3)


def test_what_cannot_be_left_out_is_refused(full, tmp_path):
    answer = run("bundle", tmp_path / "x.nextpass", "--book", full, "--without", "boost")
    assert (answer.exit_code, answer.stderr.splitlines()[-1]) == (
        2,
        "nextpass: --without: 'boost' cannot be left out; write notes, owner, started, position",
    )


def test_another_car_of_the_same_name_is_not_mixed_in(full, tmp_path):
    parcel = tmp_path / "season.nextpass"
    assert run("bundle", parcel, "--book", full).exit_code == 0
    book = open_book(tmp_path / "other")
    keep_car(book, CAR, "[car]\nname = 'quite another'\n")
    book.close()
    answer = run("import", parcel, "--book", tmp_path / "other")
    assert (answer.exit_code, answer.stderr.splitlines()[-1]) == (
        2,
        f"nextpass: the book has another car named {CAR!r}; open it under another name with --as NAME",
    )
    assert run("import", parcel, "--book", tmp_path / "other", "--as", "Oake wagon of Fenmoor").exit_code == 0


def test_the_owner_gets_a_pass_on_paper_and_a_day_as_a_page(full, tmp_path):
    page, paper, day = tmp_path / "pass.html", tmp_path / "pass.pdf", tmp_path / "day.html"
    words = ("--book", full, "--car", CAR)
    assert run("report", *words, "--pass", 1, "--html", page, "--pdf", paper).exit_code == 0
    assert paper.read_bytes().startswith(b"%PDF")
    assert "first of the day, easy" in page.read_text(encoding="utf-8")
    assert run("report", *words, "--day", "2026-05-02", "--html", day).exit_code == 0
    assert "too much, smoke out of the hole" in day.read_text(encoding="utf-8")
    answer = run("report", *words, "--day", "2026-05-03", "--html", day)
    assert (answer.exit_code, answer.stderr.splitlines()[-1]) == (
        2,
        f"nextpass: {CAR} has no pass of 2026-05-03; there are passes of 2026-05-02",
    )


def test_the_owner_gets_the_season_and_the_day_in_both_forms(with_entry, tmp_path):
    words = ("report", "--book", with_entry, "--car", CAR)
    page, paper = tmp_path / "season.html", tmp_path / "season.pdf"
    assert run(*words, "--season", "--html", page, "--pdf", paper, "--language", "de").exit_code == 0
    assert paper.read_bytes().startswith(b"%PDF")
    said = page.read_text(encoding="utf-8")
    for word in ("Die Saison", "Lauf 2", "too much, smoke out of the hole"):
        assert word in said, word
    paper = tmp_path / "day.pdf"
    assert run(*words, "--day", "2026-05-02", "--pdf", paper).exit_code == 0
    assert paper.read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize("subject", [("--season",), ("--day", "2026-05-02"), ("--pass", "2")])
def test_nothing_personal_is_in_a_report_without_it(with_entry, tmp_path, subject):
    page = tmp_path / "report.html"
    words = ("report", "--book", with_entry, "--car", CAR, "--html", page, "--without", "notes,owner,started,position")
    answer = run(*words, *subject)
    assert answer.exit_code == 0, answer.stderr
    said = page.read_text(encoding="utf-8")
    for word in ("Oake", "smoke out of the hole", "as the driver told", "Fenmoor", "2026-05-02"):
        assert word not in said, word
    told = said.partition("Left out of this report")[2]
    for word in ("driver&#x27;s notes", "owner&#x27;s name", "days and times", "strip, lane and altitude"):
        assert word in told, word


def test_a_report_of_two_things_at_once_is_refused(full, tmp_path):
    answer = run("report", "--book", full, "--car", CAR, "--season", "--pass", 1, "--html", tmp_path / "x.html")
    assert (answer.exit_code, answer.stderr.splitlines()[-1]) == (
        2,
        "nextpass: report: a report is of a pass, of a day or of the season; give one of --pass, --day and --season",
    )
