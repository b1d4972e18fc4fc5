"""A comparison made by hand, as the page gets it: a gain that is sure, one that is open, and one that nobody has."""

from dataclasses import replace
from pathlib import Path

from tests.report.samples import sample_car, sample_conditions, sample_reviewed

from nextpass.compare import ComparedPass, Comparison, Gain, Group, Stretch, Verdict
from nextpass.measure import Absent, Estimate


def sample_gain(value, plus_minus, probability, verdict=Verdict.HELPED):
    return Gain(
        gain=Estimate(value=value, plus_minus=plus_minus),
        probability=probability,
        verdict=verdict,
        more_passes=None,
        scatter=Estimate(value=0.03, plus_minus=0.01),
        grip_sd=0.0,
        first_count=1,
        second_count=2,
    )


def sample_comparison():
    car = sample_car()
    passes = []
    for number in (1, 2, 3):
        reviewed = sample_reviewed(car, number=number)
        passes.append(replace(reviewed, record=replace(reviewed.record, folder=Path(f"pass {number}"))))
    helped, open_ = sample_gain(0.052, 0.03, 0.998), sample_gain(0.01, 0.04, 0.66, Verdict.CANNOT_TELL)
    return (
        Comparison(
            first=Group(label="before", passes=tuple(passes[:1])),
            second=Group(label="after", passes=tuple(passes[1:])),
            deciding="et_s",
            clocks={"t60ft_s": open_, "et_s": helped, "trap_mps": Absent(reason="not reached")},
            stretches=(
                Stretch(start_m=0.0, end_m=18.3, gear=None, gain=open_),
                Stretch(start_m=0.0, end_m=30.0, gear=1, gain=helped),
                Stretch(start_m=30.0, end_m=70.0, gear=2, gain=Absent(reason="not reached")),
            ),
            source="log",
            reference=sample_conditions(),
            passes=tuple(
                ComparedPass(
                    name=f"pass {number}",
                    group="before" if number == 1 else "after",
                    measured=Estimate(value=11.2, plus_minus=0.01),
                    day=Estimate(value=-0.01, plus_minus=0.004),
                )
                for number in (1, 2, 3)
            ),
            confounding=("More than one setting differs between the groups: launch_rpm.",),
        ),
    )
