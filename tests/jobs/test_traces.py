"""What a screen is given of a channel: no spike lost, figures of every sample, breaks where nothing was logged."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.report.samples import sample_car, sample_log, sample_reviewed

from nextpass.jobs.traces import trace_window, values_at, whole_window
from nextpass.log import Channel, Log, LogQuality

# The sample's car begins to move at 3.0 s on the log's clock.
MOVED_S = 3.0


def reviewed_with(time_s, values):
    log = sample_log()
    channel = Channel(name="turbo_rpm", time_s=np.asarray(time_s), values=np.asarray(values), source="Turbo")
    channels = {**log.channels, "turbo_rpm": channel}
    return sample_reviewed(
        sample_car(),
        log=Log(
            channels=channels, unmatched=log.unmatched, marks=(), quality=LogQuality(rate_hz=25.0, gaps=(), remarks=())
        ),
    )


def test_a_single_spike_in_a_long_log_is_kept():
    time_s = np.arange(84_000) / 200.0
    values = np.zeros(84_000)
    values[41_234] = 9.0
    values[70_001] = -7.0
    (line,) = trace_window(reviewed_with(time_s, values), ["turbo_rpm"], -10.0, 500.0, points=400)
    assert line.values.size <= 403
    assert (line.values.max(), line.values.min()) == (9.0, -7.0)
    assert (line.highest, line.lowest) == (9.0, -7.0)
    assert line.mean == pytest.approx(values.mean())


@given(
    values=st.lists(st.floats(-1e3, 1e3), min_size=2, max_size=300),
    points=st.integers(4, 50),
    window=st.tuples(st.floats(-2.0, 10.0), st.floats(0.1, 8.0)),
)
def test_a_thinned_line_has_the_extremes_of_its_window(values, points, window):
    time_s = np.arange(len(values)) / 25.0
    start, length = window
    (line,) = trace_window(reviewed_with(time_s, values), ["turbo_rpm"], start, start + length, points=points)
    at = time_s - MOVED_S
    inside = np.asarray(values)[(at >= start) & (at < start + length)]
    if inside.size:
        assert (line.lowest, line.highest) == (inside.min(), inside.max())
        assert np.nanmin(line.values) <= inside.min()
        assert np.nanmax(line.values) >= inside.max()
    else:
        assert np.isnan(line.mean)
    assert (np.diff(line.at) >= 0).all()


def test_a_line_breaks_where_the_logger_left_out():
    time_s = np.concatenate([np.arange(0.0, 4.0, 0.04), np.arange(6.0, 10.0, 0.04)])
    (line,) = trace_window(reviewed_with(time_s, np.ones(time_s.size)), ["turbo_rpm"], -5.0, 20.0)
    (gap,) = np.flatnonzero(np.isnan(line.values))
    # Halfway between the last sample before and the first after, on the axis of the launch.
    assert line.at[gap] == pytest.approx((3.96 + 6.0) / 2 - MOVED_S)


def test_the_cursor_reads_the_newest_sample_and_nothing_between():
    reviewed = reviewed_with([0.0, 1.0, 2.0], [10.0, 20.0, 40.0])
    assert values_at(reviewed, ["turbo_rpm", "no such channel"], 1.9 - MOVED_S) == {"turbo_rpm": 20.0}
    assert np.isnan(values_at(reviewed, ["turbo_rpm"], -0.1 - MOVED_S)["turbo_rpm"])


def test_a_column_without_a_channel_can_be_looked_at():
    (line,) = trace_window(sample_reviewed(sample_car()), ["Cabin lamp"], 0.0, 5.0)
    assert (line.name, line.highest) == ("Cabin lamp", 0.0)


def test_along_the_distance_the_launch_is_at_the_start_line():
    reviewed = sample_reviewed(sample_car())
    start, end = whole_window(reviewed, "distance")
    assert start == 0.0
    (line,) = trace_window(reviewed, ["vehicle_speed_mps"], start, end, along="distance")
    ground = reviewed.review.ground_speed
    at_100_m_s = np.interp(100.0, ground.distance_m, ground.time_s)
    assert values_at(reviewed, ["vehicle_speed_mps"], 100.0, "distance")["vehicle_speed_mps"] == pytest.approx(
        float(np.interp(at_100_m_s, ground.time_s, reviewed.log["vehicle_speed_mps"].values)), abs=0.7
    )
    assert line.at[-1] >= end - 3.0


def test_the_first_window_holds_the_run():
    start_s, end_s = whole_window(sample_reviewed(sample_car()))
    assert start_s == -1.0
    assert end_s == pytest.approx(15.0 - MOVED_S + 0.5)
