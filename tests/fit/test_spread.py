"""Points that the passes do not rule out are draws of the posterior where that is known in closed form."""

from types import SimpleNamespace

import numpy as np
import pytest

from nextpass.fit import spread
from nextpass.fit.solve import Solution

# Three values, of which passes tell the first well and the last not at all; residuals small enough not to lose weight.
SLOPES = np.array([[3.0, 0.5, 0.0], [-2.0, 1.0, 0.0], [0.5, -0.5, 0.0]])
SEEN = np.array([0.3, -0.2, 0.1])


@pytest.fixture
def covariance():
    """Of a normal prior of variance 1 and normal residuals: the inverse of their summed precisions (textbook)."""
    return np.linalg.inv(SLOPES.T @ SLOPES + np.eye(3))


@pytest.fixture
def drawn(covariance, monkeypatch):
    monkeypatch.setattr(spread, "all_residuals", lambda _problem, points: points @ SLOPES.T - SEEN)
    # Plain squares: soft L1 would bend the few draws that lie far out.
    monkeypatch.setattr(spread, "robust_squares", np.square)
    middle = covariance @ SLOPES.T @ SEEN
    solution = Solution(point=middle, cost=0.0, jacobian=SLOPES, left=SLOPES @ middle - SEEN)
    problem = SimpleNamespace(size=3, passes=(None,))
    precision = np.linalg.inv(covariance)
    points = [spread._believable(problem, solution, precision, covariance, 1.0, seed) for seed in range(40)]
    return middle, np.concatenate(points)


def test_where_residuals_are_linear_points_have_mean_and_covariance_of_the_posterior(drawn, covariance):
    """3,840 points tell a standard deviation to 1.2 % (1/sqrt 2 n): five of those."""
    middle, points = drawn
    np.testing.assert_allclose(points.mean(axis=0), middle, atol=5.0 * np.sqrt(covariance.max() / len(points)))
    np.testing.assert_allclose(points.std(axis=0), np.sqrt(np.diag(covariance)), rtol=0.06)
    apart = covariance / np.sqrt(np.outer(np.diag(covariance), np.diag(covariance)))
    np.testing.assert_allclose(np.corrcoef(points.T), apart, atol=0.08)


def test_what_passes_do_not_touch_keeps_the_width_of_the_prior(drawn):
    _, points = drawn
    assert points[:, 2].std() == pytest.approx(1.0, rel=0.06)
