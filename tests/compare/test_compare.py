"""Groups of passes against each other: gains, stretches, verdicts, and what is doubted."""

import itertools
from dataclasses import replace

import numpy as np
import pytest

from nextpass.compare import Gain, Group, Verdict, compare_groups, groups_by, in_order, usual_of
from nextpass.compare.usual import usual_between, with_like
from nextpass.errors import NotEnoughData, SettingError
from nextpass.measure import Absent


def groups(make, gains, **after):
    """Alternating passes: the second group is quicker by the gain of each."""
    first = tuple(make(2 * i, 0.01 * (-1) ** i) for i in range(len(gains)))
    second = tuple(make(2 * i + 1, gain, **after) for i, gain in enumerate(gains))
    return Group(label="before", passes=first), Group(label="after", passes=second)


def test_a_gain_of_a_tenth_in_alternating_passes_has_helped(make, unfitted):
    (one,) = compare_groups(unfitted, groups(make, (0.11, 0.09, 0.12)), None)
    assert one.deciding == "et_s"
    assert one.source == "strip"
    gain = one.decisive
    assert isinstance(gain, Gain)
    assert gain.verdict is Verdict.HELPED
    # The means are a tenth apart; the prior of what changes do draws the gain in a little.
    assert gain.gain.value == pytest.approx(0.100, abs=0.015)
    assert (gain.first_count, gain.second_count, gain.more_passes) == (3, 3, None)
    assert isinstance(one.clocks["trap_mps"], Gain)
    assert one.clocks["trap_mps"].gain.value > 0.0


def test_stretches_of_the_strip_make_up_the_whole(make, unfitted):
    (one,) = compare_groups(unfitted, groups(make, (0.31, 0.29, 0.32)), None)
    parts = [stretch.gain.gain.value for stretch in one.stretches if stretch.gear is None]
    assert len(parts) == 5
    # The prior of each stretch draws it a little towards nought on its own.
    assert sum(parts) == pytest.approx(one.decisive.gain.value, abs=0.03)


def test_one_pass_each_with_a_small_difference_cannot_tell_and_says_how_many_more(make, unfitted):
    (one,) = compare_groups(unfitted, groups(make, (0.08,)), None)
    assert one.decisive.verdict is Verdict.CANNOT_TELL
    assert one.decisive.more_passes is not None


def test_a_scatter_that_the_calibrator_knows_counts_for_more_than_the_usual_one(make, unfitted):
    sides = groups(make, (0.07,))
    (usual,) = compare_groups(unfitted, sides, None)
    (known,) = compare_groups(unfitted, sides, None, known_scatter_s=0.012)
    assert known.decisive.gain.plus_minus < 0.5 * usual.decisive.gain.plus_minus
    assert known.decisive.verdict is Verdict.HELPED


def test_other_groups_tell_how_much_a_pass_scatters(make, unfitted):
    still = Group(label="further", passes=tuple(make(20 + i, 0.06 * (-1) ** i) for i in range(6)))
    alone = compare_groups(unfitted, groups(make, (0.05, 0.05)), None)[0]
    with_more = compare_groups(unfitted, (*groups(make, (0.05, 0.05)), still), None)[0]
    # The further passes scatter by 66 ms (six of +-60 ms), the usual one is 38 ms.
    assert with_more.decisive.scatter.value > 1.2 * alone.decisive.scatter.value


def test_a_pass_that_was_lifted_counts_as_far_as_it_came(make, unfitted):
    first, second = groups(make, (0.1, 0.1, 0.1))
    lifted = [replace(one, record=replace(one.record, clocks=_until_330(one.record.clocks))) for one in second.passes]
    (one,) = compare_groups(unfitted, (first, Group(label="after", passes=tuple(lifted))), None)
    assert one.deciding == "t330ft_s"
    assert one.clocks["et_s"] == Absent(reason="no pass of one group reached this clock")


def _until_330(clocks):
    return replace(clocks, t660ft_s=None, t1000ft_s=None, et_s=None, trap_mps=None)


def test_groups_on_two_days_are_wider_and_say_so(make, unfitted):
    first, second = groups(make, (0.1, 0.1, 0.1))
    later = tuple(make(i, 0.1, minutes=60.0 * 24 * 9 + i) for i in range(3))
    (same,) = compare_groups(unfitted, (first, second), 0)
    (apart,) = compare_groups(unfitted, (first, Group(label="after", passes=later)), 0)
    assert apart.decisive.gain.plus_minus > same.decisive.gain.plus_minus
    assert any(line.startswith("The groups share no day.") for line in apart.confounding)
    assert any(line.startswith("All passes of one group were run before the other") for line in apart.confounding)


def test_what_else_differed_is_said(make, unfitted):
    setup = make(1).record.setup
    other = setup.with_values(fuel="road98", launch_rpm=3200.0)
    hot = replace(make(1).record.conditions, air_temperature_c=31.0, track_temperature_c=45.0)
    (one,) = compare_groups(unfitted, groups(make, (0.1, 0.1), setup=other, conditions=hot, lane="left"), None)
    said = "\n".join(one.confounding)
    assert "The fuel differs between the groups as well" in said
    assert "More than one setting differs between the groups: launch_rpm, fuel." in said
    assert "Mean air temperature went from 18 to 31 °C" in said
    assert "Mean track temperature went from 27 to 45 °C" in said


def test_alternating_passes_that_differ_in_one_setting_raise_no_doubt(make, unfitted):
    other = make(1).record.setup.with_values(launch_rpm=3200.0)
    (one,) = compare_groups(unfitted, groups(make, (0.1, 0.1), setup=other), None)
    assert one.confounding == ()


def test_passes_are_grouped_by_the_value_of_an_adjuster_in_the_order_in_which_it_was_run(make, car):
    setup = make(1).record.setup
    passes = [make(i, setup=setup.with_values(launch_rpm=rpm)) for i, rpm in enumerate((3200.0, 3000.0, 3200.0))]
    found = groups_by(car, passes, "launch_rpm")
    assert [(group.label, len(group.passes)) for group in found] == [("launch_rpm 3200", 2), ("launch_rpm 3000", 1)]
    # The one adjuster that was changed need not be named.
    assert groups_by(car, passes, None) == found


def test_one_gear_of_an_adjuster_groups_passes(make, car):
    setup = make(1).record.setup
    caps = setup.gear_pressure_cap_kpa
    passes = [make(1), make(2, setup=setup.with_values(gear_pressure_cap_kpa=(*caps[:2], 185.0, *caps[3:])))]
    assert [group.label for group in groups_by(car, passes, "gear_pressure_cap_kpa.3")] == [
        "gear_pressure_cap_kpa.3 180",
        "gear_pressure_cap_kpa.3 185",
    ]


def test_two_passes_with_several_changes_stand_for_themselves(make, car):
    passes = [make(1), make(2, setup=make(1).record.setup.with_values(launch_rpm=3200.0, shift_rpm=6900.0))]
    assert [group.label for group in groups_by(car, passes, None)] == ["pass1", "pass2"]


@pytest.mark.parametrize(
    ("change", "error", "message"),
    [
        ("lunch_rpm", SettingError, "lunch_rpm: is not an adjuster of this car; its adjusters are launch_rpm,"),
        ("launch_rpm.2", SettingError, "launch_rpm: has no value a gear; write --change launch_rpm"),
        (
            "gear_pressure_cap_kpa.9",
            SettingError,
            "gear_pressure_cap_kpa: there is no gear 9; name a gear from 1 to 6",
        ),
        (
            "shift_rpm",
            NotEnoughData,
            "shift_rpm is 6800 in every pass given; give passes with another value as well",
        ),
        (
            None,
            NotEnoughData,
            "no adjuster was changed between these passes; say which passes were run before and which after, with"
            " --before and --after",
        ),
    ],
)
def test_what_cannot_be_grouped_is_refused_with_what_to_do(make, car, change, error, message):
    with pytest.raises(error) as refusal:
        groups_by(car, [make(1), make(2), make(3)], change)
    assert str(refusal.value).startswith(message)


def test_passes_stand_in_the_order_of_their_times(make):
    early, late = make(9, minutes=1.0), make(1, minutes=30.0)
    assert in_order([Group(label="", passes=(late,)), Group(label="", passes=(early,))]) == (early, late)


def test_the_scatter_of_stretches_adds_up_to_that_of_the_whole():
    bounds = (0.3048, 18.288, 100.584, 201.168, 304.8, 402.336)
    parts = [usual_between(a, b).scatter ** 2 for a, b in itertools.pairwise(bounds)]
    assert np.sqrt(sum(parts)) == pytest.approx(usual_of("et_s").scatter, rel=0.01)


def test_like_groups_are_pooled_with_what_is_usual():
    usual = usual_of("et_s")
    # Six values of +-0.06 about their means: 5 degrees of freedom, variance 6 x 0.06^2 / 5; JCGM 100 H.3.6.
    more = with_like(usual, [[0.06, -0.06, 0.06, -0.06, 0.06, -0.06]])
    assert more.weight == usual.weight + 5
    pooled = (usual.weight * usual.scatter**2 + 6 * 0.06**2) / more.weight
    assert more.scatter == pytest.approx(np.sqrt(pooled))
