"""The book keeps what was acknowledged, once, and gives it back to the letter."""

from pathlib import Path

import pytest
from sqlalchemy import create_engine, text

from nextpass.book import (
    answers_of,
    cars,
    export_pass,
    keep_answer,
    keep_car,
    keep_pass,
    open_book,
    passes_of,
    remember,
    remembered,
)
from nextpass.car import Conditions, PassRecord, Setup
from nextpass.errors import BookError

DAY = Conditions(air_temperature_c=20.0, pressure_kpa=100.0, humidity=0.5, track_temperature_c=30.0)


def pass_folder(place: Path, name: str, log: bytes = b"Time (s),RPM\n0,850\n") -> PassRecord:
    folder = place / name
    folder.mkdir()
    (folder / "pass.toml").write_text(
        f'[pass]\nlog = "log.csv"  # {name}, the driver\'s own hand: ü\n', encoding="utf-8"
    )
    (folder / "log.csv").write_bytes(log)
    return PassRecord(
        folder=folder,
        number=1,
        started=None,
        logs=(folder / "log.csv",),
        notes="",
        conditions=DAY,
        setup=Setup(values={"fuel": "E60"}),
        clocks=None,
    )


@pytest.fixture
def book(tmp_path):
    with_book = open_book(tmp_path / "book")
    yield with_book
    with_book.close()


def test_a_pass_comes_back_byte_for_byte(book, tmp_path):
    record = pass_folder(tmp_path, "first", log=bytes(range(256)) * 40)
    car = keep_car(book, "wagon", "[car]\n")
    kept = keep_pass(book, car, record)
    back = export_pass(book, kept.id, tmp_path / "back")
    for name in ("pass.toml", "log.csv"):
        assert (back / name).read_bytes() == (record.folder / name).read_bytes()


def test_the_same_pass_is_kept_once_and_order_is_kept(book, tmp_path):
    car = keep_car(book, "wagon", "[car]\n")
    records = [pass_folder(tmp_path, name) for name in ("a", "b", "c")]
    for record in [*records, records[0]]:
        keep_pass(book, car, record)
    assert [kept.sequence for kept in passes_of(book, car)] == [1, 2, 3]


def test_an_answer_of_another_car_file_is_not_given(book, tmp_path):
    car = keep_car(book, "wagon", "[car]\nversion 1")
    kept = keep_pass(book, car, pass_folder(tmp_path, "first"))
    keep_answer(book, kept.id, "review", car.file_id, "0.1", {"et_s": 11.2})
    assert answers_of(book, [kept.id], "review", car.file_id, "0.1") == {kept.id: {"et_s": 11.2}}
    changed = keep_car(book, "wagon", "[car]\nversion 2")
    assert answers_of(book, [kept.id], "review", changed.file_id, "0.1") == {}
    assert answers_of(book, [kept.id], "review", car.file_id, "0.2") == {}


def test_an_older_car_file_put_back_is_in_force_again(book):
    first = keep_car(book, "wagon", "one")
    keep_car(book, "wagon", "two")
    keep_car(book, "wagon", "one")
    assert [(car.file_id, car.file_text) for car in cars(book)] == [(first.file_id, "one")]


def test_a_choice_is_remembered_for_the_car(book):
    car = keep_car(book, "wagon", "one")
    assert remembered(book, car, "channels") is None
    remember(book, car, "channels", ["engine_rpm"])
    remember(book, car, "channels", ["engine_rpm", "gear"])
    assert remembered(book, car, "channels") == ["engine_rpm", "gear"]


def test_a_book_opens_again_with_all_in_it(tmp_path):
    first = open_book(tmp_path / "book")
    car = keep_car(first, "wagon", "one")
    keep_pass(first, car, pass_folder(tmp_path, "first"))
    first.close()
    again = open_book(tmp_path / "book")
    assert [car.pass_count for car in cars(again)] == [1]
    again.close()


def test_a_book_of_a_newer_program_is_refused(tmp_path):
    place = tmp_path / "book"
    open_book(place).close()
    engine = create_engine(f"sqlite:///{place / 'book.sqlite'}")
    with engine.begin() as connection:
        connection.execute(text("update alembic_version set version_num = '9999'"))
    engine.dispose()
    with pytest.raises(BookError) as refusal:
        open_book(place)
    assert str(refusal.value) == f"{place}: a newer nextpass made this book; update nextpass"


def test_a_file_in_place_of_the_folder_is_refused(tmp_path):
    place = tmp_path / "book"
    place.write_text("not a folder")
    with pytest.raises(BookError) as refusal:
        open_book(place)
    assert str(refusal.value) == (
        f"{place}: the folder cannot be written (File exists); choose a folder you may write to"
    )
