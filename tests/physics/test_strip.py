"""The strip's clocks and traps against worked passes of a closed form."""

from functools import partial

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nextpass.physics import motion, strip

# 8 m/s2 until 300 kW bind, 1700 kg; arithmetic of the closed form.
CAR = {"grip_mps2": 8.0, "power_w": 300e3, "mass_kg": 1700.0}
time_at = partial(motion.gripped_time_s, **CAR)


def test_beams_and_traps_stand_where_their_feet_say():
    """1 ft = 0.3048 m by definition (1959)."""
    stand_m = [*strip.BEAMS_M, strip.BEAM_660FT_M - strip.TRAP_LENGTH_M, strip.BEAM_1320FT_M - strip.TRAP_LENGTH_M]
    assert stand_m == pytest.approx([18.288, 100.584, 201.168, 304.8, 402.336, 181.0512, 382.2192], rel=1e-12)


def test_clock_of_the_beams():
    """Convention A: t(d) - t(rollout)."""
    expected = [1.86218, 4.83876, 7.25292, 9.31327, 11.03755]
    assert strip.beam_time_s(time_at, strip.BEAMS_M) == pytest.approx(expected, abs=6e-6)


def test_clock_of_a_meter():
    """Convention B: t(d + rollout) - t(rollout)."""
    expected = [1.87992, 4.84715, 7.25946, 9.31893, 11.04269]
    assert strip.metered_time_s(time_at, strip.BEAMS_M) == pytest.approx(expected, abs=6e-6)


def test_without_rollout_both_clocks_read_the_time_since_the_car_moved():
    expected = [2.13822, 5.11480, 7.52896, 9.58931, 11.31359]
    assert strip.beam_time_s(time_at, strip.BEAMS_M, 0.0) == pytest.approx(expected, abs=6e-6)
    assert strip.metered_time_s(time_at, strip.BEAMS_M, 0.0) == pytest.approx(expected, abs=6e-6)


def test_the_conventions_part_most_at_the_first_beam():
    """18 ms at 60 ft, 5 ms at the line."""
    parted_s = strip.metered_time_s(time_at, strip.BEAMS_M) - strip.beam_time_s(time_at, strip.BEAMS_M)
    assert parted_s[[0, -1]] == pytest.approx([0.018, 0.005], abs=5e-4)


@pytest.mark.parametrize(
    ("acceleration_mps2", "time_s", "speed_mps"),
    [(5.0, 0.34917, 1.7459), (8.0, 0.27604, 2.2083), (10.0, 0.24690, 2.4690)],
)
def test_a_foot_of_rollout(acceleration_mps2, time_s, speed_mps):
    """Arithmetic at constant acceleration."""
    assert motion.uniform_time_s(strip.ROLLOUT_M, acceleration_mps2) == pytest.approx(time_s, abs=6e-6)
    assert motion.uniform_speed_mps(strip.ROLLOUT_M, acceleration_mps2) == pytest.approx(speed_mps, abs=6e-5)


def test_trap_speed_is_a_mean_and_reads_low():
    """131.312 against 132.461 mph at the line; 102.335 against 104.220 mph at 660 ft."""
    traps = strip.trap_speed_mps(time_at, [strip.BEAM_660FT_M, strip.BEAM_1320FT_M]) / strip.MPH_MPS
    beams = motion.gripped_speed_mps([strip.BEAM_660FT_M, strip.BEAM_1320FT_M], **CAR) / strip.MPH_MPS
    assert traps == pytest.approx([102.335, 131.312], abs=6e-4)
    assert beams == pytest.approx([104.220, 132.461], abs=6e-4)
    assert traps[1] * strip.MPH_MPS == pytest.approx(58.7016, abs=5e-5)


def test_trap_speed_by_the_meters_convention():
    """131.347 mph: the trap lies one rollout further on."""
    trap_mps = strip.trap_speed_mps(time_at, strip.BEAM_1320FT_M + strip.ROLLOUT_M)
    assert trap_mps / strip.MPH_MPS == pytest.approx(131.347, abs=6e-4)


def test_a_clock_of_a_millisecond_bounds_the_trap_speed():
    """58.7 m/s: one step is 0.17 m/s, two readings 0.07 m/s (JCGM 100)."""
    assert strip.trap_speed_sd_mps(58.7) == pytest.approx(0.070, abs=5e-4)


def test_a_trace_serves_as_well_as_a_closed_form():
    distance_m = np.linspace(0.0, 410.0, 20001)
    from_trace = partial(np.interp, xp=distance_m, fp=time_at(distance_m))
    assert strip.beam_time_s(from_trace, strip.BEAMS_M) == pytest.approx(
        strip.beam_time_s(time_at, strip.BEAMS_M), abs=1e-4
    )


@given(rollout_m=st.floats(0.0, 0.6), deeper_m=st.floats(1e-3, 0.3))
def test_more_rollout_is_a_shorter_time(rollout_m, deeper_m):
    shallow_s = strip.beam_time_s(time_at, strip.BEAM_60FT_M, rollout_m)
    assert strip.beam_time_s(time_at, strip.BEAM_60FT_M, rollout_m + deeper_m) < shallow_s


def test_a_trap_longer_than_the_strip_is_refused():
    with pytest.raises(ValueError, match=r"^beam_m less length_m must not be below 0, not -1\.8288$"):
        strip.trap_speed_mps(time_at, strip.BEAM_60FT_M)
