"""Kill the jobs that write a book, one after the other, and look at the book after each.

python tests/book/kills.py FOLDER COUNT    prints how many were killed at work, and how many passes were acknowledged

The jobs are those of the command line and the pages: an import of pass folders, a plan, a recheck with one worker, and
a bundle from another book. Of a plan only the computation is taken as done: its settings come from a sample.
"""

import multiprocessing
import pickle
import shutil
import sys
from collections.abc import Callable
from pathlib import Path
from unittest.mock import patch

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.book.kill import Task, killed, moment, seconds_of
from tests.report.samples import sample_car, sample_plan

from nextpass import __version__
from nextpass.answers import PassFiguresAnswer, PlanAnswer, ReviewAnswer
from nextpass.book import answers_of, cars, content_of, open_book, passes_of
from nextpass.files import read_car, read_pass
from nextpass.jobs import (
    FIGURES,
    REVIEW,
    bundle_passes,
    find_passes,
    import_passes,
    open_desk,
    recheck_book,
    review_one,
)
from nextpass.jobs.answer_kinds import made_answers
from nextpass.jobs.desk import PLAN
from nextpass.proving import Logger, Mounting, demo_day, drive_demo_pass, write_car_file, write_pass_folder
from nextpass.review import review_pass

CAR = "Oake wagon"
COLLEAGUES = ("first colleague", "second colleague", "third colleague")
PASSES, IN_BUNDLE = 9, 4
# All over again after so many, so that there is always something left to write.
KILLS_OF_A_BOOK = 12
BODIES = {REVIEW: ReviewAnswer, FIGURES: PassFiguresAnswer, PLAN: PlanAnswer}


def main(folder: Path, kills: int) -> None:
    """Kill, look, and go on; stops with an assertion at the first fault."""
    # In a process of its own: threads of the table reader would not live through the forks that are to come.
    maker = multiprocessing.get_context("spawn").Process(target=make_sources, args=(folder,))
    maker.start()
    maker.join()
    assert maker.exitcode == 0
    logs = {
        (path / "pass.toml").read_text(): (path / "log.csv").read_bytes() for path in (folder / "season").glob("p*")
    }
    load_compiled(folder)

    tasks: tuple[Task, ...] = tasks_on(folder)
    # Kills are spread over most of the work, however slow the machine is; on books that are filled it takes less.
    longest_s = [0.8 * seconds_of(task, folder / "spare") for task in tasks]
    at_work, kept = dict.fromkeys((task.__name__ for task in tasks), 0), 0
    for kill in range(kills):
        if kill % KILLS_OF_A_BOOK == 0:
            place = folder / f"book{kill}"
            acknowledged: set[str] = set()
        task = tasks[kill % len(tasks)]
        told, was_killed = killed(task, place, moment(kill, longest_s[kill % len(tasks)]))
        kept += len({said for said in told if said.startswith("pass")} - acknowledged)
        acknowledged |= set(told)
        at_work[task.__name__] += was_killed
        wrong = faults(place, acknowledged, logs)
        assert not wrong, (kill, task.__name__, wrong)
        if kill % KILLS_OF_A_BOOK == KILLS_OF_A_BOOK - 1:
            print(f"{kill + 1} kills, at work: {at_work}; {kept} passes acknowledged", file=sys.stderr, flush=True)
            shutil.rmtree(place)
    print(sum(at_work.values()), kept)


def make_sources(folder: Path) -> None:
    """A season of small passes that are all different, bundles of other cars, and a pass that was read."""
    day = demo_day()
    logger = Logger(dialect="pocket", rate_hz=12.0, sensors="accelerometer and gps", mounting=Mounting())
    season = folder / "season"
    car = read_car(write_car_file(day.car, season / "car.toml"))
    for number in range(1, PASSES + 1):
        one = day.passes[number % len(day.passes)]
        outcome = drive_demo_pass(day, one.setup, one.conditions, number)
        write_pass_folder(outcome, logger, season / f"pass{number}", number=number)
    for name in COLLEAGUES:
        import_passes(folder / name, [season / f"pass{number}" for number in range(1, IN_BUNDLE + 1)], workers=1)
        bundle_passes(folder / name, folder / f"{name}.nextpass", [], [])
    reviewed = review_one(car, read_pass(season / "pass1", car))
    (folder / "reviewed").write_bytes(pickle.dumps((car, reviewed)))


def load_compiled(folder: Path) -> None:
    """Review a pass that was read elsewhere, so that every fork has the compiled functions loaded."""
    car, reviewed = pickle.loads((folder / "reviewed").read_bytes())
    review_pass(car, reviewed.record, reviewed.log)
    made_answers(car, reviewed)


def tasks_on(folder: Path) -> tuple[Task, ...]:
    planned = sample_plan(sample_car())

    def importing(place: Path, tell: Callable[[str], None]) -> None:
        ready = iter(range(1, PASSES + 1))
        import_passes(place, [folder / "season"], workers=1, report=lambda *_: tell(f"pass {next(ready)}"))

    def planning(place: Path, tell: Callable[[str], None]) -> None:
        desk = open_desk(place)
        for kept in desk.cars():
            if kept.name == CAR and kept.pass_count:
                with patch("nextpass.jobs.desk.fit_car"), patch("nextpass.jobs.desk.plan_setup", return_value=planned):
                    desk.plan(kept)
                tell(f"plan after pass {desk.passes(kept)[-1].number}")

    def rechecking(place: Path, _tell: Callable[[str], None]) -> None:
        recheck_book(place, every=True, workers=1)

    def opening(place: Path, tell: Callable[[str], None]) -> None:
        book = open_book(place)
        there = {car.name for car in cars(book)}
        book.close()
        # The next one that is not there yet: one that is would be opened in no time.
        name = next((one for one in COLLEAGUES if one not in there), COLLEAGUES[-1])
        import_passes(place, [folder / f"{name}.nextpass"], as_name=name, workers=1)
        tell(f"bundle of {name}")

    return importing, planning, rechecking, opening


def faults(place: Path, acknowledged: set[str], logs: dict[str, bytes]) -> list[str]:
    """What is wrong with a book after kills: lost, half there, or not to be opened. `logs` by pass file."""
    found, there = [], set()
    book = open_book(place)
    for car in cars(book):
        kept = passes_of(book, car)
        if [one.sequence for one in kept] != list(range(1, len(kept) + 1)):
            found.append(f"{car.name}: the passes are not counted through")
        answers = {kind: answers_of(book, car, kind, __version__) for kind in BODIES}
        for kind, body in BODIES.items():
            for answer in answers[kind].values():
                # An answer that was cut off does not follow its schema.
                body.model_validate(answer)
        for one in kept:
            content = content_of(book, one.id)
            if [log.content for log in content.logs] != [logs[content.toml]]:
                found.append(f"{car.name}: pass {one.number} is not whole")
            if car.name == CAR:
                there.add(f"pass {one.number}")
                there |= {f"plan after pass {one.number}"} if one.id in answers[PLAN] else set()
        # A pass comes in with its answers, in one step.
        if not len(kept) == len(answers[REVIEW]) == len(answers[FIGURES]):
            found.append(
                f"{car.name}: {len(kept)} passes, {len(answers[REVIEW])} reviews, {len(answers[FIGURES])} figures"
            )
        if car.name in COLLEAGUES:
            there.add(f"bundle of {car.name}")
            if len(kept) != IN_BUNDLE:
                found.append(f"the bundle of {car.name} came in by half: {len(kept)} passes")
    book.close()
    found += [f"{said} was acknowledged and is lost" for said in acknowledged - there]
    # Whatever has an answer is found by it.
    found += [f"pass {one.number} has nothing to be found by" for one in find_passes(place).passes if not one.values]
    return found


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
