"""Parts of the model driven alone, against closed forms of mechanics."""

import numpy as np
import pytest

from nextpass.physics import coastdown, lock_up, motion
from nextpass.proving.model import STATE, TALLY
from nextpass.proving.model.body import move
from nextpass.proving.model.driveline import shafts

RPM = 30.0 / np.pi


def record(kind):
    return np.zeros(1, dtype=kind).view(np.recarray)


@pytest.fixture
def bare(constants):
    """A point mass: 1700 kg, no wind, no slope, no rolling resistance."""
    constants.mass_kg = 1700.0
    constants.rolling = constants.rolling_growth_s2pm2 = constants.slope = 0.0
    constants.density_kgpm3, constants.drag_area_m2 = 1.225, 0.62
    return constants


def test_constant_pull_against_drag_follows_the_tanh_form(bare):
    state, tally = record(STATE), record(TALLY)
    state.force_n = 1000.0
    for _ in range(20000):
        move(bare[0], state[0], tally[0], 0.0005)
    drag = 0.5 * 1.225 * 0.62
    # 23.125659 m/s and 116.630678 m after 10 s (physics notes, section 5); first order in the step: 1e-4.
    assert state.speed_mps[0] == pytest.approx(float(motion.pulled_speed_mps(10.0, 4000.0, 1700.0, drag)), rel=1e-4)
    assert state.speed_mps[0] == pytest.approx(23.125659, rel=1e-4)
    assert state.distance_m[0] == pytest.approx(116.630678, rel=1e-4)


def test_coasting_follows_the_tan_form(bare):
    bare.mass_kg, bare.rolling = 1750.0, 233.0 / (1750.0 * 9.80665)
    bare.density_kgpm3, bare.drag_area_m2 = 1.0, 0.76
    state, tally = record(STATE), record(TALLY)
    state.speed_mps = 35.0
    for _ in range(40000):
        move(bare[0], state[0], tally[0], 0.0005)
    assert state.speed_mps[0] == pytest.approx(28.047153, rel=1e-5)  # f0 233, f2 0.38, m 1750 (section 5)
    assert state.speed_mps[0] == pytest.approx(
        float(coastdown.coasting_speed_mps(20.0, 35.0, 1750.0, 233.0, 0.38)), rel=1e-5
    )


def test_energy_of_the_road_load_is_booked(bare):
    bare.rolling, bare.slope = 0.014, 0.01
    state, tally = record(STATE), record(TALLY)
    state.force_n = 1000.0
    for _ in range(20000):
        move(bare[0], state[0], tally[0], 0.0005)
    given = 4000.0 * state.distance_m[0]
    booked = tally.drag_loss_j[0] + tally.rolling_loss_j[0] + tally.slope_j[0]
    assert given == pytest.approx(0.5 * 1700.0 * state.speed_mps[0] ** 2 + booked, rel=1e-6)


@pytest.mark.parametrize(
    ("engine_nm", "clutch_nm", "seconds", "joules", "locked_rpm"),
    # Physics notes, section 8: I_1 0.20, I_v 0.957785, 4500 rpm; solve_ivp agrees to 1e-8.
    [(400.0, 700.0, 0.211237, 34840.09, 1474.25), (600.0, 800.0, 0.256769, 48399.90, 2048.03)],
)
def test_clutch_closes_with_the_heat_of_the_closed_form(constants, engine_nm, clutch_nm, seconds, joules, locked_rpm):
    c = constants
    c.engine_inertia_kgm2, c.box_inertia_kgm2 = 0.20, 0.957785
    c.efficiency, c.spin_drag_nm, c.friction_rise, c.fade_per_k = 1.0, 0.0, 0.0, 0.0
    c.capacity_nm = 1e4
    state, tally = record(STATE), record(TALLY)
    state.engine_radps, state.engine_nm = 4500.0 / RPM, engine_nm
    state.ratio = [1.0, 0.7]
    state.clamp_nm = [clutch_nm, 0.0]
    closed_s = np.nan
    dt = 1e-4
    for step in range(5000):
        shafts(c[0], state[0], tally[0], dt)
        if np.isnan(closed_s) and abs(state.engine_radps[0] - state.box_radps[0]) < 1e-6:
            closed_s = (step + 1) * dt
            locked = state.box_radps[0] * RPM
    form = lock_up.free_lock_up(4500.0, engine_nm, clutch_nm, 0.20, 0.957785)
    assert closed_s == pytest.approx(seconds, abs=2 * dt)
    assert closed_s == pytest.approx(float(form.time_s), abs=2 * dt)
    assert state.clutch_energy_j[0] == pytest.approx(joules, rel=2e-3)
    assert locked == pytest.approx(locked_rpm, rel=2e-3)


def test_a_locked_clutch_stays_locked_and_makes_no_heat(constants):
    c = constants
    c.efficiency, c.spin_drag_nm = 1.0, 0.0
    state, tally = record(STATE), record(TALLY)
    state.engine_radps, state.box_radps, state.engine_nm = 300.0, 30.0, 400.0
    state.ratio, state.clamp_nm = [10.0, 7.0], [900.0, 0.0]
    for _ in range(2000):
        shafts(c[0], state[0], tally[0], 5e-4)
    assert state.engine_radps[0] == pytest.approx(10.0 * state.box_radps[0], rel=1e-9)
    assert state.clutch_energy_j[0] == pytest.approx(0.0, abs=1e-6)
    # 400 N m on both inertias together, seen at the engine: Newton.
    total = c.engine_inertia_kgm2[0] + c.box_inertia_kgm2[0] / 100.0
    assert state.engine_radps[0] == pytest.approx(300.0 + 400.0 / total, rel=1e-6)


def test_engine_over_capacity_slips_in_gear(constants):
    c = constants
    c.efficiency, c.spin_drag_nm, c.friction_rise = 1.0, 0.0, 0.0
    state, tally = record(STATE), record(TALLY)
    state.engine_radps, state.box_radps, state.engine_nm = 300.0, 30.0, 700.0
    state.ratio, state.clamp_nm = [10.0, 7.0], [600.0, 0.0]
    # The gearbox is held back by a load that takes what the clutch brings.
    state.shaft_nm = 6000.0
    for _ in range(200):
        shafts(c[0], state[0], tally[0], 5e-4)
    # 100 N m too much speed the engine up alone.
    assert state.engine_radps[0] == pytest.approx(300.0 + 100.0 / c.engine_inertia_kgm2[0] * 0.1, rel=1e-6)
    assert state.clutch_nm[0][0] == pytest.approx(600.0)
