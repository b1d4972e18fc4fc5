"""Blends against arithmetic of volumes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nextpass.measure import Absent, Estimate
from nextpass.workbench import MEASURED_SHARE, PUMP_SHARE, blend_sum

TEN = Estimate(value=0.10, plus_minus=MEASURED_SHARE)
EIGHTY_FIVE = Estimate(value=0.85, plus_minus=PUMP_SHARE)

VAPOUR = (
    "Fuel vapour is explosive and heavier than air: drain outdoors only, engine cold, can bonded and grounded, no "
    "ignition source, extinguisher at hand, by the local fire code. Ethanol burns almost unseen in daylight"
)


def test_twenty_litres_take_forty():
    """20 l of 10 % and 40 l of 85 % make 60 %."""
    tank = blend_sum(70.0, 20.0, TEN, EIGHTY_FIVE, 0.60)
    assert tank.of("drain_l").value == 0.0
    assert tank.of("add_l").value == pytest.approx(40.0, abs=1e-9)
    assert tank.of("blend_ethanol").value == pytest.approx(0.60, abs=1e-12)
    assert VAPOUR not in tank.cautions


def test_a_full_tank_is_drained_first():
    """60 l tank with 50 l of 10 %: drain 30, add 40."""
    tank = blend_sum(60.0, 50.0, TEN, EIGHTY_FIVE, 0.60)
    assert tank.of("drain_l").value == pytest.approx(30.0, abs=1e-9)
    assert tank.of("add_l").value == pytest.approx(40.0, abs=1e-9)
    assert tank.cautions[0] == VAPOUR


def test_what_the_pump_may_be_off_goes_into_the_blend():
    """Two thirds of 4 % and a third of 1.5 %: 2.7 % (GUM, arithmetic)."""
    share = blend_sum(70.0, 20.0, TEN, EIGHTY_FIVE, 0.60).of("blend_ethanol")
    assert share.plus_minus == pytest.approx(((40 / 60 * 0.04) ** 2 + (20 / 60 * 0.015) ** 2) ** 0.5, rel=1e-6)


def test_ratio_and_volume_of_the_blend():
    """60 %: 11.155 and 1.2592 (blend table from 14.6 and 9.0, 745 and 794 kg/m3)."""
    tank = blend_sum(70.0, 20.0, TEN, EIGHTY_FIVE, 0.60)
    assert tank.of("blend_stoichiometric_afr").value == pytest.approx(11.155, abs=6e-4)
    assert tank.of("blend_volume_factor").value == pytest.approx(1.2592, abs=6e-5)


def test_a_share_that_no_mixture_has_is_not_answered():
    tank = blend_sum(70.0, 20.0, TEN, EIGHTY_FIVE, 0.95)
    reason = "no mixture of the two fuels has that share of ethanol"
    assert {line.value for line in tank.results} == {Absent(reason=reason)}


@given(left_l=st.floats(0.0, 70.0), left=st.floats(0.0, 0.3), added=st.floats(0.6, 1.0), wanted=st.floats(0.31, 0.59))
def test_the_tank_never_runs_over_and_comes_to_the_share(left_l, left, added, wanted):
    tank = blend_sum(70.0, left_l, Estimate(value=left, plus_minus=0.0), Estimate(value=added, plus_minus=0.0), wanted)
    drained_l, added_l = tank.of("drain_l").value, tank.of("add_l").value
    assert 0.0 <= drained_l <= left_l
    assert left_l - drained_l + added_l <= 70.0 + 1e-9
    if left_l > 1e-6:
        assert tank.of("blend_ethanol").value == pytest.approx(wanted, abs=1e-6)


def test_more_than_the_tank_holds_is_refused():
    with pytest.raises(ValueError, match=r"^the tank holds 70 l, so 80 l cannot be in it$"):
        blend_sum(70.0, 80.0, TEN, EIGHTY_FIVE, 0.60)
