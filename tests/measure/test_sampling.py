"""Bounds of sampling and rounding against a simulated logger and arithmetic of even distributions."""

import numpy as np
import pytest

from nextpass.measure import crossing_sd_s, event_time_sd_s, hold_delay_s, quantisation_sd, span_sd_s


@pytest.mark.parametrize(("rate_hz", "event_ms", "span_ms"), [(24.0, 12.03, 17.0), (70.0, 4.12, 5.83)])
def test_an_event_is_known_to_a_part_of_a_sample(rate_hz, event_ms, span_ms):
    """dt/sqrt(12) and dt/sqrt(6), arithmetic."""
    assert event_time_sd_s(rate_hz) * 1e3 == pytest.approx(event_ms, abs=6e-3)
    assert span_sd_s(rate_hz) * 1e3 == pytest.approx(span_ms, abs=0.02)


def test_a_holding_logger_is_late_by_half_a_sample():
    """200,000 events at random moments, seen at the next sample of 24 Hz: 20.84 ms late with an sd of 12.03 ms."""
    moments_s = np.random.default_rng(5).uniform(0.0, 1000.0, 200_000)
    late_s = np.ceil(moments_s * 24.0) / 24.0 - moments_s
    delay = hold_delay_s(24.0)
    assert delay.value == pytest.approx(np.mean(late_s), abs=1e-4)
    assert event_time_sd_s(24.0) == pytest.approx(np.std(late_s), rel=5e-3)
    assert np.mean(np.abs(late_s - delay.value) <= delay.plus_minus) == pytest.approx(0.90, abs=3e-3)


def test_speed_in_whole_kilometres_an_hour():
    """0.2887 km/h = 0.0802 m/s, 16.0 ms at 5 m/s2, and 1.6 ms in tenths (arithmetic)."""
    assert quantisation_sd(1.0) == pytest.approx(0.2887, abs=5e-5)
    assert quantisation_sd(1.0 / 3.6) == pytest.approx(0.0802, abs=5e-5)
    assert crossing_sd_s(1.0 / 3.6, 5.0) * 1e3 == pytest.approx(16.0, abs=0.05)
    assert crossing_sd_s(0.1 / 3.6, -5.0) * 1e3 == pytest.approx(1.6, abs=0.005)


def test_a_rate_of_zero_is_refused():
    with pytest.raises(ValueError, match=r"^rate_hz must be above 0, not 0$"):
        event_time_sd_s(0.0)


def test_a_negative_step_is_refused():
    with pytest.raises(ValueError, match=r"^step must not be below 0, not -1$"):
        quantisation_sd(-1.0)


def test_a_still_signal_crosses_nothing():
    with pytest.raises(ValueError, match=r"^rate_of_change must differ from 0: a signal that stands still"):
        crossing_sd_s(1.0, 0.0)
