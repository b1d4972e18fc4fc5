"""Axle loads and traction limits against a worked car (arithmetic of Gillespie's equations)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nextpass.physics import traction

# 1700 kg, 54 % on the front, centre of gravity 0.50 m high, wheelbase 2.78 m, peak friction 1.15.
PLACE = {"front_weight_share": 0.54, "cg_height_m": 0.50, "wheelbase_m": 2.78}


@pytest.mark.parametrize(
    ("acceleration_mps2", "front_n", "rear_n"),
    [(5.0, 7473.7, 9197.6), (8.0, 6556.46, 10114.84), (10.0, 5944.95, 10726.35)],
)
def test_axle_loads_of_a_worked_car(acceleration_mps2, front_n, rear_n):
    loads = traction.axle_loads_n(1700.0, acceleration_mps2, **PLACE)
    assert loads == pytest.approx((front_n, rear_n), abs=0.06)


def test_load_transfer_of_a_worked_car():
    """1700 x 8 x 0.50/2.78 = 2446.04 N."""
    assert traction.load_transfer_n(1700.0, 8.0, 0.50, 2.78) == pytest.approx(2446.04, abs=5e-3)


@pytest.mark.parametrize(
    ("front_drive_share", "limit_n"),
    [(0.0, 11118.9), (1.0, 8578.5), (0.5, 14646.8), (0.4, 17060.5), (0.3, 17882.7)],
    ids=["rear drive", "front drive", "half", "front-limited", "rear-limited"],
)
def test_traction_limit_of_a_worked_car(front_drive_share, limit_n):
    assert traction.split_traction_limit_n(1700.0, 1.15, front_drive_share, **PLACE) == pytest.approx(limit_n, abs=0.06)


def test_the_ideal_split_uses_all_the_weight():
    """0.54 - 1.15 x 0.50/2.78 = 0.3332, and then mu m g = 19172.0 N."""
    ideal = traction.ideal_front_drive_share(1.15, **PLACE)
    assert ideal == pytest.approx(0.3332, abs=5e-5)
    assert traction.split_traction_limit_n(1700.0, 1.15, ideal, **PLACE) == pytest.approx(19172.0, abs=0.06)


@given(
    friction=st.floats(0.5, 2.5),
    to_front=st.floats(0.0, 1.0),
    on_front=st.floats(0.3, 0.7),
    height_m=st.floats(0.0, 0.7),
)
def test_no_split_beats_the_weight_on_all_wheels(friction, to_front, on_front, height_m):
    limit_n = traction.split_traction_limit_n(1500.0, friction, to_front, on_front, height_m, 2.7)
    assert 0.0 < limit_n <= friction * 1500.0 * 9.80665 * (1.0 + 1e-12)


@given(friction=st.floats(0.5, 2.0), to_front=st.floats(0.0, 1.0), more=st.floats(0.01, 0.5))
def test_more_grip_never_pulls_less(friction, to_front, more):
    limits_n = traction.split_traction_limit_n(1500.0, [friction, friction + more], to_front, 0.55, 0.5, 2.7)
    assert limits_n[1] > limits_n[0]


@given(acceleration_mps2=st.floats(-15.0, 30.0), on_front=st.floats(0.2, 0.8))
def test_the_axles_carry_the_weight_between_them(acceleration_mps2, on_front):
    front_n, rear_n = traction.axle_loads_n(1500.0, acceleration_mps2, on_front, 0.6, 2.6)
    assert front_n >= 0.0
    assert rear_n >= 0.0
    assert front_n + rear_n == pytest.approx(1500.0 * 9.80665, rel=1e-12)


def test_a_wheelbase_of_zero_is_refused():
    with pytest.raises(ValueError, match=r"^wheelbase_m must be above 0, not 0$"):
        traction.load_transfer_n(1700.0, 8.0, 0.5, 0.0)
