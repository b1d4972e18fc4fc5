"""What the ledger keeps of one pass, against the truth of the proving ground."""

import numpy as np
import pytest

from nextpass.health import BANDS_C, figures_of
from nextpass.health.residency import residency_of
from nextpass.log import Channel, Log, LogQuality
from nextpass.measure import Absent


@pytest.fixture(scope="module")
def figures(entry, reviewed):
    return figures_of(entry.car.believed, reviewed)


def test_the_heat_of_the_launch_is_the_true_one(figures, outcome):
    energy = figures.launch.energy_j
    # The torque channel lags by 20 ms and is logged at 50 Hz: within its stated 8 %.
    assert energy.low < outcome.guards.clutch_energy_j < energy.high


def test_rise_and_peak_follow_from_the_heat(figures, entry):
    launch = figures.launch
    assert launch.rise_k.value == pytest.approx(launch.energy_j.value / entry.car.believed.clutch.heat_capacity_j_per_k)
    assert launch.peak_c.value == pytest.approx(launch.oil_c.value + launch.rise_k.value)


def test_a_cool_launch_takes_its_energys_share_of_the_stated_life(figures, entry):
    # Stated: 300 launches at the guard's heat, none hot.
    budget_j = 300.0 * entry.car.believed.guards.clutch_energy_j
    assert figures.launch.life_share.value == pytest.approx(figures.launch.energy_j.value / budget_j)


def test_the_capacity_of_both_packs_is_read_within_its_friction(figures, entry):
    # Friction rises by 6 % with slip, so that a slipping pack reads a little more than a gripping one holds.
    for pack, true_nm in zip("ab", entry.car.clutch.capacity_nm, strict=True):
        assert figures.wear[f"clutch_{pack}_capacity_nm"] == pytest.approx(true_nm, rel=0.08)


def test_the_first_pump_gives_its_rating(figures, entry):
    true = entry.car.fuelling.pump_1_l_h / entry.car.believed.fuel_system.pumps[0].flow_l_h
    # The log's duty says what the pump was asked for with 15 % in hand, which droop and voltage take.
    assert figures.wear["pump_strength"] == pytest.approx(true, rel=0.15)


def test_trims_and_fluids_are_as_the_car_has_them(figures, entry):
    assert figures.wear["trims_apart"] == pytest.approx(0.0, abs=0.005)
    assert figures.wear["launch_gearbox_oil_temperature_c"] == pytest.approx(entry.car.heat.box_oil_c, abs=1.0)


def test_a_clean_pass_has_passed_no_limit(figures):
    assert figures.limits_passed == ()


def test_time_in_bands_is_the_time_of_the_log(figures, reviewed):
    channel = reviewed.log["gearbox_oil_temperature_c"]
    of_box = next(one for one in figures.residency if one.channel == channel.name)
    assert sum(of_box.seconds) == pytest.approx(channel.time_s[-1] - channel.time_s[0], abs=0.1)


def log_of(name, time_s, values):
    channel = Channel(name=name, time_s=np.asarray(time_s, float), values=np.asarray(values, float), source=name)
    return Log(channels={name: channel}, unmatched={}, marks=(), quality=LogQuality(rate_hz=1.0, gaps=(), remarks=()))


def test_oil_that_warms_evenly_is_in_each_band_for_its_share():
    # 40 to 120 °C in 80 s: 10 s below 50, 30 s to 80, 20 s to 100, 10 s to 110, 10 s above.
    time_s = np.linspace(0.0, 80.0, 801)
    (residency,) = residency_of(log_of("gearbox_oil_temperature_c", time_s, 40.0 + time_s))
    assert residency.edges_c == BANDS_C["gearbox_oil_temperature_c"]
    assert residency.seconds == pytest.approx((10.0, 30.0, 20.0, 10.0, 10.0), abs=0.11)


def test_a_pause_of_the_logger_is_not_time_in_a_band():
    (residency,) = residency_of(log_of("oil_temperature_c", [0.0, 1.0, 600.0, 601.0], [95.0] * 4))
    # Two seconds are the longest step that counts.
    assert sum(residency.seconds) == pytest.approx(4.0)


def test_a_log_without_motion_keeps_what_it_has(entry, reviewed):
    from dataclasses import replace

    blind = replace(reviewed, review=replace(reviewed.review, ground_speed=None))
    figures = figures_of(entry.car.believed, blind)
    assert figures.launch is None
    assert dict(figures.wear) == {}
    assert figures.residency


def test_without_the_gearbox_the_peak_of_the_pack_is_not_known(entry, reviewed):
    from dataclasses import replace

    channels = {name: reviewed.log[name] for name in reviewed.log.channels if "gearbox" not in name}
    bare = replace(reviewed, log=replace(reviewed.log, channels=channels))
    launch = figures_of(entry.car.believed, bare).launch
    assert launch.oil_c == Absent(reason="the log has no gearbox oil temperature")
    assert launch.peak_c == launch.oil_c
