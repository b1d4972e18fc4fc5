"""Two logs of one pass are put on one clock, or refused."""

import numpy as np
import pytest
from tests.log.pull import pull

from nextpass.errors import NotEnoughData
from nextpass.log import Channel, Log, LogQuality, Mark, join_logs, open_logs, write_log
from nextpass.log.align import align
from nextpass.measure import Estimate


def log_of(*channels: Channel, marks: tuple[Mark, ...] = ()) -> Log:
    return Log(
        channels={channel.name: channel for channel in channels},
        unmatched={},
        marks=marks,
        quality=LogQuality(rate_hz=channels[0].rate_hz, gaps=(), remarks=()),
    )


def engine(rate_hz: float, seed: int, start_s: float = 0.0, phase: float = 0.0, noise: float = 8.0) -> Channel:
    """Engine speed of the invented pull on a clock that started `start_s` into it."""
    fine = pull(rate_hz=200.0)
    time_s = np.arange(start_s + phase / rate_hz, 25.9, 1.0 / rate_hz)
    rng = np.random.default_rng(seed)
    values = np.interp(time_s, fine["time_s"], fine["engine_rpm"]) + rng.normal(0.0, noise, time_s.size)
    return Channel(name="engine_rpm", time_s=time_s - start_s, values=values, source="RPM")


def test_the_offset_lies_within_its_bounds_nine_times_in_ten():
    inside = 0
    for seed in range(40):
        start_s = 1.0 + 0.0937 * seed
        found = align(log_of(engine(70.0, seed)), log_of(engine(24.0, seed + 1000, start_s, phase=(seed % 7) / 7.0)))
        inside += abs(found.offset_s.value - start_s) <= found.offset_s.plus_minus
    # Nine in ten are 36 of 40; the bounds also hold a wait in the loggers, which these two do not have.
    assert inside >= 36


def test_the_bounds_are_no_wider_than_the_slower_log_explains():
    found = align(log_of(engine(70.0, 1)), log_of(engine(24.0, 2, 3.0)))
    # 1.645 / sqrt(12) of a 24 Hz interval is 19.8 ms; the fit itself adds little.
    assert 0.0197 < found.offset_s.plus_minus < 0.030


def test_the_sign_says_when_the_second_log_began():
    found = align(log_of(engine(50.0, 1, 4.0)), log_of(engine(50.0, 2)))
    assert found.offset_s.value == pytest.approx(-4.0, abs=0.02)


def test_two_attempts_that_look_alike_are_refused():
    once = engine(50.0, 3, noise=1.0)
    twice = Channel(
        name="engine_rpm",
        time_s=np.concatenate([once.time_s, once.time_s + 40.0]),
        values=np.concatenate([once.values, once.values]),
        source="RPM",
    )
    with pytest.raises(NotEnoughData) as refusal:
        align(log_of(twice), log_of(engine(50.0, 4, noise=1.0)))
    assert str(refusal.value) == (
        "the two logs cannot be aligned (engine_rpm agrees with engine_rpm at more than one offset: 1.00 and 1.00); "
        "give the offset, or log engine speed or a speed in both"
    )


def test_logs_of_different_passes_are_refused():
    rng = np.random.default_rng(5)
    time_s = np.arange(0.0, 25.0, 0.02)
    other = Channel(
        name="engine_rpm", time_s=time_s, values=3000.0 + np.cumsum(rng.normal(0, 40, time_s.size)), source="RPM"
    )
    with pytest.raises(NotEnoughData, match=r"agrees with engine_rpm (nowhere|at more than one offset)"):
        align(log_of(engine(50.0, 6)), log_of(other))


def test_logs_that_share_nothing_are_refused():
    one = engine(50.0, 7)
    oil = Channel(name="oil_temperature_c", time_s=one.time_s, values=one.values, source="oil")
    with pytest.raises(NotEnoughData) as refusal:
        align(log_of(one), log_of(oil))
    assert str(refusal.value) == (
        "the two logs share no channel that moves; give the offset, or log engine speed or a speed in both"
    )


def test_a_speed_aligns_with_a_speed_of_another_sensor():
    values = pull(rate_hz=50.0)
    wheel = Channel(name="vehicle_speed_mps", time_s=values["time_s"], values=values["vehicle_speed_mps"], source="v")
    later = values["time_s"] >= 2.5
    gps = Channel(
        name="gps_speed_mps",
        time_s=values["time_s"][later][::5] - 2.5,
        values=values["gps_speed_mps"][later][::5],
        source="GPS",
    )
    found = align(log_of(wheel), log_of(gps))
    assert found.by == ("vehicle_speed_mps", "gps_speed_mps")
    assert found.offset_s.value == pytest.approx(2.5, abs=found.offset_s.plus_minus)


def test_joined_logs_keep_every_channels_own_samples():
    first = log_of(engine(70.0, 1), marks=(Mark(time_s=9.0, text="launch"),))
    values = pull(rate_hz=20.0)
    clutch = Channel(
        name="clutch_torque_nm", time_s=values["time_s"], values=values["clutch_torque_nm"], source="TqClu"
    )
    second = log_of(engine(20.0, 2, 0.0), clutch, marks=(Mark(time_s=1.0, text="staged"),))
    joined = join_logs(first, second, Estimate(value=0.5, plus_minus=0.02))
    assert joined["engine_rpm"] is first["engine_rpm"]
    np.testing.assert_array_equal(joined["clutch_torque_nm"].time_s, clutch.time_s + 0.5)
    np.testing.assert_array_equal(joined["clutch_torque_nm"].values, clutch.values)
    assert joined.unmatched["engine_rpm (second log)"].rate_hz == pytest.approx(20.0)
    assert [(mark.time_s, mark.text) for mark in joined.marks] == [(1.5, "staged"), (9.0, "launch")]
    assert joined.quality.rates_hz == pytest.approx({"engine_rpm": 70.0, "clutch_torque_nm": 20.0})
    assert joined.quality.remarks[0] == "the second log's times were shifted by 0.500 s ± 0.020 s (as given)"


def test_the_files_of_one_pass_open_as_one_log(tmp_path):
    write_log(
        log_of(engine(70.0, 1), Channel(name="gear", time_s=np.arange(20.0), values=np.ones(20), source="g")),
        tmp_path / "a.csv",
    )
    values = pull(rate_hz=20.0)
    clutch = Channel(
        name="clutch_torque_nm", time_s=values["time_s"], values=values["clutch_torque_nm"], source="TqClu"
    )
    write_log(log_of(engine(20.0, 2, 2.0), clutch), tmp_path / "b.csv")
    log = open_logs([tmp_path / "a.csv", tmp_path / "b.csv"])
    assert {"engine_rpm", "gear", "clutch_torque_nm"} <= set(log.channels)
    assert log["clutch_torque_nm"].time_s[0] == pytest.approx(2.0, abs=0.03)
