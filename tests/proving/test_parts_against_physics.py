"""Scalar formulas inside the compiled model, held to the checked functions of `nextpass.physics` over their range."""

import hashlib
from pathlib import Path

import numpy as np
import pytest

from nextpass.physics import charge, engine, roadload, supply, traction, tyre
from nextpass.proving.model import STATE, TALLY, layout, run_pass
from nextpass.proving.model.body import move, squat
from nextpass.proving.model.charge import compressor_k
from nextpass.proving.model.engine import air_per_cycle_kg, friction_nm
from nextpass.proving.model.fuel import injector_m3ps
from nextpass.proving.model.tyre import magic
from nextpass.proving.shapes import tyre_stiffness
from nextpass.proving.truth import TrueTyres

RPM = 30.0 / np.pi


def record(kind):
    return np.zeros(1, dtype=kind).view(np.recarray)


@pytest.mark.parametrize("slip", [-0.3, -0.02, 0.0, 0.02, 0.08, 0.15, 0.5, 1.0, 3.0])
@pytest.mark.parametrize(("b", "c", "e"), [(11.57703, 1.6411, 0.46403), (9.0, 1.35, 0.0)])
def test_tyre_curve_is_that_of_physics(slip, b, c, e):
    assert magic(slip, b, c, e) == pytest.approx(float(tyre.magic_formula_n(slip, 1.0, b, c, e)), abs=1e-12)


def test_tyre_curve_gives_the_published_pull():
    # commonroad-vehicle-models 3.0, parameter set 2, shifts zeroed, 4000 N (physics notes, section 6).
    assert 1.1739 * 4000.0 * magic(0.05, 11.57703, 1.6411, 0.46403) == pytest.approx(3464.76, abs=0.05)


@pytest.mark.parametrize("shape", [1.3, 1.42, 1.65])
@pytest.mark.parametrize("curvature", [0.0, 0.3])
def test_peak_of_the_curve_lies_at_the_peak_slip(shape, curvature):
    tyres = TrueTyres(
        rolling_radius_m=0.34,
        front_friction=1.0,
        rear_friction=1.0,
        peak_slip=0.11,
        shape_c=shape,
        curvature_e=curvature,
    )
    slips = np.linspace(0.01, 0.5, 4901)
    pulls = tyre.magic_formula_n(slips, 1.0, tyre_stiffness(tyres), shape, curvature)
    assert slips[np.argmax(pulls)] == pytest.approx(0.11, abs=2e-4)
    assert pulls.max() == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize("rpm", [1000.0, 3000.0, 6000.0, 7000.0])
def test_friction_is_that_of_physics(constants, rpm):
    constants.friction_scale = 1.0
    constants.displacement_m3 = 3.6e-3
    expected = engine.torque_nm(engine.motoring_friction_kpa(rpm), 3.6)
    assert friction_nm(constants[0], rpm / RPM) == pytest.approx(float(expected), rel=1e-9)


def test_air_of_a_cycle_is_that_of_physics(constants):
    state = record(STATE)
    state.manifold_pa, state.engine_radps = 220e3, 6000.0 / RPM
    # Ports and charge alike, so that nothing is warmed on the way in.
    state.charge_k = state.coolant_k = 313.15
    constants.displacement_m3 = 3.6e-3
    flow = air_per_cycle_kg(constants[0], state[0], np.full(42, 0.98)) * 6000.0 / 120.0
    # Physics notes, section 4: 0.431729 kg/s.
    assert flow == pytest.approx(0.431729, rel=1e-5)
    assert flow == pytest.approx(float(engine.air_flow_kgps(0.98, 3.6, 6000.0, 220.0, 40.0)), rel=1e-4)


@pytest.mark.parametrize(("inlet_k", "ratio", "efficiency"), [(298.15, 2.0, 0.70), (303.15, 250.0 / 98.0, 0.72)])
def test_compressor_heats_as_physics_says(inlet_k, ratio, efficiency):
    expected = charge.compressor_outlet_c(inlet_k - 273.15, ratio, efficiency) + 273.15
    # The exponent is 0.2857 here and 2/7 there: 0.01 K.
    assert compressor_k(inlet_k, ratio, efficiency) == pytest.approx(float(expected), abs=0.02)


@pytest.mark.parametrize("rail_kpa", [250.0, 300.0, 400.0])
def test_injectors_flow_as_physics_says(constants, rail_kpa):
    constants.injector_count, constants.injector_m3ps, constants.rated_rail_pa = 6, 1000e-6 / 60.0, 300e3
    expected = 6.0 * supply.injector_flow_cc_min(1000.0, 300.0, rail_kpa) * 1e-6 / 60.0
    assert injector_m3ps(constants[0], rail_kpa * 1e3) == pytest.approx(float(expected), rel=1e-9)


@pytest.mark.parametrize("acceleration", [5.0, 10.0])
def test_squat_settles_at_the_load_transfer_of_physics(constants, acceleration):
    c = constants
    c.mass_kg, c.wheelbase_m, c.cg_height_m, c.front_share, c.left_share = 1700.0, 2.78, 0.50, 0.54, 0.5
    state = record(STATE)
    state.acceleration_mps2 = acceleration
    for _ in range(8000):
        squat(c[0], state[0], 0.001)
    front_n, rear_n = traction.axle_loads_n(1700.0, acceleration, 0.54, 0.50, 2.78)
    loads = state.load_n[0]
    assert loads[0] + loads[1] == pytest.approx(float(front_n), rel=1e-4)
    assert loads[2] + loads[3] == pytest.approx(float(rear_n), rel=1e-4)


def test_weight_moves_through_the_springs_not_at_once(constants):
    state = record(STATE)
    state.acceleration_mps2 = 8.0
    squat(constants[0], state[0], 0.001)
    c = constants[0]
    at_once = state.load_n[0][2:].sum() - (1.0 - c.front_share) * c.mass_kg * 9.80665
    settled = c.mass_kg * 8.0 * c.cg_height_m / c.wheelbase_m
    assert at_once == pytest.approx(c.anti_pitch * settled, rel=0.05)


def test_drag_with_headwind_is_that_of_physics(constants):
    c = constants
    c.rolling = c.slope = 0.0
    state, tally = record(STATE), record(TALLY)
    state.speed_mps, state.wind_mps = 40.0, 3.0
    move(c[0], state[0], tally[0], 1e-3)
    expected = roadload.drag_n(40.0, c.density_kgpm3[0], c.drag_area_m2[0], 3.0)
    assert -state.acceleration_mps2[0] * c.mass_kg[0] == pytest.approx(float(expected), rel=1e-9)


def test_compiled_parts_are_kept_apart_by_their_source():
    # Numba would keep using old parts after an edit; the folder named for all sources together prevents it.
    kept = Path(run_pass.stats.cache_path)
    sources = sorted(Path(layout.__file__).parent.glob("*.py"))
    digest = hashlib.sha256(b"".join(source.read_bytes() for source in sources)).hexdigest()
    assert kept.parent.name == f"compiled-{digest[:12]}"
