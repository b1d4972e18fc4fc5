"""Kill programs that write a book, one after the other, and look at the book after each.

python tests/book/kills.py FOLDER COUNT    prints how many were killed at work, and how many passes were acknowledged
"""

import sys
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.book.kill import Task, faults, killed, moment, seconds_of
from tests.book.passes import small_pass

from nextpass import __version__
from nextpass.book import (
    AnswerSet,
    CarParcel,
    MadeAnswer,
    answers_of,
    car_named,
    car_record,
    cars,
    content_of,
    keep_answers,
    keep_car,
    keep_pass,
    open_book,
    open_parcels,
    passes_of,
)

PASSES = 16
IN_BUNDLE = 8
# All over again after so many, so that there is always something left to write.
KILLS_OF_A_BOOK = 9


def main(folder: Path, kills: int) -> None:
    """Kill, look, and go on; stops with an assertion at the first fault."""
    source = folder / "source"
    contents = [small_pass(source, number, log=bytes([number]) * 200_000) for number in range(1, PASSES + 1)]
    logs = {content.toml: content.logs[0].content for content in contents}
    record, by_folder = parcel(folder / "whole", contents[:IN_BUNDLE])

    def keeping(book_place: Path, tell: Callable[[str], None]) -> None:
        book = open_book(book_place)
        car = keep_car(book, "wagon", "[car]\n")
        for content in contents:
            tell(keep_pass(book, car, content).id)

    def answering(book_place: Path, tell: Callable[[str], None]) -> None:
        book = open_book(book_place)
        car = keep_car(book, "wagon", "[car]\n")
        for one in passes_of(book, car):
            keep_answers(book, one.id, answers(car.file_id))
            tell(one.id)

    def opening(book_place: Path, tell: Callable[[str], None]) -> None:
        open_parcels(open_book(book_place), [CarParcel(record=record, content=by_folder.__getitem__)])
        tell("")

    tasks: tuple[Task, ...] = (keeping, answering, opening)
    # Kills are spread over most of the work, however slow the machine is; on books that are filled it takes less.
    spare = folder / "spare"
    longest_s = [0.7 * seconds_of(task, spare) for task in tasks]
    at_work = kept = 0
    for kill in range(kills):
        if kill % KILLS_OF_A_BOOK == 0:
            place = folder / f"book{kill}"
            open_book(place).close()
            acknowledged: set[str] = set()
        task = tasks[kill % len(tasks)]
        told, was_killed = killed(task, place, moment(kill, longest_s[kill % len(tasks)]))
        kept += len(set(told) - acknowledged - {""})
        acknowledged |= set(told) - {""}
        at_work += was_killed
        wrong = faults(place, acknowledged, logs) + half_there(place)
        assert not wrong, (kill, task.__name__, wrong)
        if kill % 20 == 19:
            print(f"{kill + 1} kills, {at_work} at work, {kept} passes acknowledged", file=sys.stderr, flush=True)
    print(at_work, kept)


def parcel(place: Path, contents: list) -> tuple:
    book = open_book(place)
    car = keep_car(book, "other wagon", "[car]\n")
    for content in contents:
        kept = keep_pass(book, car, content)
        keep_answers(book, kept.id, answers(car.file_id))
    record, folders = car_record(book, car_named(book, "other wagon"))
    by_folder = {folder: content_of(book, pass_id) for folder, pass_id in folders.items()}
    book.close()
    return record, by_folder


def answers(car_file_id: str) -> AnswerSet:
    values = {f"value_{number}": float(number) for number in range(30)}
    made = MadeAnswer(kind="review", body={"timeslip": {}}, values=values, findings=())
    return AnswerSet(program=__version__, car_file_id=car_file_id, header="h", said="", answers=(made,))


def half_there(place: Path) -> list[str]:
    """A bundle that came in by half, or an answer without all that it is found by."""
    book = open_book(place)
    wrong = []
    for car in cars(book):
        if car.name == "other wagon":
            whole = answers_of(book, car, "review", __version__)
            if (car.pass_count, len(whole)) != (IN_BUNDLE, IN_BUNDLE):
                wrong.append(f"the bundle came in by half: {car.pass_count} passes, {len(whole)} answers")
    book.close()
    return wrong


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
