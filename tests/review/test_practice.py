"""Logs of cars that none of us modelled, where they lie beside the repository: the review reads them through."""

from pathlib import Path

import pytest

from nextpass.files import read_car, read_pass
from nextpass.log import hints_for, open_log
from nextpass.measure import Estimate
from nextpass.review import ReviewedPass, lost_time, review_pass
from nextpass.sim import default_parameters

PRACTICE = Path(__file__).parents[3] / "shared" / "practice"
PASSES = sorted(path.parent for path in PRACTICE.glob("*/pass*/pass.toml"))
pytestmark = pytest.mark.skipif(not PASSES, reason="the practice passes are not here")


def _reviewed(folder):
    car = read_car(folder.parent / "car.toml")
    record = read_pass(folder, car)
    log = open_log(record.logs[0], hints_for(car, record))
    return car, ReviewedPass(record=record, log=log, review=review_pass(car, record, log))


@pytest.mark.parametrize("folder", PASSES, ids=lambda path: f"{path.parent.name}-{path.name}")
def test_a_strangers_pass_is_reviewed(folder):
    _, reviewed = _reviewed(folder)
    slip = reviewed.review.timeslip
    clocks = [slip.t60ft_s, slip.t330ft_s, slip.t660ft_s, slip.t1000ft_s, slip.et_s]
    assert all(isinstance(clock, Estimate) and clock.plus_minus < 0.15 for clock in clocks)
    assert [phase.kind for phase in reviewed.review.phases if phase.kind == "gear"].count("gear") >= 4


def test_the_parts_of_lost_time_add_up_to_the_whole():
    car, reviewed = _reviewed(PASSES[0])
    lost = lost_time(car, reviewed, default_parameters(car))
    assert sum(part.seconds.value for part in lost.parts) == pytest.approx(lost.whole_s.value, abs=1e-9)
    assert lost.whole_s.value == pytest.approx(reviewed.review.timeslip.et_s.value - lost.limit_et_s)
    assert all(part.seconds.plus_minus > 0.0 for part in lost.parts)
