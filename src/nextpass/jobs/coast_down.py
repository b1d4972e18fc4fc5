"""Road load from the logs of coast-downs."""

from collections.abc import Sequence
from pathlib import Path

from nextpass.errors import NotEnoughData
from nextpass.files import read_car, read_conditions
from nextpass.log import answers_file, hints_for, open_log
from nextpass.review import USUAL, RoadLoad, coast_runs, fit_road_load
from nextpass.words import phrase


def road_load(car_file: Path, there: Sequence[Path], back: Sequence[Path], conditions_file: Path) -> RoadLoad:
    """Road load of a car from logs of coast-downs in one direction or both.

    Raises
    ------
    NotEnoughData
        No log holds a coast-down in neutral, or they cover too little speed.
    """
    car = read_car(car_file, threshold_names=USUAL)
    conditions = read_conditions(conditions_file)
    hints = hints_for(car)
    runs = [run for log in there for run in coast_runs(open_log(log, hints, kept=answers_file()), 1)]
    runs += [run for log in back for run in coast_runs(open_log(log, hints, kept=answers_file()), -1)]
    if not runs:
        raise NotEnoughData(phrase("refusal.coastdown.none"), remedy=phrase("refusal.coastdown.coast"))
    return fit_road_load(car, conditions, runs)
