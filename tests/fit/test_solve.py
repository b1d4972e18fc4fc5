"""When a fit begins anew or leaps out of a hollow, and when it stays."""

import numpy as np
import pytest

from nextpass.fit import solve
from nextpass.fit.solve import Solution, leap_out

RESIDUALS = 1000


def solution(cost):
    return Solution(point=np.zeros(3), cost=cost, jacobian=np.zeros((RESIDUALS, 3)), left=np.zeros(RESIDUALS))


@pytest.fixture
def leaps(monkeypatch):
    """Costs that leaps come to, in turn; what is left of them was not asked for."""

    def begin(costs):
        left = list(costs)
        monkeypatch.setattr(solve, "_leapt", lambda _problem, _best, _generator: solution(left.pop(0)))
        return left

    return begin


def test_passes_that_are_understood_need_no_leap(leaps):
    left = leaps([10.0])
    assert leap_out(None, solution(50.0), 0).cost == 50.0
    few = Solution(point=np.zeros(3), cost=5.0, jacobian=np.zeros((6, 3)), left=np.zeros(6))
    assert leap_out(None, few, 0) is few
    assert left == [10.0]


def test_leaps_go_on_while_they_gain_and_end_where_the_passes_are_understood(leaps):
    left = leaps([200.0, 120.0, 50.0, 10.0])
    assert leap_out(None, solution(400.0), 0).cost == 50.0
    assert left == [10.0]


def test_two_leaps_in_a_row_that_gain_little_are_the_last(leaps):
    left = leaps([300.0, 299.0, 200.0, 199.0, 198.0, 10.0])
    assert leap_out(None, solution(400.0), 0).cost == 198.0
    assert left == [10.0]


@pytest.mark.parametrize(
    ("by_seed", "best", "begun"),
    [
        ({7: 50.0, 8: 10.0}, 50.0, [7]),
        ({7: 400.0, 8: 50.0, 9: 10.0}, 50.0, [7, 8]),
        ({7: 400.0, 8: 200.0, 9: 300.0}, 200.0, [7, 8, 9]),
    ],
)
def test_passes_that_are_not_understood_are_begun_anew_from_other_launches(monkeypatch, leaps, by_seed, best, begun):
    leaps([200.0, 200.0])
    seeds = []

    def descended(_problem, seed, _rounds, _progress=None):
        seeds.append(seed)
        return solution(by_seed[seed])

    monkeypatch.setattr(solve, "_descended", descended)
    assert solve.solve(None, 7).cost == best
    assert seeds == begun
