"""A program that is killed leaves a book that opens, with every acknowledged pass whole and none half there."""

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.xdist_group("book")
PROGRAM = """
import sys
from pathlib import Path
sys.path.insert(0, {root!r})
from nextpass.book import car_record, CarParcel, car_named, content_of, keep_answers, keep_car, keep_pass, open_book
from nextpass.book import open_parcels, passes_of
from tests.book.kill import faults, killed, moment
from tests.book.passes import small_pass
from tests.book.test_answers import made

place, source, empty = Path({place!r}), Path({source!r}), Path({empty!r})
contents = [small_pass(source, number, log=bytes([number]) * 200_000) for number in range(1, 61)]
logs = {{content.toml: content.logs[0].content for content in contents}}

def keeping(place, tell):
    book = open_book(place)
    car = keep_car(book, "wagon", "[car]\\n")
    for content in contents:
        tell(keep_pass(book, car, content).id)

def answering(place, tell):
    book = open_book(place)
    car = keep_car(book, "wagon", "[car]\\n")
    for one in passes_of(book, car):
        keep_answers(book, one.id, made(car))

def opening(place, tell):
    parcel = CarParcel(record=record, content=lambda folder: by_folder[folder])
    open_parcels(open_book(place), [parcel])

whole = open_book(source / "whole")
car = keep_car(whole, "other wagon", "[car]\\n")
for content in contents[:8]:
    keep_pass(whole, car, content)
record, folders = car_record(whole, car_named(whole, "other wagon"))
by_folder = {{folder: content_of(whole, pass_id) for folder, pass_id in folders.items()}}
whole.close()

acknowledged, at_work = set(), 0
for kill in range({kills}):
    task, longest_s = ((keeping, 0.6), (answering, 0.3), (opening, 0.3))[kill % 3]
    told, was_killed = killed(task, place, moment(kill, longest_s))
    acknowledged |= set(told)
    at_work += was_killed
    wrong = faults(place, acknowledged, logs)
    assert not wrong, (kill, task.__name__, wrong)
counts = {{one.name: one.pass_count for one in __import__("nextpass.book").book.cars(open_book(place))}}
assert counts.get("other wagon", 0) in (0, 8), counts
print(at_work, len(acknowledged))
"""


def test_kills_while_passes_answers_and_bundles_are_kept(tmp_path, empty_folder):
    """Twenty-four kills here; `benchmarks/book.py` makes five hundred."""
    place, source = tmp_path / "book", tmp_path / "source"
    source.mkdir()
    shutil.copytree(empty_folder, place)
    root = Path(__file__).parents[2]
    script = PROGRAM.format(root=str(root), place=str(place), source=str(source), empty=str(empty_folder), kills=24)
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False, timeout=300)
    assert done.returncode == 0, done.stderr
    at_work, acknowledged = map(int, done.stdout.split())
    # A kill that comes after the work is done tests nothing: most must come in the middle of it.
    assert at_work >= 12
    assert acknowledged > 0
