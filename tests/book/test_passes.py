"""The book keeps what was acknowledged, once and in order, and gives it back to the letter."""

import pytest
from tests.book.passes import pass_folder, small_pass

from nextpass.book import (
    car_named,
    cars,
    export_pass,
    keep_car,
    keep_pass,
    keep_pass_told,
    open_book,
    pass_content,
    pass_numbered,
    pass_with_id,
    passes_of,
    remember,
    remembered,
)
from nextpass.errors import BookError, PassFileError

pytestmark = pytest.mark.xdist_group("book")


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_a_pass_comes_back_byte_for_byte(book, tmp_path, newline):
    folder = pass_folder(tmp_path, 1, log=bytes(range(256)) * 40, newline=newline)
    (folder / "timeslip.jpg").write_bytes(b"\xff\xd8 a photograph")
    kept = keep_pass(book, keep_car(book, "wagon", "[car]\n"), pass_content(folder))
    back = export_pass(book, kept.id, tmp_path / "back")
    assert {path.name: path.read_bytes() for path in back.iterdir()} == {
        path.name: path.read_bytes() for path in folder.iterdir()
    }


def test_a_log_in_a_folder_of_the_pass_comes_back_there(book, tmp_path):
    folder = tmp_path / "pass"
    (folder / "logs").mkdir(parents=True)
    (folder / "logs" / "bus.asc").write_bytes(b"trace")
    (folder / "pass.toml").write_text('[pass]\nlog = "logs\\\\bus.asc"\n[setup]\nfuel = "E60"\n')
    kept = keep_pass(book, keep_car(book, "wagon", "[car]\n"), pass_content(folder))
    assert kept.log_names == ("logs/bus.asc",)
    assert (export_pass(book, kept.id, tmp_path / "back") / "logs" / "bus.asc").read_bytes() == b"trace"


def test_a_log_outside_the_folder_is_refused(tmp_path):
    folder = pass_folder(tmp_path, 1)
    (folder / "pass.toml").write_text('[pass]\nlog = "../log.csv"\n')
    with pytest.raises(PassFileError) as refusal:
        pass_content(folder)
    assert str(refusal.value) == (
        f"{folder / 'pass.toml'}: '../log.csv' leads out of the pass folder; put the log beside the pass file"
    )


def test_the_truth_of_the_proving_ground_is_no_part_of_a_pass(tmp_path):
    folder = pass_folder(tmp_path, 1)
    (folder / "truth.toml").write_text("et_s = 11.0\n")
    assert pass_content(folder).beside == ()


def test_the_same_pass_is_kept_once(book, tmp_path):
    car = keep_car(book, "wagon", "[car]\n")
    contents = [small_pass(tmp_path, number) for number in (1, 2, 3)]
    told = [keep_pass_told(book, car, content)[1] for content in [*contents, contents[0]]]
    assert told == ["new", "new", "new", "known"]
    assert [kept.sequence for kept in passes_of(book, car)] == [1, 2, 3]


def test_another_pass_file_with_the_same_logs_corrects_the_pass(book, tmp_path):
    car = keep_car(book, "wagon", "[car]\n")
    first = keep_pass(book, car, small_pass(tmp_path, 1))
    again, told = keep_pass_told(book, car, small_pass(tmp_path, 1, more='strip = "Fenmoor Strip"\n'))
    assert (told, again.id, again.strip) == ("corrected", first.id, "Fenmoor Strip")
    assert b"Fenmoor" in (export_pass(book, first.id, tmp_path / "back") / "pass.toml").read_bytes()
    assert len(passes_of(book, car)) == 1


def test_passes_stand_in_the_order_in_which_they_were_run(book, tmp_path):
    car = keep_car(book, "wagon", "[car]\n")
    # The second was started earlier although its clock reads later: the zones differ.
    for number, started in ((1, "2026-05-02T14:10:00+00:00"), (2, "2026-05-02T15:05:00+02:00")):
        keep_pass(book, car, small_pass(tmp_path, number, more=f"started = {started}\n"))
    keep_pass(book, car, small_pass(tmp_path, 3, more="started = 2026-05-01T10:00:00\n"))
    kept = passes_of(book, car)
    assert [(one.number, one.sequence) for one in kept] == [(3, 1), (2, 2), (1, 3)]
    assert kept[1].started.isoformat() == "2026-05-02T15:05:00+02:00"
    assert pass_numbered(book, car, 2).number == 2


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


def test_a_book_opens_again_with_all_in_it(place, tmp_path):
    first = open_book(place)
    keep_pass(first, keep_car(first, "wagon", "one"), small_pass(tmp_path, 1))
    first.close()
    again = open_book(place)
    assert [car.pass_count for car in cars(again)] == [1]
    again.close()


def test_what_is_not_there_is_refused(book):
    car = keep_car(book, "wagon", "one")
    with pytest.raises(BookError) as refusal:
        car_named(book, "coupe")
    assert str(refusal.value) == f"{book.place.shown}: the book has no car named 'coupe'; it has wagon"
    with pytest.raises(BookError) as refusal:
        pass_numbered(book, car, 4)
    assert str(refusal.value) == f"{book.place.shown}: wagon has no pass 4; it has 0"
    with pytest.raises(BookError) as refusal:
        pass_with_id(book, "abc")
    assert str(refusal.value) == f"{book.place.shown}: no pass has the id 'abc'; list them with nextpass find"


def test_a_damaged_log_is_not_given_out(book, tmp_path):
    kept = keep_pass(book, keep_car(book, "wagon", "one"), small_pass(tmp_path, 1))
    (file,) = (book.folder / "logs").rglob("*.gz")
    file.write_bytes(file.read_bytes()[:-9] + b"damage!!!")
    with pytest.raises(BookError) as refusal:
        export_pass(book, kept.id, tmp_path / "back")
    assert str(refusal.value) == f"{file}: a log of the book is damaged; bring it back from a copy"
