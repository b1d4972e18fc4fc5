"""Rates, held values, dropouts, jitter, repeats, steps backwards, stuck and clipped channels are said."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.log.pull import HINTS, pull

from nextpass.errors import LogError
from nextpass.log import open_log
from nextpass.log.order import gaps_in, in_order
from nextpass.log.rate import held_period_rows, true_samples

RATE = ("rows come at", "sampled at")


def write(path, columns):
    rows = zip(*columns.values(), strict=True)
    cells = (",".join("" if cell is None or cell != cell else f"{cell:.6f}" for cell in row) for row in rows)
    path.write_text("\n".join([",".join(columns), *cells]))
    return path


def base(rate_hz=25.0):
    values = pull(rate_hz)
    return {
        "Time (s)": values["time_s"],
        "RPM": values["engine_rpm"],
        "Speed (km/h)": 3.6 * values["vehicle_speed_mps"],
        "TPS (%)": 100.0 * values["throttle"],
        "MAP (kPa)": values["manifold_pressure_kpa"],
    }


def noticed(log):
    return [remark for remark in log.quality.remarks if not remark.startswith(RATE)]


def held(time_s, values, rate_hz):
    """What a logger writes of a sensor that is slower than its rows: the last value, until the next one."""
    last = np.floor(time_s * rate_hz + 1e-9) / rate_hz
    return np.interp(last, time_s, values)


@pytest.mark.parametrize(("row_hz", "own_hz"), [(25.0, 10.0), (25.0, 5.0), (50.0, 10.0), (100.0, 20.0), (40.0, 12.5)])
def test_repeats_of_a_slower_sensor_are_no_samples(row_hz, own_hz, tmp_path):
    columns = base(row_hz)
    time_s = columns["Time (s)"]
    columns["GPS Speed (km/h)"] = held(time_s, columns["Speed (km/h)"], own_hz)
    log = open_log(write(tmp_path / "log.csv", columns), HINTS)
    gps = log["gps_speed_mps"]
    assert log.quality.rates_hz["gps_speed_mps"] == pytest.approx(own_hz, rel=0.05)
    assert gps.time_s.size == pytest.approx(26.0 * own_hz, rel=0.06)
    # Every kept sample is a reading of the file at its own row.
    rows = np.searchsorted(time_s, gps.time_s)
    np.testing.assert_array_equal(gps.time_s, time_s[rows])
    np.testing.assert_allclose(3.6 * gps.values, columns["GPS Speed (km/h)"][rows], atol=1e-5)
    # While the car moves, every change is kept.
    changes = time_s[1:][np.diff(columns["GPS Speed (km/h)"]) != 0]
    assert np.isin(changes, gps.time_s).all()


def test_a_sensor_that_shows_nothing_new_was_sampled_all_the_same(tmp_path):
    columns = base()
    columns["GPS Speed (km/h)"] = held(columns["Time (s)"], columns["Speed (km/h)"], 5.0)
    gps = open_log(write(tmp_path / "log.csv", columns), HINTS)["gps_speed_mps"]
    # The car stands for eight seconds: 5 Hz give 40 samples of nothing, and no ramp from the start to the first motion.
    standing = gps.time_s < 7.9
    assert standing.sum() == pytest.approx(40, abs=2)
    assert (gps.at(np.array([2.0, 5.5, 7.5])) == 0.0).all()


def test_a_temperature_in_whole_degrees_is_not_called_held(tmp_path):
    columns = base()
    columns["Coolant Temp (C)"] = np.floor(70.0 + 0.9 * columns["Time (s)"] + 0.3 * np.sin(columns["Time (s)"]))
    log = open_log(write(tmp_path / "log.csv", columns), HINTS)
    assert log.quality.rates_hz["coolant_temperature_c"] == pytest.approx(25.0)


def test_a_gear_is_never_called_held(tmp_path):
    columns = base()
    columns["Gear"] = pull()["gear"]
    log = open_log(write(tmp_path / "log.csv", columns), HINTS)
    assert log["gear"].time_s.size == columns["Time (s)"].size
    assert set(np.unique(log["gear"].at(np.linspace(0.1, 25.0, 999)))) <= {1.0, 2.0, 3.0, 4.0, 5.0}


@settings(max_examples=60, deadline=None)
@given(period=st.sampled_from([2, 3, 5, 7, 10]), seed=st.integers(0, 2**31), rows=st.integers(200, 600))
def test_the_period_of_any_held_noise_is_found(period, seed, rows):
    values = np.repeat(np.random.default_rng(seed).normal(size=rows // period + 1), period)[:rows]
    assert held_period_rows(values) == pytest.approx(period, rel=1e-6)
    np.testing.assert_array_equal(true_samples(values, float(period)), np.arange(0, rows, period))


@given(seed=st.integers(0, 2**31))
def test_noise_that_changes_in_every_row_is_not_held(seed):
    assert held_period_rows(np.random.default_rng(seed).normal(size=300)) == 1.0


def test_rates_of_sparse_columns_are_their_own(tmp_path):
    columns = base(50.0)
    oil = np.where(np.arange(columns["RPM"].size) % 10 == 3, 90.0 + 0.2 * columns["Time (s)"], np.nan)
    log = open_log(write(tmp_path / "log.csv", {**columns, "Oil Temp (C)": oil}), HINTS)
    assert log.quality.rates_hz["oil_temperature_c"] == pytest.approx(5.0)
    assert log["oil_temperature_c"].time_s[:3] == pytest.approx([0.06, 0.26, 0.46])


def test_what_each_rate_still_shows_is_said(tmp_path):
    columns = base()
    columns["GPS Speed (km/h)"] = held(columns["Time (s)"], columns["Speed (km/h)"], 5.0)
    remarks = open_log(write(tmp_path / "log.csv", columns), HINTS).quality.remarks
    # 1.645 / sqrt(12) and 1.645 / sqrt(6) of 40 and 200 ms.
    assert "rows come at 25 Hz: an event is placed within ±19 ms, a span of time within ±27 ms" in remarks
    assert (
        "sampled at 5 Hz only, repeats in between left out: GPS speed; "
        "an event is placed within ±95 ms, a span of time within ±134 ms"
    ) in remarks


def test_a_clean_log_gets_no_remark(tmp_path):
    assert noticed(open_log(write(tmp_path / "log.csv", base()), HINTS)) == []


def test_jitter_is_measured_and_said(tmp_path):
    columns = base()
    rng = np.random.default_rng(1)
    time_s = np.sort(columns["Time (s)"] + rng.normal(0.0, 0.008, columns["RPM"].size))
    columns["Time (s)"] = time_s - time_s[0]
    quality = open_log(write(tmp_path / "log.csv", columns), HINTS).quality
    # The interval between two rows that scatter by 8 ms scatters by the root of two times that.
    assert quality.jitter_s == pytest.approx(0.008 * np.sqrt(2.0), rel=0.15)
    assert any(remark.startswith("the interval between rows scatters by 1") for remark in quality.remarks)


def test_jitter_alone_is_no_dropout():
    rng = np.random.default_rng(2)
    time_s = np.cumsum(np.clip(rng.normal(0.042, 0.006, 3000), 0.01, None))
    assert gaps_in(time_s) == ()


def test_dropouts_are_named_with_the_longest(tmp_path):
    columns = base()
    time_s = columns["Time (s)"]
    keep = ~((time_s > 5.0) & (time_s < 5.5)) & ~((time_s > 15.0) & (time_s < 17.0))
    log = open_log(write(tmp_path / "log.csv", {name: values[keep] for name, values in columns.items()}), HINTS)
    assert [(gap.start_s, gap.end_s) for gap in log.quality.gaps] == [(5.0, 5.52), (15.0, 17.0)]
    assert noticed(log) == ["2 dropouts, the longest of 2.00 s at 15.00 s"]


def test_nothing_is_known_inside_a_dropout(tmp_path):
    columns = base()
    time_s = columns["Time (s)"]
    keep = ~((time_s > 15.0) & (time_s < 17.0))
    log = open_log(write(tmp_path / "log.csv", {name: values[keep] for name, values in columns.items()}), HINTS)
    at = log["engine_rpm"].at(np.array([14.99, 15.0, 15.5, 16.9, 17.0]))
    assert np.isnan(at).tolist() == [False, False, True, True, False]


def test_rows_written_twice_are_left_out(tmp_path):
    columns = base()
    rows = np.sort(np.concatenate([np.arange(650), [100, 200, 300]]))
    log = open_log(write(tmp_path / "log.csv", {name: values[rows] for name, values in columns.items()}), HINTS)
    assert log["engine_rpm"].time_s.size == 650
    assert noticed(log) == ["rows that repeat the time of the row before, left out: 3"]


def test_rows_out_of_order_are_put_in_order(tmp_path):
    columns = base()
    rows = np.arange(650)
    rows[[100, 101]] = rows[[101, 100]]
    log = open_log(write(tmp_path / "log.csv", {name: values[rows] for name, values in columns.items()}), HINTS)
    np.testing.assert_allclose(log["engine_rpm"].values, columns["RPM"], atol=1e-5)
    assert noticed(log) == ["time steps backwards 1x: the rows were put in order"]


def test_times_coarser_than_the_rows_are_spread_within_their_step(tmp_path):
    columns = base()
    true = columns["Time (s)"]
    columns["Time (s)"] = np.floor(true * 10.0 + 1e-9) / 10.0
    log = open_log(write(tmp_path / "log.csv", columns), HINTS)
    read = log["engine_rpm"].time_s
    assert read.size == true.size
    assert (np.diff(read) > 0).all()
    assert np.abs(read - true).max() < 0.1
    assert noticed(log) == [
        "times are written to 0.1 s, coarser than the rows come: rows of one time were spread over it"
    ]


def test_a_clock_that_starts_over_keeps_the_longer_stretch(tmp_path):
    columns = base()
    before = {name: values[:50] for name, values in columns.items()}
    before["Time (s)"] = before["Time (s)"] + 40.0
    both = {name: np.concatenate([before[name], values]) for name, values in columns.items()}
    log = open_log(write(tmp_path / "log.csv", both), HINTS)
    np.testing.assert_allclose(log["engine_rpm"].time_s, columns["Time (s)"], atol=1e-9)
    assert noticed(log) == ["the clock starts over 1x: only the longest stretch of 650 rows was read"]


def test_a_lone_time_far_from_its_neighbours_is_a_damaged_row(tmp_path):
    columns = base()
    time_s = columns["Time (s)"].copy()
    time_s[200], time_s[400] = 1e9, 0.01
    log = open_log(write(tmp_path / "log.csv", {**columns, "Time (s)": time_s}), HINTS)
    kept = np.delete(np.arange(650), [200, 400])
    np.testing.assert_allclose(log["engine_rpm"].time_s, columns["Time (s)"][kept], atol=1e-9)
    np.testing.assert_allclose(log["engine_rpm"].values, columns["RPM"][kept], atol=1e-5)
    assert noticed(log) == ["rows whose time lies far from those before and after, left out: 2"]


def test_a_clock_that_was_set_while_the_log_ran_keeps_the_longest_stretch(tmp_path):
    # A receiver's first fix sets the clock from the seconds since the start to those since 1970.
    columns = base()
    time_s = np.where(np.arange(650) < 100, columns["Time (s)"], columns["Time (s)"] + 1.7e9)
    log = open_log(write(tmp_path / "log.csv", {**columns, "Time (s)": time_s}), HINTS)
    np.testing.assert_allclose(log["engine_rpm"].values, columns["RPM"][100:], atol=1e-5)
    assert log["engine_rpm"].time_s[-1] == pytest.approx(columns["Time (s)"][-1] - 4.0, abs=1e-5)
    assert noticed(log) == ["the clock was set while the log ran 1x: only the longest stretch of 550 rows was read"]


@given(st.lists(st.floats(-1e12, 1e12), min_size=4, max_size=30), st.integers(0, 400))
@settings(max_examples=200, deadline=None)
def test_no_leap_is_left_however_the_times_are_damaged(wrong, first):
    time_s = 1.7e9 + 0.2 * np.arange(500)
    time_s[first : first + 3 * len(wrong) : 3][: len(wrong)] = wrong[: time_s[first : first + 3 * len(wrong) : 3].size]
    ordered = in_order(time_s)
    steps = np.diff(ordered.time_s)
    assert ((steps > 0) & (steps <= 6.0 * 3600.0)).all()


def test_a_file_that_begins_with_its_newest_row_is_turned_round(tmp_path):
    columns = base()
    log = open_log(write(tmp_path / "log.csv", {name: values[::-1] for name, values in columns.items()}), HINTS)
    np.testing.assert_allclose(log["engine_rpm"].time_s, columns["Time (s)"], atol=1e-9)
    np.testing.assert_allclose(log["engine_rpm"].values, columns["RPM"], atol=1e-5)
    assert noticed(log) == ["the newest row comes first: the rows were turned round"]


def test_an_endless_number_as_the_last_time_is_left_out(tmp_path):
    path = write(tmp_path / "log.csv", base())
    path.write_text(path.read_text() + "\n" + "9" * 400 + "\n")
    log = open_log(path, HINTS)
    assert log["engine_rpm"].time_s[-1] == pytest.approx(25.96)
    assert noticed(log) == ["rows without a time, left out: 1"]


def test_times_that_stand_still_are_refused_and_the_rate_may_be_given(tmp_path):
    columns = base()
    path = write(tmp_path / "log.csv", {**columns, "Time (s)": np.zeros(650)})
    with pytest.raises(LogError) as refusal:
        open_log(path, HINTS)
    assert str(refusal.value) == (
        f"{path}: the times in 'Time (s)' never rise; name another one once with nextpass log inspect FILE --as "
        '"COLUMN=time:UNIT", or write the log with its times by nextpass log convert FILE OUT --as "Time (s)=-" '
        "--rate-hz RATE"
    )
    log = open_log(path, replace(HINTS, sample_rate_hz=25.0), {"Time (s)": "-"})
    np.testing.assert_allclose(log["engine_rpm"].time_s, columns["Time (s)"], atol=1e-9)


def test_a_sensor_that_reads_the_same_all_the_time_is_stuck(tmp_path):
    columns = base()
    columns["Speed (km/h)"] = np.full(650, 0.0)
    columns["MAP (kPa)"] = np.full(650, 101.0)
    log = open_log(write(tmp_path / "log.csv", {**columns, "Lambda": np.full(650, 1.6)}), HINTS)
    assert "'Lambda' reads 1.6 all the time: stuck or not connected" in log.quality.remarks
    assert "'Speed (km/h)' reads 0 all the time: stuck or not connected" in log.quality.remarks


def test_a_sensor_at_the_end_of_its_range_is_clipped(tmp_path):
    columns = base()
    columns["MAP (kPa)"] = np.minimum(columns["MAP (kPa)"] * 1.4, 255.0)
    log = open_log(write(tmp_path / "log.csv", columns), HINTS)
    (remark,) = noticed(log)
    assert remark.startswith("'MAP (kPa)' lies at 255 from ")
    assert remark.endswith(" s: the end of its range, not the true value")


def test_full_throttle_is_not_clipped(tmp_path):
    columns = base()
    columns["TPS (%)"] = columns["TPS (%)"] + np.where(columns["TPS (%)"] < 50, 0.1 * np.sin(np.arange(650)), 0.0)
    assert noticed(open_log(write(tmp_path / "log.csv", columns), HINTS)) == []


def test_signs_for_no_value_are_blank_and_not_taken_for_readings(tmp_path):
    columns = base()
    columns["Oil Temp (C)"] = np.where(np.arange(650) % 40 == 0, 65535.0, 95.0 + 0.1 * columns["Time (s)"])
    log = open_log(write(tmp_path / "log.csv", columns), HINTS)
    assert np.nanmax(log["oil_temperature_c"].values) < 100.0
    assert np.isnan(log["oil_temperature_c"].values).sum() == 17


@settings(max_examples=150, deadline=None)
@given(
    times=st.lists(
        st.one_of(st.floats(-1e6, 1e6), st.just(float("nan")), st.sampled_from([0.0, 1.0, 1.0, 2.0])),
        min_size=0,
        max_size=60,
    )
)
def test_whatever_the_times_are_what_comes_out_rises(times):
    ordered = in_order(np.array(times, dtype=float))
    assert np.isfinite(ordered.time_s).all()
    assert (np.diff(ordered.time_s) > 0).all()
    if ordered.rows is not None:
        assert ordered.rows.size == ordered.time_s.size
