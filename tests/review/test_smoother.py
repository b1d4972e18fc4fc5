"""The filter and its backward pass against one dense least-squares problem that knows nothing of either."""

import numpy as np
import pytest

from nextpass.review.speed import kalman as k


def _problem(seed, count=7):
    rng = np.random.default_rng(seed)
    steps = k.Steps(
        duration_s=rng.uniform(0.02, 0.06, count),
        impulse_mps=rng.normal(0.2, 0.1, count),
        lever_m=rng.normal(0.004, 0.002, count),
        keep=rng.uniform(0.7, 1.0, count),
        speed_variance=rng.uniform(1e-4, 1e-3, count),
        drift_variance=rng.uniform(1e-4, 1e-3, count),
        mark=3,
    )
    step = np.sort(rng.integers(0, count, 12))
    rows = rng.normal(0.0, 1.0, (12, k.SIZE))
    rows[:, k.MARK] = 0.0
    return (
        steps,
        k.Measurements(step=step, rows=rows, values=rng.normal(0.0, 1.0, 12), variances=rng.uniform(0.1, 1.0, 12)),
    )


def _transition(steps, at):
    dt = steps.duration_s[at]
    f = np.eye(k.SIZE)
    f[k.DISTANCE, [k.SPEED, k.DRIFT, k.BIAS, k.GAIN]] = dt, dt**2 / 2, -(dt**2) / 2, steps.lever_m[at]
    f[k.SPEED, [k.DRIFT, k.BIAS, k.GAIN]] = dt, -dt, steps.impulse_mps[at]
    f[k.DRIFT, k.DRIFT] = steps.keep[at]
    return f


def _joint_gaussian(start, covariance, steps, measurements):
    """Mean and covariance of all states at once, then conditioned on all measurements at once."""
    count, size = steps.duration_s.size, k.SIZE
    mean, joint = np.zeros(count * size), np.zeros((count * size, count * size))
    mean[:size], joint[:size, :size] = start, covariance
    for at in range(1, count):
        here, before = slice(at * size, (at + 1) * size), slice((at - 1) * size, at * size)
        f = _transition(steps, at)
        dt, q = steps.duration_s[at], steps.speed_variance[at]
        noise = np.zeros((size, size))
        noise[k.SPEED, k.SPEED], noise[k.DISTANCE, k.DISTANCE] = q, dt**2 * q / 3
        noise[k.SPEED, k.DISTANCE] = noise[k.DISTANCE, k.SPEED] = dt * q / 2
        noise[k.DRIFT, k.DRIFT] = steps.drift_variance[at]
        mean[here] = f @ mean[before]
        joint[here, : at * size] = f @ joint[before, : at * size]
        joint[: at * size, here] = joint[here, : at * size].T
        joint[here, here] = f @ joint[before, before] @ f.T + noise
    h = np.zeros((measurements.values.size, count * size))
    for row, at in enumerate(measurements.step):
        h[row, at * size : (at + 1) * size] = measurements.rows[row]
    gain = joint @ h.T @ np.linalg.inv(h @ joint @ h.T + np.diag(measurements.variances))
    return mean + gain @ (measurements.values - h @ mean), joint - gain @ h @ joint


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_smoothed_states_are_those_of_the_joint_distribution(seed):
    steps, measurements = _problem(seed)
    start = np.random.default_rng(seed).normal(0.0, 1.0, k.SIZE)
    covariance = np.diag(np.random.default_rng(seed + 9).uniform(0.1, 1.0, k.SIZE))
    covariance[k.MARK, k.MARK] = 0.0
    smoothed = k.smooth(start, covariance, steps, measurements)
    mean, joint = _joint_gaussian(start, covariance, steps, measurements)
    states = mean.reshape(-1, k.SIZE)
    for at in range(states.shape[0]):
        block = joint[at * k.SIZE : (at + 1) * k.SIZE, at * k.SIZE : (at + 1) * k.SIZE]
        assert smoothed.state[at, : k.MARK] == pytest.approx(states[at, : k.MARK], abs=1e-9)
        assert smoothed.covariance[at, : k.MARK, : k.MARK] == pytest.approx(block[: k.MARK, : k.MARK], abs=1e-9)


def test_the_mark_carries_the_distance_and_its_correlation():
    steps, measurements = _problem(4)
    start, covariance = np.zeros(k.SIZE), np.diag(np.full(k.SIZE, 0.5))
    covariance[k.MARK, k.MARK] = 0.0
    smoothed = k.smooth(start, covariance, steps, measurements)
    mean, joint = _joint_gaussian(start, covariance, steps, measurements)
    marked, last = steps.mark * k.SIZE + k.DISTANCE, (steps.duration_s.size - 1) * k.SIZE + k.DISTANCE
    assert smoothed.state[-1, k.MARK] == pytest.approx(mean[marked], abs=1e-9)
    assert smoothed.covariance[-1, k.DISTANCE, k.MARK] == pytest.approx(joint[last, marked], abs=1e-9)
