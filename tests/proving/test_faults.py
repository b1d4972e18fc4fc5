"""Faults do what they say, and no more: each leaves its own mark, costs time where it should, worse when stronger."""

import numpy as np
import pytest

from nextpass.proving import (
    CODE_FAULTS,
    FAULTS,
    Fault,
    Logger,
    drive_faulty,
    faulty_log_text,
    logged,
    write_faulty_folder,
)
from nextpass.proving.faults import FaultyPass

IN_CAR = [kind for kind, found in FAULTS.items() if found.spoil is not None]
ALL = {**FAULTS, **CODE_FAULTS}
IN_LOG = [kind for kind, found in ALL.items() if found.spoil_log is not None]


@pytest.fixture(scope="module")
def faulty(day):
    made = {}

    def drive(kind, strength=2):
        if (kind, strength) not in made:
            third = day.passes[2]
            fault = Fault(kind=kind, strength=strength)
            made[kind, strength] = drive_faulty(day.car, day.strip, third.conditions, third.setup, fault, 2603)
        return made[kind, strength]

    return drive


def driving(outcome):
    return (outcome.trace["phase"] == 2) & (outcome.trace["time_s"] < outcome.tally["lifted_s"])


def peak(name):
    return lambda o: float(o.trace[name][driving(o)].max())


def mean(name):
    return lambda o: float(o.trace[name][driving(o)].mean())


# What a fault must move, and which way: a figure of the outcome, and its sign against the clean pass.
MARKS = {
    "slippery-start": (lambda o: sum(o.past_peak_s), 1),
    "bog": (lambda o: -float(o.trace["engine_radps"][o.trace["phase"] == 1].min()), 1),
    "launch-hunting": (lambda o: float(o.trace["engine_radps"][700:800].std()), 1),
    "slow-release": (lambda o: o.clocks.t60ft_s, 1),
    "early-lift": (lambda o: -o.tally["lifted_s"], 1),
    "clutch-slip": (lambda o: sum(o.clutch_slip_s), 1),
    "slow-shift": (lambda o: o.clocks.et_s, 1),
    "shift-flare": (lambda o: o.guards.peak_rpm, 1),
    "late-shift": (lambda o: o.tally["limiter_s"], 1),
    "pressure-overshoot": (lambda o: o.tally["overshoot_pa"], 1),
    "pressure-oscillation": (
        lambda o: float(np.abs(np.diff(o.trace["manifold_pa"][driving(o) & (o.trace["gear"] == 4)])).sum()),
        1,
    ),
    "charge-leak": (mean("wastegate"), -1),
    "wastegate-stuck-open": (lambda o: -mean("manifold_pa")(o), 1),
    "wastegate-creep": (peak("charge_pa"), 1),
    "slow-rise": (
        lambda o: float(np.maximum(o.trace["target_pa"] - o.trace["manifold_pa"], 0.0)[driving(o)].mean()),
        1,
    ),
    "throttle-closed": (mean("throttle"), -1),
    "bad-fuel": (lambda o: o.guards.knock_retard_deg, 1),
    "lean": (lambda o: o.guards.wot_lambda, 1),
    "rich": (mean("lambda_1"), -1),
    "banks-apart": (lambda o: mean("lambda_2")(o) - mean("lambda_1")(o), 1),
    "injectors-small": (lambda o: o.guards.injector_duty, 1),
    "second-pump-dead": (lambda o: o.guards.rail_pressure_drop, 1),
    "pumps-weak": (lambda o: o.guards.rail_pressure_drop, 1),
    "misfire": (lambda o: o.clocks.et_s, 1),
    "heat-soak": (lambda o: o.guards.charge_air_c, 1),
    "cooler-blocked": (lambda o: o.guards.charge_air_c, 1),
    "coolant-hot": (lambda o: o.guards.coolant_c, 1),
    "oil-hot": (lambda o: o.guards.oil_c, 1),
    "gearbox-oil-hot": (lambda o: o.guards.gearbox_oil_c, 1),
    "battery-sag": (lambda o: -o.guards.battery_v, 1),
    "car-cut": (lambda o: o.tally["cut_s"], 1),
    "dragging-brake": (lambda o: o.tally["rolling_loss_j"], 1),
}


def test_every_kind_in_the_car_has_a_mark():
    assert set(MARKS) == set(IN_CAR)


@pytest.mark.parametrize("kind", IN_CAR)
def test_a_fault_leaves_its_mark(faulty, kind):
    figure, sign = MARKS[kind]
    pass_ = faulty(kind)
    assert sign * figure(pass_.outcome) > sign * figure(pass_.clean)


@pytest.mark.parametrize(
    "kind",
    [
        "slippery-start",
        "slow-release",
        "clutch-slip",
        "slow-shift",
        "shift-flare",
        "charge-leak",
        "wastegate-stuck-open",
        "throttle-closed",
        "bad-fuel",
        "rich",
        "misfire",
        "heat-soak",
        "cooler-blocked",
        "dragging-brake",
        "car-cut",
    ],
)
def test_stronger_costs_more(faulty, kind):
    costs = [faulty(kind, strength).cost_s for strength in (1, 2, 3)]
    assert costs[2] > 0.03
    assert costs[0] <= costs[1] + 0.01
    assert costs[1] <= costs[2] + 0.01


@pytest.mark.parametrize("kind", ["lean", "injectors-small", "second-pump-dead", "pumps-weak", "gearbox-oil-hot"])
def test_what_breaks_cars_is_known_to(faulty, kind):
    assert faulty(kind, 3).can_break
    assert not FaultyPass(
        fault=Fault(kind=kind, strength=3), outcome=faulty(kind).clean, clean=faulty(kind).clean, cost_s=0.0
    ).can_break


@pytest.mark.parametrize("kind", IN_LOG)
def test_a_fault_of_the_log_spoils_the_log_alone(day, faulty, kind):
    pass_ = faulty(kind)
    assert pass_.cost_s == 0.0
    assert pass_.outcome is pass_.clean
    logger = Logger(rate_hz=24.0)
    clean = faulty("slow-shift").clean
    sound = faulty_log_text(FaultyPass(fault=pass_.fault, outcome=clean, clean=clean, cost_s=0.0), logger, 1)
    rows_s, channels = logged(pass_.outcome, logger, 1)
    before = {name: values.copy() for name, values in channels.items()}
    assert ALL[kind].spoil_log(rows_s, channels, 2, pass_.outcome)
    changed = {name for name in channels if not np.array_equal(channels[name], before[name], equal_nan=True)}
    assert changed
    assert len(changed) <= 4 or kind == "dropout"
    assert sound.count("\n") == rows_s.size + 1


def test_a_fault_of_a_channel_that_is_not_logged_says_so(faulty):
    rows_s, channels = logged(faulty("gps-lost").outcome, Logger(sensors="wheels"), 1)
    assert not FAULTS["gps-lost"].spoil_log(rows_s, channels, 2, faulty("gps-lost").outcome)
    assert not FAULTS["accelerometer-reversed"].spoil_log(rows_s, channels, 2, faulty("gps-lost").outcome)


def test_dropout_leaves_empty_cells(faulty, tmp_path):
    folder = write_faulty_folder(faulty("dropout"), Logger(rate_hz=20.0), tmp_path / "pass1")
    rows = (folder / "log.csv").read_text().splitlines()[1:]
    empty = [row for row in rows if set(row.split(",")[1:]) == {""}]
    # 0.9 s at 20 Hz.
    assert len(empty) == pytest.approx(18, abs=1)


def test_clean_twin_has_the_same_luck(faulty):
    pass_ = faulty("misfire")
    assert pass_.outcome.luck == pass_.clean.luck
    assert pass_.outcome.release_s == pass_.clean.release_s
