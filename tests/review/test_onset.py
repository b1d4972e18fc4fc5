"""When the car began to move, against closed forms of a launch."""

import numpy as np
import pytest

from nextpass.review import review_pass

LEAVES_S, MOST_MPS2, GROWS_S = 6.0, 6.0, 0.3


def _at_once(motion_log, rate_hz):
    return motion_log(lambda t: MOST_MPS2 * t, lambda t: np.full_like(t, MOST_MPS2), rate_hz=rate_hz)


def _evenly(motion_log, rate_hz):
    """The clutch let in over `GROWS_S`: v = a t^2 / 2 T until then."""

    def speed(t):
        return np.where(t < GROWS_S, MOST_MPS2 * t**2 / (2 * GROWS_S), MOST_MPS2 * (t - GROWS_S / 2))

    return motion_log(speed, lambda t: MOST_MPS2 * np.minimum(t / GROWS_S, 1.0), rate_hz=rate_hz)


@pytest.mark.parametrize("rate_hz", [25.0, 100.0])
def test_a_clutch_let_in_at_once_is_placed_within_a_row(car, record, motion_log, rate_hz):
    motion = review_pass(car, record, _at_once(motion_log, rate_hz)).ground_speed
    # The start lies anywhere between two rows.
    assert motion.moved_s == pytest.approx(LEAVES_S, abs=1.01 / rate_hz)
    assert motion.moved_sd_s >= 1.0 / rate_hz / np.sqrt(12.0)


@pytest.mark.parametrize("rate_hz", [25.0, 100.0])
def test_a_clutch_let_in_evenly_hides_the_start_by_no_more_than_is_stated(car, record, motion_log, rate_hz):
    motion = review_pass(car, record, _evenly(motion_log, rate_hz)).ground_speed
    assert abs(motion.moved_s - LEAVES_S) < 1.645 * motion.moved_sd_s
    # A pull that grows over 0.3 s is felt within the half of it.
    assert motion.moved_sd_s < 0.5 * GROWS_S


def test_a_receiver_alone_knows_the_start_less_surely(car, record, motion_log):
    log = _evenly(motion_log, 100.0)
    kept = {name: log[name] for name in ("gps_speed_mps", "pedal")}
    alone = review_pass(car, record, type(log)(channels=kept, unmatched={}, marks=(), quality=log.quality)).ground_speed
    motion = review_pass(car, record, log).ground_speed
    assert alone.moved_sd_s > motion.moved_sd_s
    assert abs(alone.moved_s - LEAVES_S) < 1.645 * alone.moved_sd_s
